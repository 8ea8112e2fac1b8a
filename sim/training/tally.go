package training

import (
	"cmp"
	"slices"
)

// Tally is what many answers say together.
type Tally struct {
	Players  int     // with a name
	Answers  int     // that count
	Repeated int     // further answers of a player to the same riddle, which do not count: the truth was shown
	Points   float64 // mean of the answers
	Faults   []FaultTally
}

// FaultTally is how one cause was found.
type FaultTally struct {
	Fault    string
	Answers  int
	Right    int     // causes
	Remedies int     // right ones
	Points   float64 // mean
	Looks    float64 // mean
	TakenFor []Confusion
}

// Confusion is a wrong cause that was named.
type Confusion struct {
	Cause string `json:"cause"`
	Times int    `json:"times"`
}

// NewTally counts answers, those of a player to the same riddle once, the first. Causes that were found least often come
// first, of those as rare the ones with more answers; of what a cause was taken for, the most frequent.
func NewTally(list []Answer) Tally {
	var t Tally
	type riddle struct {
		player, rig, sequence string
		level                 Level
		seed                  uint64
	}
	seen, players, places := map[riddle]bool{}, map[string]bool{}, map[string]int{}
	for i := range list {
		a := &list[i]
		if a.Player != "" {
			k := riddle{a.Player, a.Rig, a.Sequence, a.Level, a.Seed}
			if seen[k] {
				t.Repeated++
				continue
			}
			seen[k], players[a.Player] = true, true
		}
		place, ok := places[a.Truth]
		if !ok {
			place = len(t.Faults)
			places[a.Truth] = place
			t.Faults = append(t.Faults, FaultTally{Fault: a.Truth})
		}
		t.Faults[place].add(a)
		t.Answers++
		t.Points += float64(a.Points)
	}
	t.Players = len(players)
	t.Points /= float64(max(1, t.Answers))
	for i := range t.Faults {
		t.Faults[i].finish()
	}
	slices.SortFunc(t.Faults, func(a, b FaultTally) int {
		return cmp.Or(cmp.Compare(a.share(), b.share()), cmp.Compare(b.Answers, a.Answers), cmp.Compare(a.Fault, b.Fault))
	})
	return t
}

func (f *FaultTally) share() float64 { return float64(f.Right) / float64(f.Answers) }

func (f *FaultTally) add(a *Answer) {
	f.Answers++
	f.Points += float64(a.Points)
	f.Looks += float64(a.Looks)
	if a.Remedy == a.RightRemedy {
		f.Remedies++
	}
	if a.Cause == a.Truth {
		f.Right++
		return
	}
	i := slices.IndexFunc(f.TakenFor, func(c Confusion) bool { return c.Cause == a.Cause })
	if i < 0 {
		f.TakenFor = append(f.TakenFor, Confusion{a.Cause, 1})
		return
	}
	f.TakenFor[i].Times++
}

func (f *FaultTally) finish() {
	f.Points /= float64(f.Answers)
	f.Looks /= float64(f.Answers)
	slices.SortFunc(f.TakenFor, func(a, b Confusion) int {
		return cmp.Or(cmp.Compare(b.Times, a.Times), cmp.Compare(a.Cause, b.Cause))
	})
}

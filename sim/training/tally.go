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
	Unnamed  int     // answers that count, without the name of a player
	Aborted  int     // answers that count, in which nothing was named
	Points   float64 // mean of the answers
	Faults   []FaultTally
	ByPlayer []PlayerTally // those with a name, the one with the fewest points in the mean first
}

// PlayerTally is how one player found the causes.
type PlayerTally struct {
	Player   string
	Answers  int
	Right    int // causes
	Remedies int // right ones
	Aborted  int
	Repeated int     // answers that do not count
	Points   float64 // mean
	Looks    float64 // mean
}

// FaultTally is how one cause was found.
type FaultTally struct {
	Fault    string
	Answers  int
	Right    int     // causes
	Remedies int     // right ones
	Aborted  int     // answers in which nothing was named
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
	seen, players, places := map[riddle]bool{}, map[string]int{}, map[string]int{}
	for i := range list {
		a := &list[i]
		if a.Player == "" {
			t.Unnamed++
		} else {
			p := &t.ByPlayer[entryOf(a.Player, players, &t.ByPlayer, PlayerTally{Player: a.Player})]
			k := riddle{a.Player, a.Rig, a.Sequence, a.Level, a.Seed}
			if seen[k] {
				t.Repeated++
				p.Repeated++
				continue
			}
			seen[k] = true
			p.add(a)
		}
		t.Faults[entryOf(a.Truth, places, &t.Faults, FaultTally{Fault: a.Truth})].add(a)
		t.add(a)
	}
	t.finish()
	return t
}

// entryOf is where something stands in a list, at whose end it is put if it is new.
func entryOf[T any](name string, places map[string]int, list *[]T, fresh T) int {
	place, ok := places[name]
	if !ok {
		place = len(*list)
		places[name] = place
		*list = append(*list, fresh)
	}
	return place
}

func (t *Tally) add(a *Answer) {
	t.Answers++
	t.Points += float64(a.Points)
	if a.Aborted {
		t.Aborted++
	}
}

func (t *Tally) finish() {
	t.Players = len(t.ByPlayer)
	t.Points /= float64(max(1, t.Answers))
	for i := range t.Faults {
		t.Faults[i].finish()
	}
	slices.SortFunc(t.Faults, func(a, b FaultTally) int {
		return cmp.Or(cmp.Compare(a.share(), b.share()), cmp.Compare(b.Answers, a.Answers), cmp.Compare(a.Fault, b.Fault))
	})
	for i := range t.ByPlayer {
		t.ByPlayer[i].finish()
	}
	slices.SortFunc(t.ByPlayer, func(a, b PlayerTally) int {
		return cmp.Or(cmp.Compare(a.Points, b.Points), cmp.Compare(b.Answers, a.Answers), cmp.Compare(a.Player, b.Player))
	})
}

func (p *PlayerTally) add(a *Answer) {
	p.Answers++
	p.Points += float64(a.Points)
	p.Looks += float64(a.Looks)
	switch {
	case a.Aborted:
		p.Aborted++
		return
	case a.Cause == a.Truth:
		p.Right++
	}
	if a.Remedy == a.RightRemedy {
		p.Remedies++
	}
}

func (p *PlayerTally) finish() {
	p.Points /= float64(p.Answers)
	p.Looks /= float64(p.Answers)
}

func (f *FaultTally) share() float64 { return float64(f.Right) / float64(f.Answers) }

func (f *FaultTally) add(a *Answer) {
	f.Answers++
	f.Points += float64(a.Points)
	f.Looks += float64(a.Looks)
	if a.Aborted {
		f.Aborted++
		return
	}
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

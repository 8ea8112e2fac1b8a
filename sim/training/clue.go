package training

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"holdbench/sequence"
)

// Clue is one signal that gave a fault away.
type Clue struct {
	Signal  string
	Unit    string
	AtS     float64 // s, when it first differed
	State   string  // of the sequence, in the faulted run
	Nominal string  // what it was in the nominal run at that moment
	Faulted string  // what it was in the faulted one
	Says    string  // one sentence
	// Follows means that the two runs were in different states already: then everything
	// differs, and it says little.
	Follows bool

	place int     // scan
	size  float64 // in yardsticks
}

// Clues holds a faulted run against the nominal one and lists what was to be seen, the
// earliest first and of those at the same time the largest. Both are runs of the same
// case with the same seed, so that they are the same until the fault.
//
// A signal counts if it differs for longer than chance can shift what happens: two scans
// and one safety scan. A word, or true and false, differs if it is another one; a number,
// if it is farther than the signal's yardstick from every nominal value within that time.
// A signal that trembles in the nominal run and not any more in the faulted one counts as
// well: that is how a frozen one looks.
func Clues(nominal, faulted *Recording) []Clue {
	return newReference(nominal).clues(faulted)
}

// reference is a nominal run made ready to be compared with many others.
type reference struct {
	*Recording
	signals []known
}

// known is a signal of a nominal run.
type known struct {
	sequence.Signal
	values []float64 // of a number or a flag, scan by scan
	sticks []float64 // of a number
}

func newReference(nominal *Recording) *reference {
	r := &reference{Recording: nominal}
	for _, s := range visible() {
		k := known{Signal: s, values: nominal.numbers(&s)}
		if s.Kind == sequence.KindNumber {
			k.sticks = yardstickOf(nominal, k.values)
		}
		r.signals = append(r.signals, k)
	}
	return r
}

func (r *reference) clues(faulted *Recording) []Clue {
	parted := r.parted(faulted)
	var list []Clue
	for i := range r.signals {
		s := &r.signals[i]
		place, size, found := r.first(s, faulted)
		frozen := false
		if s.Kind == sequence.KindNumber {
			if still, ok := r.still(s, faulted); ok && (!found || still < place) {
				place, size, found, frozen = still, 1, true, true
			}
		}
		if found {
			list = append(list, r.clue(&s.Signal, faulted, place, size, place > parted, frozen))
		}
	}
	slices.SortStableFunc(list, func(a, b Clue) int {
		return cmp.Or(cmp.Compare(a.place, b.place), cmp.Compare(b.size, a.size))
	})
	return list
}

// tells is whether a run can be told from the nominal one: a signal differs before the
// sequences part.
func (r *reference) tells(faulted *Recording) bool {
	list := r.clues(faulted)
	return len(list) > 0 && !list[0].Follows
}

// parted is the scan in which the two runs first are in different states.
func (r *reference) parted(faulted *Recording) int {
	for i := range faulted.scans {
		if faulted.scans[i].state != r.at(i).state {
			return i
		}
	}
	return len(faulted.scans)
}

// first finds the scan from which a signal differs, and by how many yardsticks.
func (r *reference) first(s *known, faulted *Recording) (place int, size float64, found bool) {
	lasts := 0
	for i := range faulted.scans {
		if r.excess(s, faulted, i) == 0 {
			lasts = 0
			continue
		}
		if lasts++; lasts > r.slack {
			place = i - r.slack
			return place, r.excess(s, faulted, place), true
		}
	}
	return 0, 0, false
}

// plain is the size of a difference that needs no yardstick.
const plain = 100

// excess is how many yardsticks a signal is away from the nominal run in a scan, 0 if not
// even one.
func (r *reference) excess(s *known, faulted *Recording, i int) float64 {
	x := s.InputNumber(&faulted.scans[i].in)
	switch s.Kind {
	case sequence.KindNumber:
		return s.yardsticks(x, i, r.slack)
	case sequence.KindBoolean:
		if x == s.values[min(i, len(s.values)-1)] {
			return 0
		}
	default:
		if text(&s.Signal, faulted.at(i)) == text(&s.Signal, r.at(i)) {
			return 0
		}
	}
	return plain
}

// yardsticks is how many of them a number is away from every nominal value within some
// scans, 0 if not even one.
func (s *known) yardsticks(x float64, i, slack int) float64 {
	away, stick := math.Inf(1), 0.0
	for j := i - slack; j <= i+slack; j++ {
		k := max(0, min(j, len(s.values)-1))
		away = min(away, math.Abs(x-s.values[k]))
		stick = max(stick, s.sticks[k])
	}
	switch {
	case away <= stick:
		return 0
	case stick == 0:
		return plain
	}
	return min(plain, math.Round(100*away/stick)/100) // signals that say the same tie
}

// A signal is still if it stays the same for stillScans in which the nominal one changed
// at least livelyScans times.
const (
	stillScans  = 200
	livelyScans = 20
)

// still finds the scan from which a signal no longer trembles.
func (r *reference) still(s *known, faulted *Recording) (place int, found bool) {
	values := s.values
	lasts, lively := 0, 0
	for i := 1; i < min(len(faulted.scans), len(values)); i++ {
		if s.InputNumber(&faulted.scans[i].in) != s.InputNumber(&faulted.scans[i-1].in) {
			lasts, lively = 0, 0
			continue
		}
		lasts++
		if values[i] != values[i-1] {
			lively++
		}
		if lasts >= stillScans && lively >= livelyScans {
			return i - lasts + 1, true
		}
	}
	return 0, false
}

func (r *reference) clue(s *sequence.Signal, faulted *Recording, place int, size float64, follows, frozen bool) Clue {
	was, is := r.at(place), faulted.at(place)
	c := Clue{
		Signal: s.Name, Unit: s.Unit.String(), AtS: is.atS, State: is.state,
		Nominal: text(s, was), Faulted: text(s, is), Follows: follows, place: place, size: size,
	}
	c.Says = fmt.Sprintf("At %.3f s in %s %s", c.AtS, c.State, says(s, &c, is, frozen))
	return c
}

// says is what the clue tells, after its time and its state.
func says(s *sequence.Signal, c *Clue, is *scan, frozen bool) string {
	switch {
	case frozen:
		return s.Name + " no longer changes, to the last digit."
	case s.Name == "judge_failed" && is.in.JudgeFailed:
		return "the judge fails the brake: " + orNothing(is.in.JudgeCause) + "."
	}
	return fmt.Sprintf("%s is %s and would be %s.", s.Name, withUnit(c.Faulted, c.Unit), withUnit(c.Nominal, c.Unit))
}

func withUnit(value, unit string) string {
	if unit == "" {
		return orNothing(value)
	}
	return value + " " + unit
}

func orNothing(word string) string {
	if word == "" {
		return "without a word"
	}
	return word
}

// text is a signal as people read it.
func text(s *sequence.Signal, at *scan) string {
	if s.Kind == sequence.KindNumber {
		return strconv.FormatFloat(s.InputNumber(&at.in), 'f', 3, 64)
	}
	return string(s.AppendInput(nil, &at.in))
}

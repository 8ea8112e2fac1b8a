package training

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"holdbench/sequence"
	"holdbench/sim/compare"
)

// Clue is one signal in which a fault shows.
type Clue struct {
	Signal  string
	Unit    string
	AtS     float64 // s, when it first differed
	State   string  // of the sequence, in the faulted run
	Nominal string  // value in the nominal run at that moment
	Faulted string  // value in the faulted run
	Text    string  // one sentence
	// AfterDivergence means that the two runs were in different states already: then all signals
	// differ, and the clue is weak.
	AfterDivergence bool

	scan int     // scan
	size float64 // of the difference, in tolerances
}

// reference is a nominal run, prepared for comparison with others.
type reference struct {
	*Recording
	signals []referenceSignal
}

// referenceSignal is a signal of a nominal run.
type referenceSignal struct {
	sequence.Signal
	values     []float64 // of a number or a flag, scan by scan
	tolerances []float64 // of a number
}

func newReference(nominal *Recording) *reference {
	r := &reference{Recording: nominal}
	for _, s := range visibleSignals() {
		if !nominal.two && ofOneOfTwo(s.Name) {
			continue
		}
		k := referenceSignal{Signal: s, values: nominal.numbers(&s)}
		if s.Kind == sequence.KindNumber {
			k.tolerances = tolerancesOf(nominal, k.values)
		}
		r.signals = append(r.signals, k)
	}
	return r
}

// clues compares a faulted run with the nominal one and lists the signals that differ, the
// earliest first and of those at the same time the largest. Both are runs of the same case with
// the same seed, so that they are equal until the fault.
//
// A signal counts if it differs for longer than chance can shift an event: two scans and one
// safety scan. A word or a flag differs if it is not the same; a number, if it is farther than
// the tolerance of the signal from every nominal value within that time. A signal with noise in
// the nominal run and none in the faulted one counts as well: it is frozen.
func (r *reference) clues(faulted *Recording) []Clue {
	parted := r.divergence(faulted)
	var list []Clue
	for i := range r.signals {
		s := &r.signals[i]
		place, size, found := r.firstDifference(s, faulted)
		frozen := false
		if s.isCountdown() && found && faulted.stands(s, place) {
			continue
		}
		if s.Kind == sequence.KindNumber && !s.isCountdown() {
			if still, ok := r.frozenSince(s, faulted, 0); ok && (!found || still < place) {
				place, size, found, frozen = still, 1, true, true
			}
		}
		if found {
			list = append(list, r.clue(&s.Signal, faulted, place, size, place > parted, frozen))
		}
	}
	slices.SortStableFunc(list, func(a, b Clue) int {
		return cmp.Or(cmp.Compare(a.scan, b.scan), cmp.Compare(b.size, a.size))
	})
	return list
}

// divergence is the first scan in which the two runs are in different states.
func (r *reference) divergence(faulted *Recording) int {
	for i := range faulted.scans {
		if faulted.scans[i].state != r.at(i).state {
			return i
		}
	}
	return len(faulted.scans)
}

// firstUnequal is the first scan in which the sequence reads anything else, however little.
func (r *reference) firstUnequal(other *Recording) int {
	for i := range min(len(other.scans), len(r.scans)) {
		if other.scans[i].in != r.scans[i].in {
			return i
		}
	}
	return min(len(other.scans), len(r.scans))
}

// firstDifference finds the scan from which a signal differs, and by how many tolerances.
func (r *reference) firstDifference(s *referenceSignal, faulted *Recording) (place int, size float64, found bool) {
	lasts := 0
	for i := range faulted.scans {
		if r.excess(s, faulted, i) == 0 {
			lasts = 0
			continue
		}
		if lasts++; lasts > r.slackScans {
			place = i - r.slackScans
			return place, r.excess(s, faulted, place), true
		}
	}
	return 0, 0, false
}

// flagExcess is the size of the difference of a word or a flag.
const flagExcess = 100

// excess is by how many tolerances a signal differs from the nominal run in a scan, 0 within
// one.
func (r *reference) excess(s *referenceSignal, faulted *Recording, i int) float64 {
	x := s.InputNumber(&faulted.scans[i].in)
	switch s.Kind {
	case sequence.KindNumber:
		return s.excess(x, i, r.slackScans)
	case sequence.KindBoolean:
		if x == s.values[min(i, len(s.values)-1)] {
			return 0
		}
	default:
		if text(&s.Signal, faulted.at(i)) == text(&s.Signal, r.at(i)) {
			return 0
		}
	}
	return flagExcess
}

// excess is by how many tolerances a number differs from every nominal value within some scans, 0
// within one.
func (s *referenceSignal) excess(x float64, i, slack int) float64 {
	distance, tolerance := s.distance(x, i, slack)
	switch {
	case distance <= tolerance:
		return 0
	case tolerance == 0:
		return flagExcess
	}
	return min(flagExcess, math.Round(100*distance/tolerance)/100) // rounded, so that equivalent signals are equal
}

// distance is how far a number is from the nearest nominal value within some scans, and the largest tolerance there.
func (s *referenceSignal) distance(x float64, i, slack int) (distance, tolerance float64) {
	distance = math.Inf(1)
	for j := i - slack; j <= i+slack; j++ {
		k := max(0, min(j, len(s.values)-1))
		distance = min(distance, math.Abs(x-s.values[k]))
		tolerance = max(tolerance, s.tolerances[k])
	}
	return distance, tolerance
}

// A signal is frozen if it does not change for frozenScans in which the nominal one changed at
// least nominalChanges times.
const (
	frozenScans    = 200
	nominalChanges = 20
)

// frozenSince finds the scan from which a signal no longer changes.
func (r *reference) frozenSince(s *referenceSignal, faulted *Recording, begin int) (place int, found bool) {
	values := s.values
	lasts, changes := 0, 0
	for i := max(1, begin); i < min(len(faulted.scans), len(values)); i++ {
		if s.InputNumber(&faulted.scans[i].in) != s.InputNumber(&faulted.scans[i-1].in) {
			lasts, changes = 0, 0
			continue
		}
		lasts++
		if values[i] != values[i-1] {
			changes++
		}
		if lasts >= frozenScans && changes >= nominalChanges {
			return i - lasts + 1, true
		}
	}
	return 0, false
}

func (r *reference) clue(s *sequence.Signal, faulted *Recording, place int, size float64, follows, frozen bool) Clue {
	was, is := r.at(place), faulted.at(place)
	c := Clue{
		Signal: s.Name, Unit: s.Unit.String(), AtS: is.atS, State: is.state,
		AfterDivergence: follows, scan: place, size: size,
	}
	c.Nominal, c.Faulted, _, _ = compare.Figures(text(s, was), text(s, is), true)
	c.Text = fmt.Sprintf("At %.3f s in %s: %s", c.AtS, c.State, says(s, &c, is, frozen))
	return c
}

// says is the sentence of the clue, after its time and its state.
func says(s *sequence.Signal, c *Clue, is *scan, frozen bool) string {
	switch {
	case frozen:
		return s.Name + " no longer changes at all."
	case s.Name == "judge_failed" && is.in.JudgeFailed:
		return "the judge fails the brake: " + orNothing(is.in.JudgeCause) + "."
	}
	return fmt.Sprintf("%s is %s, nominal %s.", s.Name, withUnit(c.Faulted, c.Unit), withUnit(c.Nominal, c.Unit))
}

func withUnit(value, unit string) string {
	if unit == "" {
		return orNothing(value)
	}
	return value + " " + unit
}

func orNothing(word string) string {
	if word == "" {
		return "no cause"
	}
	return word
}

// decimals are those of a number before it is written beside another one.
const decimals = 6

// text is a signal as it is compared by people.
func text(s *sequence.Signal, at *scan) string {
	if s.Kind == sequence.KindNumber {
		return strconv.FormatFloat(s.InputNumber(&at.in), 'f', decimals, 64)
	}
	return string(s.AppendInput(nil, &at.in))
}

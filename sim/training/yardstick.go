package training

import (
	"math"
	"slices"

	"holdbench/sequence"
)

// yardstickOf is how far a signal may be from the nominal run, in each of its states,
// before that means something. It is the largest of
//
//	6 σ                      more than noise does in a whole run
//	2 % of the signal's range in this state
//	1/10000 of its range in the whole run, which nobody reads off a curve
//
// with σ the noise in this state of the nominal run. The range is taken state by state,
// for a travel of half a metre would hide a brake that slips by a tenth of a millimetre. It
// comes scan by scan.
func yardstickOf(r *Recording, xs []float64) []float64 {
	const deviations = 6

	parts := map[string]*spread{}
	var whole spread
	for i, x := range xs {
		state := r.scans[i].state
		part := parts[state]
		if part == nil {
			part = new(spread)
			parts[state] = part
		}
		part.add(x)
		whole.add(x)
		if i >= 2 && r.scans[i-2].state == state && r.scans[i-1].state == state {
			part.bends = append(part.bends, math.Abs(x-2*xs[i-1]+xs[i-2]))
		}
	}
	of := map[string]float64{}
	for state, part := range parts {
		of[state] = max(deviations*part.noise(), shareOfState*part.reach(), shareOfRun*whole.reach())
	}
	sticks := make([]float64, len(xs))
	for i := range sticks {
		sticks[i] = of[r.scans[i].state]
	}
	return sticks
}

// The shares of its range that a signal may be away.
const (
	shareOfState = 0.02
	shareOfRun   = 1e-4
)

// spread is what a signal does over some scans.
type spread struct {
	low, high float64
	any       bool
	bends     []float64 // size of second differences
}

func (s *spread) add(x float64) {
	if !s.any {
		s.low, s.high, s.any = x, x, true
	}
	s.low, s.high = min(s.low, x), max(s.high, x)
}

func (s *spread) reach() float64 { return s.high - s.low }

// noise is the standard deviation of what trembles. With white noise ε on a smooth curve
// the second difference ε_k − 2 ε_{k−1} + ε_{k−2} has the variance 6 σ², and the median
// size of a normal value is 0.6745 of its deviation:
//
//	σ = median|second difference| / (0.6745 √6)
//
// The median is not led astray by the few scans in which the curve turns. Source: Gasser,
// Sroka and Jennen-Steinmetz, Biometrika 73, 1986, for the second difference (from memory).
func (s *spread) noise() float64 {
	if len(s.bends) == 0 {
		return 0
	}
	slices.Sort(s.bends)
	return s.bends[len(s.bends)/2] / (0.6745 * math.Sqrt(6))
}

// visible lists the signals that can give something away: not the operator's, and not
// the time in a state, which is the sequence's own.
func visible() []sequence.Signal {
	own := []string{"trigger", "cancel", "estop", "in_state_s"}
	return slices.DeleteFunc(sequence.InputSignals(), func(s sequence.Signal) bool { return slices.Contains(own, s.Name) })
}

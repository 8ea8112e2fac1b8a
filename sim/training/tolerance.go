package training

import (
	"math"
	"slices"

	"holdbench/sequence"
)

// tolerancesOf is how far a signal may differ from the nominal run without being a clue, for each
// state. It is the largest of
//
//	6 σ                      more than noise in a whole run
//	2 % of the signal's range in this state
//	1/10000 of its range in the whole run, which cannot be read off a curve
//
// with σ the noise in this state of the nominal run. The range is taken state by state, as a
// travel of half a metre would hide a brake that slips by a tenth of a millimetre. The result
// has a value for each scan.
func tolerancesOf(r *Recording, xs []float64) []float64 {
	const deviations = 6

	parts := map[string]*signalRange{}
	var whole signalRange
	for i, x := range xs {
		state := r.scans[i].state
		part := parts[state]
		if part == nil {
			part = new(signalRange)
			parts[state] = part
		}
		part.add(x)
		whole.add(x)
		if i >= 2 && r.scans[i-2].state == state && r.scans[i-1].state == state {
			part.secondDifferences = append(part.secondDifferences, math.Abs(x-float64(2*xs[i-1])+xs[i-2]))
		}
	}
	of := map[string]float64{}
	for state, part := range parts {
		of[state] = max(deviations*part.noise(), shareOfState*part.span(), shareOfRun*whole.span())
	}
	tolerances := make([]float64, len(xs))
	for i := range tolerances {
		tolerances[i] = of[r.scans[i].state]
	}
	return tolerances
}

// The shares of its range by which a signal may differ.
const (
	shareOfState = 0.02
	shareOfRun   = 1e-4
)

// signalRange is the range of a signal over some scans, and its noise.
type signalRange struct {
	low, high         float64
	any               bool
	secondDifferences []float64 // magnitudes
}

func (s *signalRange) add(x float64) {
	if !s.any {
		s.low, s.high, s.any = x, x, true
	}
	s.low, s.high = min(s.low, x), max(s.high, x)
}

func (s *signalRange) span() float64 { return s.high - s.low }

// noise is the standard deviation of the noise. With white noise ε on a smooth curve the second
// difference ε_k − 2 ε_{k−1} + ε_{k−2} has the variance 6 σ², and the median magnitude of a
// normal value is 0.6745 of its deviation:
//
//	σ = median|second difference| / (0.6745 √6)
//
// The median is not affected by the few scans in which the curve bends. Source: Gasser,
// Sroka and Jennen-Steinmetz, Biometrika 73, 1986, for the second difference (from memory).
func (s *signalRange) noise() float64 {
	if len(s.secondDifferences) == 0 {
		return 0
	}
	slices.Sort(s.secondDifferences)
	return s.secondDifferences[len(s.secondDifferences)/2] / (0.6745 * math.Sqrt(6))
}

// visibleSignals lists the signals that can be a clue: not those of the operator, and not the time
// in a state, which is the sequence's own.
func visibleSignals() []sequence.Signal {
	own := []string{"trigger", "cancel", "estop", "reset", "in_state_s", "scan_s"}
	return slices.DeleteFunc(sequence.InputSignals(), func(s sequence.Signal) bool { return slices.Contains(own, s.Name) })
}

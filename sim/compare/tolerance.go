package compare

import (
	"math"
	"slices"
	"time"
)

// Slack is how much earlier or later chance alone can make an event: two functional scans, for a
// signal with noise about a limit, and one safety scan, in which the judge reads.
func Slack(functional, safety time.Duration) time.Duration { return 2*functional + safety }

// Tolerances are how far a number may differ in another run without being different, for each of
// the states of a run. It is the largest of
//
//	6 σ                      more than noise in a whole run
//	2 % of the signal's range in this state
//	1/10000 of its range in the whole run, which cannot be read off a curve
//
// with σ the noise in this state. The range is taken state by state, as a travel of half a metre
// would hide a brake that slips by a tenth of a millimetre. stateOf is the state of a scan.
func Tolerances[S comparable](xs []float64, stateOf func(scan int) S) map[S]float64 {
	return tolerancesOf(xs, stateOf).of
}

// Noise is the standard deviation of the noise of values in their order, 0 for fewer than three. A step or a ramp is
// no noise.
func Noise(xs []float64) float64 {
	var s signalRange
	for i := 2; i < len(xs); i++ {
		s.addSecondDifference(xs[i], xs[i-1], xs[i-2])
	}
	return s.noise()
}

// tolerances are those of a number by states, and what they are made of.
type tolerances[S comparable] struct {
	of    map[S]float64
	noise float64 // the largest tolerance of noise
	ofRun float64 // shareOfState of the range in the whole run
}

func tolerancesOf[S comparable](xs []float64, stateOf func(scan int) S) tolerances[S] {
	const deviations = 6

	parts := map[S]*signalRange{}
	var whole signalRange
	for i, x := range xs {
		if math.IsNaN(x) {
			continue
		}
		state := stateOf(i)
		part := parts[state]
		if part == nil {
			part = new(signalRange)
			parts[state] = part
		}
		part.add(x)
		whole.add(x)
		if i >= 2 && stateOf(i-2) == state && stateOf(i-1) == state {
			part.addSecondDifference(x, xs[i-1], xs[i-2])
		}
	}
	t := tolerances[S]{of: make(map[S]float64, len(parts)), ofRun: shareOfState * whole.span()}
	for state, part := range parts {
		noise := deviations * part.noise()
		t.noise = max(t.noise, noise)
		t.of[state] = max(noise, shareOfState*part.span(), shareOfRun*whole.span())
	}
	return t
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

// addSecondDifference takes a value and the two before it.
func (s *signalRange) addSecondDifference(x, before, earlier float64) {
	s.secondDifferences = append(s.secondDifferences, math.Abs(x-float64(2*before)+earlier))
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

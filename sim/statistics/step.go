package statistics

import (
	"fmt"
	"math"

	"holdbench/plant/portable"
)

// step is the limit of the curve for a spread of zero: a probability below it, another above it,
// and any probability at one dose if that lies on it.
type step struct {
	below, above                      int // the last dose below it, the first above it; -1 and the number of doses for none
	deviance                          float64
	natural, lapse                    float64
	passedBelow, failedAbove, centred float64 // centred is the scaled dose of the step
}

// bestStep is the step with the least deviance. The doses are sorted.
func bestStep(doses []Dose, scaled []float64) step {
	n := len(doses)
	sums := prefixSums(doses)
	best := step{deviance: math.Inf(1)}
	consider := func(below, above int) {
		s := stepAt(&sums, below, above)
		if s.deviance < best.deviance-1e-9 {
			best = s
			best.centred = (scaled[max(below, 0)] + scaled[min(above, n-1)]) / 2
		}
	}
	for i := range n - 1 {
		consider(i, i+1)
	}
	for i := range n {
		consider(i-1, i+1)
	}
	return best
}

// stepSums are sums over the doses before an index: of trials, of passes, and of the terms of the
// likelihood of a curve through every dose.
type stepSums struct{ tried, passed, saturated []float64 }

func prefixSums(doses []Dose) stepSums {
	n := len(doses)
	s := stepSums{make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)}
	for i, d := range doses {
		s.tried[i+1] = s.tried[i] + d.Tried
		s.passed[i+1] = s.passed[i] + d.Passed
		s.saturated[i+1] = s.saturated[i] + logLikelihood(d.Passed, d.failed(), d.Passed/d.Tried, d.failed()/d.Tried)
	}
	return s
}

func stepAt(s *stepSums, below, above int) step {
	n := len(s.tried) - 1
	low, high := s.tried[below+1], s.tried[n]-s.tried[above]
	passedLow := s.passed[below+1]
	failedHigh := high - (s.passed[n] - s.passed[above])
	r := step{below: below, above: above, passedBelow: passedLow, failedAbove: failedHigh}
	if low > 0 {
		r.natural = min(passedLow/low, maxLapse)
	}
	if high > 0 {
		r.lapse = min(failedHigh/high, maxLapse)
	}
	saturated := s.saturated[below+1] + s.saturated[n] - s.saturated[above]
	likelihood := logLikelihood(passedLow, low-passedLow, r.natural, 1-r.natural) +
		logLikelihood(high-failedHigh, failedHigh, 1-r.lapse, r.lapse)
	r.deviance = max(0, 2*(saturated-likelihood))
	return r
}

// logLikelihood is k ln p + m ln q of k passes and m failures, with 0 ln 0 = 0.
func logLikelihood(passed, failed, p, q float64) float64 {
	sum := 0.0
	if passed > 0 {
		sum += float64(passed * portable.Log(p))
	}
	if failed > 0 {
		sum += float64(failed * portable.Log(q))
	}
	return sum
}

// err says where the step is. A dose on it with one outcome belongs to a side.
func (s *step) err(doses []Dose) error {
	if max(s.natural, s.lapse) >= maxLapse {
		return &LapseError{}
	}
	below, above := s.below, s.above
	if on := below + 1; on < above {
		switch {
		case doses[on].failed() == 0:
			above = on
		case doses[on].Passed == 0:
			below = on
		}
	}
	switch {
	case below < 0:
		return &NoFitError{fmt.Sprintf("%s above %.6g passed, and there are no trials below it", allBut(s.failedAbove), doses[0].At)}
	case above >= len(doses):
		return &NoFitError{fmt.Sprintf("%s below %.6g failed, and there are no trials above it", allBut(s.passedBelow), doses[len(doses)-1].At)}
	}
	return &SeparatedError{doses[below].At, doses[above].At, s.passedBelow, s.failedAbove}
}

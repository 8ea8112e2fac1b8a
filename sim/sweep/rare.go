package sweep

import (
	"fmt"
	"math"

	"holdbench/plant/portable"
	"holdbench/sim"
)

// rareSum sums up the weights of runs.
type rareSum struct {
	runs        int
	sum, square map[string]float64 // of the weights, by class
	weight      float64
}

func (s *rareSum) add(r *Record) {
	if s.sum == nil {
		s.sum, s.square = map[string]float64{}, map[string]float64{}
	}
	s.runs++
	s.sum[r.Class] += r.Weight
	s.square[r.Class] += float64(r.Weight * r.Weight)
	s.weight += r.Weight
}

// RareEstimate is the estimate of the probability of a rare event.
type RareEstimate struct {
	Class       sim.Class `json:"class"`
	Events      int       `json:"events"`      // runs of that class
	Probability float64   `json:"probability"` // that a run is of that class
	// Variance is that of Probability; its root is StandardError.
	Variance      float64 `json:"variance"`
	StandardError float64 `json:"standard_error"`
	Low           float64 `json:"low"`
	High          float64 `json:"high"`
	// EquivalentRuns is how many runs a plain count would need for the same error.
	EquivalentRuns float64 `json:"equivalent_runs"`
	// WeightMean is 1 except for chance; far from 1, the estimate is not reliable.
	WeightMean float64 `json:"weight_mean"`
	Warning    string  `json:"warning"` // why the estimate is not reliable, empty if it is
}

// A reliable estimate has so many events, and a mean of weights that is so near to 1.
const (
	minEvents      = 20
	maxWeightError = 0.25
)

// warning says why an estimate is not reliable.
func (r *RareEstimate) warning() string {
	switch {
	case r.Events == 0:
		return "no run had this outcome: there is no estimate"
	case r.Events < minEvents:
		return fmt.Sprintf("only %d runs had this outcome: the error itself is not well known", r.Events)
	case math.Abs(r.WeightMean-1) > maxWeightError:
		return fmt.Sprintf("the weights have a mean of %.3g, which should be 1: there are too few runs", r.WeightMean)
	}
	return ""
}

// rare is the probability of a class: the mean of weight times event, with the variance of that
// mean.
func (s *rareSum) rare(class sim.Class, events int, confidence float64) RareEstimate {
	n := float64(s.runs)
	r := RareEstimate{Class: class, Events: events, High: 1}
	if s.runs > 0 {
		r.WeightMean = s.weight / n
	}
	r.Warning = r.warning()
	if s.runs < 2 || events == 0 {
		return r
	}
	r.Probability = s.sum[string(class)] / n
	r.Variance = max(0, s.square[string(class)]/n-float64(r.Probability*r.Probability)) / (n - 1)
	r.StandardError = math.Sqrt(r.Variance)
	reach := float64(portable.NormalQuantile(0.5+float64(confidence/2)) * r.StandardError)
	r.Low, r.High = max(0, r.Probability-reach), min(1, r.Probability+reach)
	if r.Variance > 0 {
		r.EquivalentRuns = r.Probability * (1 - r.Probability) / r.Variance
	}
	return r
}

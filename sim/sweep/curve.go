package sweep

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/sim/statistics"
)

// Point is a point of the operating characteristic: how many runs were proven of those whose
// capacity over the required torque is in [From, To).
type Point struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Mean float64 `json:"mean"`
	Rate
}

// Fit is the operating characteristic as a cumulative normal distribution over the ratio of
// capacity to required torque.
type Fit struct {
	Median      float64    `json:"median"`
	MedianError float64    `json:"median_error"` // standard errors
	Spread      float64    `json:"spread"`
	SpreadError float64    `json:"spread_error"`
	ChiSquared  float64    `json:"chi_squared"` // over Groups of runs with enough of each outcome
	Groups      int        `json:"groups"`
	PValue      float64    `json:"p_value"` // of ChiSquared; 0 with two groups or fewer
	Quantiles   []Quantile `json:"quantiles"`

	probit statistics.Probit
}

// Probability is the fitted probability of a proof.
func (f *Fit) Probability(ratio float64) float64 { return f.probit.Probability(ratio) }

// Quantile is the ratio at which a proof has a given probability.
type Quantile struct {
	Probability   float64 `json:"probability"`
	Ratio         float64 `json:"ratio"`
	StandardError float64 `json:"standard_error"`
}

// quantileProbabilities are the probabilities for which the ratio is given.
func quantileProbabilities() []float64 { return []float64{0.01, 0.5, 0.99} }

// fit fits a curve to the bins, or returns why it cannot.
func (t *Tally) fit() (*Fit, string) {
	var doses []statistics.Dose
	for _, b := range t.bins[:binCount] {
		if b.tried > 0 {
			doses = append(doses, statistics.Dose{At: b.sum / float64(b.tried), Tried: float64(b.tried), Passed: float64(b.passed)})
		}
	}
	p, err := statistics.FitProbit(doses)
	if err != nil {
		return nil, err.Error()
	}
	f := &Fit{
		Median: p.Median, MedianError: p.MedianError, Spread: p.Spread, SpreadError: p.SpreadError,
		probit: p,
	}
	f.goodness(t.bins[:binCount])
	for _, chance := range quantileProbabilities() {
		x, e := p.Quantile(chance)
		f.Quantiles = append(f.Quantiles, Quantile{chance, x, e})
	}
	return f, ""
}

// minExpected is the expected number of each outcome that a group needs for chi squared to be
// valid (Cochran, Biometrics 10, 1954; from memory).
const minExpected = 5

// goodness compares the curve with the counts, in groups of neighbouring bins:
//
//	χ² = Σ (passed − n p)²/(n p (1 − p)), groups − 2 degrees of freedom
//
// Two degrees are lost to the median and the spread. Runs after the last full group are left out.
func (f *Fit) goodness(bins []bin) {
	var passed, expected, variance, refused float64
	for _, b := range bins {
		if b.tried == 0 {
			continue
		}
		n, p := float64(b.tried), f.Probability(b.sum/float64(b.tried))
		passed += float64(b.passed)
		expected, refused, variance = expected+n*p, refused+n*(1-p), variance+n*p*(1-p)
		if expected < minExpected || refused < minExpected {
			continue
		}
		f.ChiSquared += (passed - expected) * (passed - expected) / variance
		f.Groups++
		passed, expected, variance, refused = 0, 0, 0, 0
	}
	if f.Groups > 2 {
		f.PValue = distuv.ChiSquared{K: float64(f.Groups - 2)}.Survival(f.ChiSquared)
	}
}

// curvePoints is roughly the number of points of a curve.
const curvePoints = 24

// curve combines bins to points, over the range in which the curve rises.
func (t *Tally) curve(f *Fit, interval intervalOf) []Point {
	from, to := t.curveRange(f)
	step := max(1, (to-from+curvePoints-1)/curvePoints)
	list := []Point{}
	for at := from; at < to; at += step {
		var sum bin
		for _, b := range t.bins[at:min(at+step, binCount)] {
			sum.tried, sum.passed, sum.sum = sum.tried+b.tried, sum.passed+b.passed, sum.sum+b.sum
		}
		if sum.tried > 0 {
			list = append(list, Point{
				From: round(float64(at) * binWidth), To: round(float64(min(at+step, binCount)) * binWidth),
				Mean: sum.sum / float64(sum.tried), Rate: rateOf(sum.passed, sum.tried, interval),
			})
		}
	}
	return list
}

// round removes the error of binary fractions from the edge of a bin.
func round(x float64) float64 { return math.Round(x*1e6) / 1e6 }

// curveRange is the range of bins of the curve: those around its rise, or all that have runs.
func (t *Tally) curveRange(f *Fit) (from, to int) {
	to = binCount
	for from < to && t.bins[from].tried == 0 {
		from++
	}
	for to > from && t.bins[to-1].tried == 0 {
		to--
	}
	if f != nil {
		const sides = 6 // spreads to each side: probabilities of 1e-9 and its complement
		from = max(from, min(binOf(max(0, f.Median-sides*f.Spread)), binCount-1))
		to = min(to, max(binOf(max(0, f.Median+sides*f.Spread))+1, from+1))
	}
	return from, to
}

package sweep

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/sim/statistics"
)

// Point of the operating curve: how many were proven of those whose capacity over the required
// torque lies in [From, To).
type Point struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Mean float64 `json:"mean"`
	Rate
}

// Fit is the operating curve as a cumulative normal distribution over the ratio of capacity to
// required torque.
type Fit struct {
	Median      float64 `json:"median"`
	MedianError float64 `json:"median_error"` // standard errors
	Spread      float64 `json:"spread"`
	SpreadError float64 `json:"spread_error"`
	ChiSquared  float64 `json:"chi_squared"` // of Groups of runs with enough of each outcome
	Groups      int     `json:"groups"`
	Trust       float64 `json:"trust"` // chance of one so large, were the curve right; 0 with two groups or fewer
	Places      []Place `json:"places"`

	probit statistics.Probit
}

// Chance is the fitted chance of a proof.
func (f *Fit) Chance(ratio float64) float64 { return f.probit.Chance(ratio) }

// Place is the ratio at which a share of the brakes gets a proof.
type Place struct {
	Chance        float64 `json:"chance"`
	Ratio         float64 `json:"ratio"`
	StandardError float64 `json:"standard_error"`
}

// chances are those at which the place on the curve is given.
func chances() []float64 { return []float64{0.01, 0.5, 0.99} }

// fit puts a curve through the bins, or says why it cannot.
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
	for _, chance := range chances() {
		x, e := p.Place(chance)
		f.Places = append(f.Places, Place{chance, x, e})
	}
	return f, ""
}

// leastExpected is how many of each outcome a group must lead one to expect for chi squared to
// hold (Cochran, Biometrics 10, 1954; from memory).
const leastExpected = 5

// goodness holds the curve against what was counted, in groups of neighbouring bins:
//
//	χ² = Σ (passed − n p)²/(n p (1 − p)), groups − 2 degrees of freedom
//
// Two are lost to the median and the spread. Runs behind the last full group are left out.
func (f *Fit) goodness(bins []bin) {
	var passed, expected, variance, refused float64
	for _, b := range bins {
		if b.tried == 0 {
			continue
		}
		n, p := float64(b.tried), f.Chance(b.sum/float64(b.tried))
		passed += float64(b.passed)
		expected, refused, variance = expected+n*p, refused+n*(1-p), variance+n*p*(1-p)
		if expected < leastExpected || refused < leastExpected {
			continue
		}
		f.ChiSquared += (passed - expected) * (passed - expected) / variance
		f.Groups++
		passed, expected, variance, refused = 0, 0, 0, 0
	}
	if f.Groups > 2 {
		f.Trust = distuv.ChiSquared{K: float64(f.Groups - 2)}.Survival(f.ChiSquared)
	}
}

// curvePoints is about how many points are shown.
const curvePoints = 24

// curve gathers bins into points, over the stretch in which something happens.
func (t *Tally) curve(f *Fit, interval intervalOf) []Point {
	from, to := t.stretch(f)
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

// round takes away what binary fractions add to the edge of a bin.
func round(x float64) float64 { return math.Round(x*1e6) / 1e6 }

// stretch is the bins from which the curve is drawn: those around its rise, or all that have
// runs.
func (t *Tally) stretch(f *Fit) (from, to int) {
	to = binCount
	for from < to && t.bins[from].tried == 0 {
		from++
	}
	for to > from && t.bins[to-1].tried == 0 {
		to--
	}
	if f != nil {
		const sides = 6 // spreads to each side: chances of 1e-9 and its complement
		from = max(from, min(binOf(max(0, f.Median-sides*f.Spread)), binCount-1))
		to = min(to, max(binOf(max(0, f.Median+sides*f.Spread))+1, from+1))
	}
	return from, to
}

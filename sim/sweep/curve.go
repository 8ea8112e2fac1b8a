package sweep

import (
	"errors"
	"math"
	"math/rand/v2"

	"holdbench/sim/statistics"
)

// Point is a point of the operating characteristic: how many runs were proven of those whose
// capacity over the required torque is in [From, To), less those that ended for a cause other than
// the brake, which are Apart.
type Point struct {
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	Mean  float64 `json:"mean"`
	Apart int     `json:"apart"`
	Rate
}

// Fit is the operating characteristic: a cumulative normal distribution over the ratio of capacity
// to required torque, between two rates that do not depend on it. It goes through the counts.
type Fit struct {
	Median Estimate `json:"median"`
	Spread Estimate `json:"spread"`
	// Natural is the rate of proofs whatever the torque, Lapse that of refusals.
	Natural   Estimate   `json:"natural"`
	Lapse     Estimate   `json:"lapse"`
	Deviance  float64    `json:"deviance"` // over Groups of neighbouring runs
	Groups    int        `json:"groups"`
	PValue    float64    `json:"p_value"` // of Deviance
	Quantiles []Quantile `json:"quantiles"`

	response *statistics.Response
}

// Estimate is a value with its confidence interval.
type Estimate struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Probability is the fitted probability of a proof.
func (f *Fit) Probability(ratio float64) float64 { return f.response.Probability(ratio) }

// Quantile is the ratio at which the normal distribution has a given probability.
type Quantile struct {
	Probability float64 `json:"probability"`
	Ratio       float64 `json:"ratio"`
	Low         float64 `json:"low"`
	High        float64 `json:"high"`
}

// quantileProbabilities are the probabilities for which the ratio is given.
func quantileProbabilities() []float64 { return []float64{0.01, 0.5, 0.99} }

// minPValue is the goodness of fit below which there is no curve.
const minPValue = 0.01

// fit fits a curve to the bins, or returns why there is none that goes through the counts. The
// seed is that of the sweep: the same runs give the same curve, in parts or whole.
func (t *Tally) fit(confidence float64, seed uint64) (*Fit, error) {
	var doses []statistics.Dose
	for _, b := range t.bins[:binCount] {
		if b.tried > 0 {
			doses = append(doses, statistics.Dose{At: b.sum / float64(b.tried), Tried: float64(b.tried), Passed: float64(b.passed)})
		}
	}
	r, err := statistics.FitResponse(doses)
	if err != nil {
		return nil, err
	}
	const stream = 1
	g := r.Goodness(rand.NewPCG(seed, stream))
	if g.PValue <= minPValue {
		return nil, &statistics.PoorFitError{Goodness: g}
	}
	f := &Fit{Deviance: g.Deviance, Groups: g.Groups, PValue: g.PValue, response: r}
	f.estimate(confidence)
	if !f.bounded() {
		return nil, errors.New("too few runs where the curve rises: an interval has no end")
	}
	return f, nil
}

// estimate takes the values of the curve and their intervals.
func (f *Fit) estimate(confidence float64) {
	r := f.response
	of := func(value float64, i statistics.Interval) Estimate { return Estimate{value, i.Low, i.High} }
	f.Median = of(r.Median, r.QuantileInterval(0.5, confidence))
	f.Spread = of(r.Spread, r.SpreadInterval(confidence))
	f.Natural = of(r.Natural, r.NaturalInterval(confidence))
	f.Lapse = of(r.Lapse, r.LapseInterval(confidence))
	for _, chance := range quantileProbabilities() {
		i := r.QuantileInterval(chance, confidence)
		f.Quantiles = append(f.Quantiles, Quantile{chance, r.Quantile(chance), i.Low, i.High})
	}
}

// bounded is whether the runs determine the curve.
func (f *Fit) bounded() bool {
	ok := finite(f.Spread.High)
	for _, q := range f.Quantiles {
		ok = ok && finite(q.Low) && finite(q.High)
	}
	return ok
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
			sum.tried, sum.passed, sum.apart, sum.sum = sum.tried+b.tried, sum.passed+b.passed, sum.apart+b.apart, sum.sum+b.sum
		}
		if sum.tried > 0 {
			list = append(list, Point{
				From: round(float64(at) * binWidth), To: round(float64(min(at+step, binCount)) * binWidth),
				Mean: sum.sum / float64(sum.tried), Apart: sum.apart, Rate: rateOf(sum.passed, sum.tried, interval),
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
		const sides = 8 // spreads to each side, so that both ends of the curve are seen
		median, spread := f.Median.Value, f.Spread.Value
		from = max(from, min(binOf(max(0, median-sides*spread)), binCount-1))
		to = min(to, max(binOf(max(0, median+sides*spread))+1, from+1))
	}
	return from, to
}

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

// Fit is the operating characteristic, a curve that goes through the counts: of the shape of
// Normal, or where no such curve does, without a shape and only not falling.
type Fit struct {
	Normal    *Normal    `json:"normal"`     // null without a shape
	NotNormal string     `json:"not_normal"` // why
	Deviance  float64    `json:"deviance"`   // over Groups of neighbouring runs
	Groups    int        `json:"groups"`
	PValue    float64    `json:"p_value"`   // of Deviance
	Quantiles []Quantile `json:"quantiles"` // that the runs determine

	curve curve
}

// curve is a fitted probability.
type curve interface {
	Probability(x float64) float64
	Quantile(probability float64) float64
	QuantileInterval(probability, confidence float64) statistics.Interval
	Goodness(source rand.Source) statistics.Goodness
}

// Normal is a cumulative normal distribution over the ratio of capacity to required torque, between
// two rates that do not depend on it.
type Normal struct {
	Median Estimate `json:"median"`
	Spread Estimate `json:"spread"`
	// Natural is the rate of proofs whatever the torque, Lapse that of refusals.
	Natural Estimate `json:"natural"`
	Lapse   Estimate `json:"lapse"`
}

// Estimate is a value with its confidence interval.
type Estimate struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Probability is the fitted probability of a proof.
func (f *Fit) Probability(ratio float64) float64 { return f.curve.Probability(ratio) }

// Band is the confidence interval of the probability at a ratio, of a curve without a shape only.
func (f *Fit) Band(ratio, confidence float64) (low, high float64, ok bool) {
	m, ok := f.curve.(*statistics.Monotone)
	if !ok {
		return 0, 0, false
	}
	i := m.Interval(ratio, confidence)
	return i.Low, i.High, true
}

// Quantile is the ratio at which a proof has a given probability; of a normal distribution without
// the two rates.
type Quantile struct {
	Probability float64 `json:"probability"`
	Ratio       float64 `json:"ratio"`
	Low         float64 `json:"low"`
	High        float64 `json:"high"`
}

// minPValue is the goodness of fit up to which a curve does not go through the counts.
const minPValue = 0.01

// fitter fits curves to the runs of a sweep. The seed is that of the sweep: the same runs give the
// same curve, in parts or whole.
type fitter struct {
	doses      []statistics.Dose
	confidence float64
	seed       uint64
}

// fit fits a curve to the bins, or returns why there is none that goes through the counts.
func (t *Tally) fit(confidence float64, seed uint64) (*Fit, error) {
	f := &fitter{confidence: confidence, seed: seed}
	for _, b := range t.bins[:binCount] {
		if b.tried > 0 {
			f.doses = append(f.doses, statistics.Dose{At: b.sum / float64(b.tried), Tried: float64(b.tried), Passed: float64(b.passed)})
		}
	}
	r, err := statistics.FitResponse(f.doses)
	if _, lapses := errors.AsType[*statistics.LapseError](err); lapses {
		return f.monotone(errors.New("10 % or more of the runs have a proof, or none, whatever the torque, which are no lapses"))
	}
	if err != nil {
		return nil, err
	}
	fit, poor := f.goodness(r)
	if poor != nil {
		return f.monotone(poor)
	}
	fit.Normal = f.normal(r)
	fit.quantiles(f.confidence, 0.01, 0.5, 0.99)
	if len(fit.Quantiles) < 3 || !finite(fit.Normal.Spread.High) {
		return nil, errors.New("too few runs where the curve rises: an interval has no end")
	}
	return fit, nil
}

// goodness is a fit of a curve, or the error that it does not go through the counts.
func (f *fitter) goodness(c curve) (*Fit, error) {
	const stream = 1
	g := c.Goodness(rand.NewPCG(f.seed, stream))
	fit := &Fit{Deviance: g.Deviance, Groups: g.Groups, PValue: g.PValue, curve: c}
	if g.PValue <= minPValue {
		return fit, &statistics.PoorFitError{Goodness: g}
	}
	return fit, nil
}

// normal takes the values of a curve and their intervals.
func (f *fitter) normal(r *statistics.Response) *Normal {
	of := func(value float64, i statistics.Interval) Estimate { return Estimate{value, i.Low, i.High} }
	return &Normal{
		Median:  of(r.Median, r.QuantileInterval(0.5, f.confidence)),
		Spread:  of(r.Spread, r.SpreadInterval(f.confidence)),
		Natural: of(r.Natural, r.NaturalInterval(f.confidence)),
		Lapse:   of(r.Lapse, r.LapseInterval(f.confidence)),
	}
}

// monotone fits a curve without a shape. Its ends have too few runs for the quantiles of a normal
// distribution.
func (f *fitter) monotone(why error) (*Fit, error) {
	m, err := statistics.FitMonotone(f.doses)
	if err != nil {
		return nil, err
	}
	fit, poor := f.goodness(m)
	if poor != nil {
		return nil, poor
	}
	fit.NotNormal = why.Error()
	fit.quantiles(f.confidence, 0.1, 0.5, 0.9)
	return fit, nil
}

// quantiles adds those that the runs determine.
func (f *Fit) quantiles(confidence float64, probabilities ...float64) {
	f.Quantiles = []Quantile{}
	for _, p := range probabilities {
		x, i := f.curve.Quantile(p), f.curve.QuantileInterval(p, confidence)
		if finite(x) && finite(i.Low) && finite(i.High) {
			f.Quantiles = append(f.Quantiles, Quantile{p, x, i.Low, i.High})
		}
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
	if f != nil && f.Normal != nil {
		const sides = 8 // spreads to each side, so that both ends of the curve are seen
		median, spread := f.Normal.Median.Value, f.Normal.Spread.Value
		from = max(from, min(binOf(max(0, median-float64(sides*spread))), binCount-1))
		to = min(to, max(binOf(max(0, median+float64(sides*spread)))+1, from+1))
	}
	return from, to
}

package statistics

import (
	"math"

	"holdbench/plant/portable"
)

// Response is the probability with which trials pass, over the dose x:
//
//	P(x) = Natural + (1 − Natural − Lapse) Φ((x − Median)/Spread)
//
// Median and Spread have the unit of the doses. Natural is the rate of those that pass whatever
// the dose, Lapse that of those that fail whatever the dose, both at most 0.1: without them, a
// single failure far above the median flattens the curve. Natural response: Abbott, Journal of
// Economic Entomology 18, 1925; Finney, Probit Analysis, 3rd edition, 1971, chapter 7. Lapses:
// Wichmann and Hill, Perception & Psychophysics 63, 2001, 1293-1313 (all from memory).
type Response struct {
	Median, Spread float64
	Natural, Lapse float64
	Deviance       float64 // of the doses from the curve

	fit  *fit
	best theta
	step step
}

// maxLapse is the largest Natural and the largest Lapse. A larger share is no lapse but the way in
// which a test works, and could hardly be distinguished from a flat curve.
const maxLapse = 0.1

// FitResponse finds the curve of maximum likelihood. The order of the doses, and how trials are
// split into doses, have no effect. Errors are *OneOutcomeError, *SeparatedError, *LapseError
// and *NoFitError.
func FitResponse(doses []Dose) (*Response, error) {
	doses, err := mergedDoses(doses)
	if err != nil {
		return nil, err
	}
	if err := twoOutcomes(doses); err != nil {
		return nil, err
	}
	f := newFit(doses)
	if !(f.unit > 0) || math.IsInf(f.unit, 0) {
		return nil, errPrecision()
	}
	s := bestStep(doses, f.scaled)
	best := f.maximise(&s)
	switch {
	case f.flatDeviance()-min(best.deviance, s.deviance) < chiSquared(0.95):
		return nil, &NoFitError{"the counts do not show that the curve rises"}
	case !(best.deviance < s.deviance-1e-6):
		return nil, s.err(doses)
	case max(best.natural, best.lapse) >= maxLapse:
		return nil, &LapseError{}
	}
	r := &Response{
		Median: f.centre + float64(f.unit*best.at), Spread: f.unit * portable.Exp(best.logSpread),
		Natural: best.natural, Lapse: best.lapse, Deviance: best.deviance, fit: f, best: best, step: s,
	}
	for _, v := range []float64{r.Median, r.Spread, r.Deviance} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, errPrecision()
		}
	}
	return r, nil
}

func errPrecision() error {
	return &NoFitError{"the precision of numbers is not sufficient for these doses and counts"}
}

// chiSquared is the quantile with one degree of freedom.
func chiSquared(confidence float64) float64 {
	z := quantile(confidence)
	return z * z
}

// Probability is the height of the curve at x.
func (r *Response) Probability(x float64) float64 {
	return r.Natural + float64((1-r.Natural-r.Lapse)*portable.NormalCDF((x-r.Median)/r.Spread))
}

// Quantile is where the normal distribution of the curve has a probability between 0 and 1, so
// without lapses (Abbott's correction). Other probabilities give NaN.
func (r *Response) Quantile(probability float64) float64 {
	if !(probability > 0 && probability < 1) {
		return math.NaN()
	}
	return r.Median + float64(portable.NormalQuantile(probability)*r.Spread)
}

// fit is what the curve is fitted to: doses, scaled to mean 0 and deviation 1.
type fit struct {
	doses        []Dose
	scaled       []float64
	centre, unit float64 // dose = centre + unit × scaled
	saturated    float64 // log likelihood of a curve through every dose
	precision    float64 // share of the deviance that a further step may promise
}

func newFit(doses []Dose) *fit {
	f := &fit{doses: doses, scaled: make([]float64, len(doses)), precision: 1e-11}
	tried := make([]float64, len(doses))
	for i, d := range doses {
		f.scaled[i], tried[i] = d.At, d.Tried
	}
	f.centre, f.unit = weightedMeanDeviation(f.scaled, tried)
	for i := range f.scaled {
		f.scaled[i] = float64((f.scaled[i] - f.centre) * (1 / f.unit))
	}
	f.saturated = saturated(doses)
	return f
}

// weightedMeanDeviation is the mean of weighted values and their standard deviation, by the sum of the
// weights.
func weightedMeanDeviation(x, weights []float64) (mean, deviation float64) {
	var sum, total, squares float64
	for i, v := range x {
		sum, total = sum+float64(weights[i]*v), total+weights[i]
	}
	mean = sum / total
	for i, v := range x {
		squares += float64(weights[i] * (v - mean) * (v - mean))
	}
	return mean, math.Sqrt(squares / total)
}

func saturated(doses []Dose) float64 {
	sums := prefixSums(doses)
	return sums.saturated[len(doses)]
}

// flatDeviance is the deviance of the doses from the share that passed.
func (f *fit) flatDeviance() float64 {
	var tried, passed float64
	for _, d := range f.doses {
		tried += d.Tried
		passed += d.Passed
	}
	return 2 * (f.saturated - logLikelihood(passed, tried-passed, passed/tried, (tried-passed)/tried))
}

// startSpreads is the number of spreads from which a fit starts, each half of the one before. The
// likelihood can have several maxima.
const startSpreads = 10

// maximise fits all four parameters, from spreads of twice the deviation of the doses down. Of
// curves that fit alike, as through two doses, the one with the least rates counts.
func (f *fit) maximise(s *step) theta {
	best := theta{deviance: math.Inf(1)}
	start := theta{
		at: s.centred, logSpread: math.Ln2,
		natural: max(s.natural, maxLapse/20), lapse: max(s.lapse, maxLapse/20),
	}
	for range startSpreads {
		t := f.climb(start, 0)
		alike := math.Abs(t.deviance-best.deviance) < 1e-6
		if !alike && t.deviance < best.deviance || alike && t.natural+t.lapse < best.natural+best.lapse {
			best = t
		}
		start.logSpread -= math.Ln2
	}
	return best
}

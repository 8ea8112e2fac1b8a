package statistics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Probit is the fitted curve Φ((x − Median)/Spread), with x, Median, Spread and their errors in
// the unit of the doses.
type Probit struct {
	Median, Spread           float64
	MedianError, SpreadError float64 // standard errors
	Deviance                 float64 // of the doses from the curve
	DegreesOfFreedom         int     // of the deviance: doses less two

	covariance float64 // of Median and Spread
}

// minSlope is the slope, over doses of deviation 1, below which there is only rounding.
const minSlope = 1e-9

// maxSteps limits the steps of a fit. Six to ten are usual.
const maxSteps = 100

// FitProbit finds the curve of maximum likelihood by repeated fits of a line to working probits:
// Finney, Probit Analysis, 3rd edition, 1971, chapter 4 (from memory). The weights of the steps
// are those of Newton's method, as the expected ones of Fisher scoring oscillate about the maximum
// where trials contradict the curve; the errors are from the expected ones. The order of the
// doses, and how trials are split into doses, have no effect. Errors are *OneOutcomeError,
// *SeparatedError and *NoFitError.
func FitProbit(doses []Dose) (Probit, error) {
	doses, err := mergedDoses(doses)
	if err != nil {
		return Probit{}, err
	}
	if err := overlap(doses); err != nil {
		return Probit{}, err
	}
	f := newFit(doses)
	if !(f.unit > 0) || math.IsInf(f.unit, 0) {
		return Probit{}, errPrecision()
	}
	if err := f.maximise(); err != nil {
		return Probit{}, err
	}
	if !(f.slope > minSlope) {
		return Probit{}, &NoFitError{"the curve does not rise"}
	}
	p := f.probit()
	for _, v := range []float64{p.Median, p.Spread, p.MedianError, p.SpreadError, p.Deviance} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Probit{}, errPrecision()
		}
	}
	return p, nil
}

func errPrecision() error {
	return &NoFitError{"the precision of numbers is not sufficient for these doses and counts"}
}

// fit is a line of probits over doses that are scaled to mean 0 and deviation 1.
type fit struct {
	doses              []Dose
	scaled             []float64
	centre, unit       float64 // dose = centre + unit × scaled
	constant, slope    float64
	deviance           float64
	working, weighting []float64
}

func newFit(doses []Dose) *fit {
	n := len(doses)
	f := &fit{doses: doses, scaled: make([]float64, n), working: make([]float64, n), weighting: make([]float64, n)}
	tried := make([]float64, n)
	for i, d := range doses {
		f.scaled[i], tried[i] = d.At, d.Tried
	}
	f.centre, f.unit = stat.PopMeanStdDev(f.scaled, tried)
	floats.AddConst(-f.centre, f.scaled)
	floats.Scale(1/f.unit, f.scaled)
	return f
}

// maximise goes from the flat curve to the one of maximum likelihood. The likelihood of a probit
// is concave, so that steps, halved until they do not lead down, end at the only maximum.
func (f *fit) maximise() error {
	f.constant, f.slope = f.flatProbit(), 0
	f.deviance = f.devianceOf(f.constant, f.slope)
	for range maxSteps {
		constant, slope := f.step()
		distance := math.Hypot(constant-f.constant, slope-f.slope)
		moved := f.move(constant, slope)
		switch size := math.Hypot(constant, slope); {
		case distance <= 1e-11*size, !moved && distance <= 1e-6*size: // as far as the precision allows
			return nil
		case !moved:
			return errPrecision()
		}
	}
	return &NoFitError{fmt.Sprintf("the fit has not converged after %d steps", maxSteps)}
}

// maxProbit is the largest probit for which densities and tails are computed without underflow.
const maxProbit = 30

func bounded(eta float64) float64 { return max(-maxProbit, min(eta, maxProbit)) }

// flatProbit is the probit of the share that passed.
func (f *fit) flatProbit() float64 {
	var tried, passed float64
	for _, d := range f.doses {
		tried += d.Tried
		passed += d.Passed
	}
	return bounded(distuv.UnitNormal.Quantile(passed / tried))
}

// step fits a line to the working probits η + gradient/weight, with the first two derivatives of
// the logarithm of the likelihood, k ln Φ(η) + (n−k) ln Φ(−η). With r = φ(η)/Φ(η) those of ln Φ
// are r and −r(r + η).
func (f *fit) step() (constant, slope float64) {
	for i, d := range f.doses {
		eta := bounded(f.constant + f.slope*f.scaled[i])
		density := distuv.UnitNormal.Prob(eta)
		r, q := density/distuv.UnitNormal.CDF(eta), density/distuv.UnitNormal.CDF(-eta)
		f.weighting[i] = d.Passed*r*(r+eta) + d.failed()*q*(q-eta)
		f.working[i] = eta + (d.Passed*r-d.failed()*q)/f.weighting[i]
	}
	return stat.LinearRegression(f.scaled, f.working, f.weighting, false)
}

// expectWeights sets the weights to the expected ones, n φ²/(Φ(1 − Φ)).
func (f *fit) expectWeights() {
	for i, d := range f.doses {
		eta := bounded(f.constant + f.slope*f.scaled[i])
		density := distuv.UnitNormal.Prob(eta)
		f.weighting[i] = d.Tried * (density / distuv.UnitNormal.CDF(eta)) * (density / distuv.UnitNormal.CDF(-eta))
	}
}

// move goes to a curve, or as far towards it as the likelihood does not fall; it is false if it
// falls at once.
func (f *fit) move(constant, slope float64) bool {
	const halvings = 40
	ceiling := f.deviance + 1e-12*(1+f.deviance) // what rounding may add at the maximum
	part := 1.0
	for range halvings {
		c, s := f.constant+part*(constant-f.constant), f.slope+part*(slope-f.slope)
		if d := f.devianceOf(c, s); d <= ceiling {
			f.constant, f.slope, f.deviance = c, s, d
			return true
		}
		part /= 2
	}
	return false
}

// devianceOf is twice the difference of the log likelihood to that of a curve through every dose:
//
//	2 Σ k ln(k/nΦ) + (n−k) ln((n−k)/n(1−Φ))
func (f *fit) devianceOf(constant, slope float64) float64 {
	sum := 0.0
	for i, d := range f.doses {
		eta := constant + slope*f.scaled[i]
		sum += devianceTerm(d.Passed, d.Tried*distuv.UnitNormal.CDF(eta))
		sum += devianceTerm(d.failed(), d.Tried*distuv.UnitNormal.CDF(-eta))
	}
	return max(0, 2*sum)
}

func devianceTerm(seen, expected float64) float64 {
	if seen == 0 {
		return 0
	}
	return seen * math.Log(seen/expected)
}

// probit turns the line into the curve. With the expected weights w, the mean dose x̄ and the
// height of the line there are independent, with the variances
//
//	var height = 1/Σw,  var slope = 1/Σw(x−x̄)²
//
// and Median = x̄ − height/slope, Spread = 1/slope take theirs by the delta method.
func (f *fit) probit() Probit {
	f.expectWeights()
	middle, variance := stat.PopMeanVariance(f.scaled, f.weighting)
	weight := floats.Sum(f.weighting)
	b, m := f.slope, -f.constant/f.slope
	heightVariance, slopeVariance := 1/weight, 1/(weight*variance)
	off := m - middle
	return Probit{
		Median:           f.centre + f.unit*m,
		Spread:           f.unit / b,
		MedianError:      f.unit / b * math.Sqrt(heightVariance+off*off*slopeVariance),
		SpreadError:      f.unit / (b * b) * math.Sqrt(slopeVariance),
		Deviance:         f.deviance,
		DegreesOfFreedom: len(f.doses) - 2,
		covariance:       f.unit * f.unit * off * slopeVariance / (b * b * b),
	}
}

// Probability is the height of the curve at x.
func (p Probit) Probability(x float64) float64 {
	return distuv.UnitNormal.CDF((x - p.Median) / p.Spread)
}

// Quantile is where the curve has a probability between 0 and 1, and its standard error by the
// delta method. Other probabilities give NaN.
func (p Probit) Quantile(probability float64) (x, standardError float64) {
	if !(probability > 0 && probability < 1) {
		return math.NaN(), math.NaN()
	}
	z := distuv.UnitNormal.Quantile(probability)
	variance := p.MedianError*p.MedianError + 2*z*p.covariance + z*z*p.SpreadError*p.SpreadError
	return p.Median + z*p.Spread, math.Sqrt(max(0, variance))
}

package statistics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Probit is the fitted curve Φ((x − Median)/Spread), with x, Median, Spread and their errors in
// the unit of the doses' places.
type Probit struct {
	Median, Spread           float64
	MedianError, SpreadError float64 // standard errors
	Deviance                 float64 // of the doses from the curve
	Freedom                  int     // degrees of freedom of the deviance: places less two

	covariance float64 // of Median and Spread
}

// level is the slope over places of deviation 1 that is none but for rounding.
const level = 1e-9

// most is how many steps a fit may take. Six to ten do as a rule.
const most = 100

// FitProbit finds the curve that makes the doses most likely, by fitting a line to working probits
// again and again: Finney, Probit Analysis, 3rd edition, 1971, chapter 4 (from memory). The weights
// on the way are those of Newton's method, as the expected ones of Fisher scoring swing about the
// top where tries contradict the curve; the errors are from the expected ones. Order and splitting
// of doses play no part. Errors are *OneOutcomeError, *SeparatedError and *NoFitError.
func FitProbit(doses []Dose) (Probit, error) {
	places, err := merged(doses)
	if err != nil {
		return Probit{}, err
	}
	if err := overlap(places); err != nil {
		return Probit{}, err
	}
	f := newFit(places)
	if !(f.unit > 0) || math.IsInf(f.unit, 0) {
		return Probit{}, beyondNumbers()
	}
	if err := f.climb(); err != nil {
		return Probit{}, err
	}
	if !(f.slope > level) {
		return Probit{}, &NoFitError{"the curve does not rise"}
	}
	p := f.probit()
	for _, v := range []float64{p.Median, p.Spread, p.MedianError, p.SpreadError, p.Deviance} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Probit{}, beyondNumbers()
		}
	}
	return p, nil
}

func beyondNumbers() error {
	return &NoFitError{"numbers do not suffice for these places and counts"}
}

// fit is a line of probits over places that are scaled to mean 0 and deviation 1.
type fit struct {
	places             []Dose
	scaled             []float64
	centre, unit       float64 // place = centre + unit × scaled
	constant, slope    float64
	deviance           float64
	working, weighting []float64
}

func newFit(places []Dose) *fit {
	n := len(places)
	f := &fit{places: places, scaled: make([]float64, n), working: make([]float64, n), weighting: make([]float64, n)}
	tried := make([]float64, n)
	for i, d := range places {
		f.scaled[i], tried[i] = d.At, d.Tried
	}
	f.centre, f.unit = stat.PopMeanStdDev(f.scaled, tried)
	floats.AddConst(-f.centre, f.scaled)
	floats.Scale(1/f.unit, f.scaled)
	return f
}

// climb goes from the flat curve to the most likely one. The likelihood of a probit is concave,
// so a step that is halved until it does not lead down ends at the one top.
func (f *fit) climb() error {
	f.constant, f.slope = f.flat(), 0
	f.deviance = f.devianceOf(f.constant, f.slope)
	for range most {
		constant, slope := f.step()
		way := math.Hypot(constant-f.constant, slope-f.slope)
		moved := f.move(constant, slope)
		switch size := math.Hypot(constant, slope); {
		case way <= 1e-11*size, !moved && way <= 1e-6*size: // as far up as numbers go
			return nil
		case !moved:
			return beyondNumbers()
		}
	}
	return &NoFitError{fmt.Sprintf("the curve still moved after %d steps", most)}
}

// farthest is the largest probit that densities and tails are computed for without running out of
// numbers.
const farthest = 30

func bounded(eta float64) float64 { return max(-farthest, min(eta, farthest)) }

// flat is the probit of the share that passed.
func (f *fit) flat() float64 {
	var tried, passed float64
	for _, d := range f.places {
		tried += d.Tried
		passed += d.Passed
	}
	return bounded(distuv.UnitNormal.Quantile(passed / tried))
}

// step fits a line to the working probits η + gradient/weight, with the first two derivatives of
// the logarithm of the likelihood, k ln Φ(η) + (n−k) ln Φ(−η). With r = φ(η)/Φ(η) those of ln Φ
// are r and −r(r + η).
func (f *fit) step() (constant, slope float64) {
	for i, d := range f.places {
		eta := bounded(f.constant + f.slope*f.scaled[i])
		density := distuv.UnitNormal.Prob(eta)
		r, q := density/distuv.UnitNormal.CDF(eta), density/distuv.UnitNormal.CDF(-eta)
		f.weighting[i] = d.Passed*r*(r+eta) + d.failed()*q*(q-eta)
		f.working[i] = eta + (d.Passed*r-d.failed()*q)/f.weighting[i]
	}
	return stat.LinearRegression(f.scaled, f.working, f.weighting, false)
}

// expect sets the weights to those that the curve expects, n φ²/(Φ(1 − Φ)).
func (f *fit) expect() {
	for i, d := range f.places {
		eta := bounded(f.constant + f.slope*f.scaled[i])
		density := distuv.UnitNormal.Prob(eta)
		f.weighting[i] = d.Tried * (density / distuv.UnitNormal.CDF(eta)) * (density / distuv.UnitNormal.CDF(-eta))
	}
}

// move goes to a curve, or as much of the way as does not lead down, and is false if none of it is.
func (f *fit) move(constant, slope float64) bool {
	const halvings = 40
	ceiling := f.deviance + 1e-12*(1+f.deviance) // what rounding may add at the top
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

// devianceOf is twice what the logarithm of the likelihood is short of a curve through every dose:
//
//	2 Σ k ln(k/nΦ) + (n−k) ln((n−k)/n(1−Φ))
func (f *fit) devianceOf(constant, slope float64) float64 {
	sum := 0.0
	for i, d := range f.places {
		eta := constant + slope*f.scaled[i]
		sum += surplus(d.Passed, d.Tried*distuv.UnitNormal.CDF(eta))
		sum += surplus(d.failed(), d.Tried*distuv.UnitNormal.CDF(-eta))
	}
	return max(0, 2*sum)
}

func surplus(seen, expected float64) float64 {
	if seen == 0 {
		return 0
	}
	return seen * math.Log(seen/expected)
}

// probit turns the line into the curve. With the expected weights w, the mean place x̄
// and the line's height there are independent, with the variances
//
//	var height = 1/Σw,  var slope = 1/Σw(x−x̄)²
//
// and Median = x̄ − height/slope, Spread = 1/slope take theirs by the delta method.
func (f *fit) probit() Probit {
	f.expect()
	middle, variance := stat.PopMeanVariance(f.scaled, f.weighting)
	weight := floats.Sum(f.weighting)
	b, m := f.slope, -f.constant/f.slope
	heightVariance, slopeVariance := 1/weight, 1/(weight*variance)
	off := m - middle
	return Probit{
		Median:      f.centre + f.unit*m,
		Spread:      f.unit / b,
		MedianError: f.unit / b * math.Sqrt(heightVariance+off*off*slopeVariance),
		SpreadError: f.unit / (b * b) * math.Sqrt(slopeVariance),
		Deviance:    f.deviance,
		Freedom:     len(f.places) - 2,
		covariance:  f.unit * f.unit * off * slopeVariance / (b * b * b),
	}
}

// Chance is the height of the curve at x.
func (p Probit) Chance(x float64) float64 {
	return distuv.UnitNormal.CDF((x - p.Median) / p.Spread)
}

// Place is where the curve has a chance between 0 and 1, and the standard error of that place by
// the delta method. Other chances have no place: NaN.
func (p Probit) Place(chance float64) (x, standardError float64) {
	if !(chance > 0 && chance < 1) {
		return math.NaN(), math.NaN()
	}
	z := distuv.UnitNormal.Quantile(chance)
	variance := p.MedianError*p.MedianError + 2*z*p.covariance + z*z*p.SpreadError*p.SpreadError
	return p.Median + z*p.Spread, math.Sqrt(max(0, variance))
}

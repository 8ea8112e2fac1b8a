package statistics

import (
	"math"

	"holdbench/plant/portable"
)

// theta is a curve over scaled doses: at is where the normal distribution has the probability of
// the probit z, for 0 the median.
type theta struct {
	at, logSpread  float64
	natural, lapse float64
	z              float64
	deviance       float64
}

// The parameters of a curve, and sets of them.
const (
	atParameter = iota
	spreadParameter
	naturalParameter
	lapseParameter
	parameters
)

type parameterSet uint8

func setOf(parameter int) parameterSet { return 1 << parameter }

func (s parameterSet) has(parameter int) bool { return s&(1<<parameter) != 0 }

func (t *theta) value(parameter int) *float64 {
	return [...]*float64{&t.at, &t.logSpread, &t.natural, &t.lapse}[parameter]
}

// minLogSpread is the least spread, over doses of deviation 1: below it there is only a step.
const minLogSpread = -16

// bounds are the least and the largest value of a parameter.
func bounds(parameter int) (low, high float64) {
	switch parameter {
	case spreadParameter:
		return minLogSpread, -minLogSpread
	case naturalParameter, lapseParameter:
		return 0, maxLapse
	}
	return math.Inf(-1), math.Inf(1)
}

// maxClimb limits the steps of a fit. Ten are usual.
const maxClimb = 60

// climb maximises the likelihood from a start by scoring steps, damped as Levenberg does, within
// the bounds; fixed parameters stay.
func (f *fit) climb(t theta, fixed parameterSet) theta {
	here, there := make([]chance, len(f.doses)), make([]chance, len(f.doses))
	t.deviance = f.devianceInto(&t, here)
	damping := 1e-6
	for range maxClimb {
		s := f.scoreFrom(&t, here)
		free := s.free(&t, fixed)
		moved := false
		for range 12 {
			next, promised := s.step(t, free, damping)
			if promised < f.precision*(1+t.deviance) {
				return t
			}
			next.deviance = f.devianceInto(&next, there)
			if next.deviance < t.deviance {
				here, there = there, here
				t, moved, damping = next, true, max(damping/10, 1e-9)
				break
			}
			damping *= 10
		}
		if !moved {
			return t
		}
	}
	return t
}

// tails are Φ(z) and Φ(−z), both to their last digit.
func tails(z float64) (below, above float64) {
	tail := portable.NormalCDF(-math.Abs(z))
	if z < 0 {
		return tail, 1 - tail
	}
	return 1 - tail, tail
}

// chances are the probabilities to pass and to fail at a scaled dose, and Φ and 1 − Φ there.
func (t *theta) chances(z float64) (pass, fail, below, above float64) {
	below, above = tails(z)
	rise := 1 - t.natural - t.lapse
	return t.natural + float64(rise*below), t.lapse + float64(rise*above), below, above
}

// chance is a curve at a dose: the probit z, the probabilities to pass and to fail, and Φ and 1 − Φ.
type chance struct{ z, pass, fail, below, above float64 }

// devianceInto is twice the difference of the log likelihood to that of a curve through every dose. It fills in
// the curve at each dose.
func (f *fit) devianceInto(t *theta, at []chance) float64 {
	sum, slope := 0.0, portable.Exp(-t.logSpread)
	for i, d := range f.doses {
		c := &at[i]
		c.z = float64((f.scaled[i]-t.at)*slope) + t.z
		c.pass, c.fail, c.below, c.above = t.chances(c.z)
		sum += logLikelihood(d.Passed, d.failed(), c.pass, c.fail)
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return max(0, 2*(f.saturated-sum))
}

// score is the gradient of the log likelihood and its expected information:
//
//	g = Σ (k/p − (n−k)/q) ∂p,  I = Σ n/(pq) ∂p ∂pᵀ
type score struct {
	gradient    [parameters]float64
	information [parameters][parameters]float64
}

func (f *fit) scoreOf(t *theta) score {
	at := make([]chance, len(f.doses))
	f.devianceInto(t, at)
	return f.scoreFrom(t, at)
}

// scoreFrom is the score by the curve at each dose, as devianceInto fills it in.
func (f *fit) scoreFrom(t *theta, at []chance) score {
	const least = 1e-200 // of a probability, so that no quotient overflows
	var s score
	slope, rise := portable.Exp(-t.logSpread), 1-t.natural-t.lapse
	for i, d := range f.doses {
		c := &at[i]
		pass, fail := max(c.pass, least), max(c.fail, least)
		density := rise * portable.NormalDensity(c.z)
		by := [parameters]float64{-density * slope, -density * (c.z - t.z), c.above, -c.below}
		pull := d.Passed/pass - d.failed()/fail
		weight := d.Tried / pass / fail
		for j := range parameters {
			s.gradient[j] += float64(pull * by[j])
			for k := range j + 1 {
				s.information[j][k] += float64(weight * by[j] * by[k])
			}
		}
	}
	for j := range parameters {
		for k := range j {
			s.information[k][j] = s.information[j][k]
		}
	}
	return s
}

// free are the parameters that are not fixed and that the gradient does not press against a bound.
func (s *score) free(t *theta, fixed parameterSet) parameterSet {
	var free parameterSet
	for i := range parameters {
		low, high := bounds(i)
		at, g := *t.value(i), s.gradient[i]
		if fixed.has(i) || at <= low && g <= 0 || at >= high && g >= 0 || !(s.information[i][i] > 0) {
			continue
		}
		free |= setOf(i)
	}
	return free
}

// step goes along the damped scoring step to the bounds, and promises by how much the deviance
// would fall if it were a parabola.
func (s *score) step(t theta, free parameterSet, damping float64) (next theta, promised float64) {
	delta := s.solve(free, damping)
	for i := range parameters {
		promised += float64(delta[i] * s.gradient[i])
		low, high := bounds(i)
		v := t.value(i)
		*v = max(low, min(*v+delta[i], high))
	}
	return t, promised
}

// solve solves (I + damping × diagonal) δ = g over the free parameters by elimination; each
// equation is scaled by its diagonal, as those of lapses and of the spread differ by powers of ten.
func (s *score) solve(free parameterSet, damping float64) [parameters]float64 {
	var a [parameters][parameters + 1]float64
	var scale [parameters]float64
	for i := range parameters {
		a[i][i] = 1
		if free.has(i) {
			scale[i] = 1 / math.Sqrt(s.information[i][i])
		}
	}
	for i := range parameters {
		for j := range parameters {
			if i != j {
				a[i][j] = s.information[i][j] * scale[i] * scale[j]
			}
		}
		a[i][i] += damping
		a[i][parameters] = s.gradient[i] * scale[i]
	}
	delta := eliminate(&a)
	for i := range parameters {
		delta[i] *= scale[i]
	}
	return delta
}

// eliminate solves the equations of a positive definite matrix with the right side behind it.
func eliminate(a *[parameters][parameters + 1]float64) [parameters]float64 {
	for i := range parameters {
		for j := i + 1; j < parameters; j++ {
			part := a[j][i] / a[i][i]
			for k := i; k <= parameters; k++ {
				a[j][k] -= float64(part * a[i][k])
			}
		}
	}
	var x [parameters]float64
	for i := parameters - 1; i >= 0; i-- {
		sum := a[i][parameters]
		for k := i + 1; k < parameters; k++ {
			sum -= float64(a[i][k] * x[k])
		}
		x[i] = sum / a[i][i]
	}
	return x
}

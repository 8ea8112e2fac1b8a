package statistics

import (
	"math"

	"holdbench/plant/portable"
)

// Intervals of a response are those of the profile likelihood: all values at which the best curve
// with that value has a deviance of at most that of the best curve plus the quantile of chi squared
// with one degree of freedom. Venzon and Moolgavkar, Applied Statistics 37, 1988 (from memory).

// QuantileInterval is the interval of Quantile(probability), 0 < probability < 1. An end is
// infinite where the trials do not determine it.
func (r *Response) QuantileInterval(probability, confidence float64) Interval {
	z := portable.NormalQuantile(probability)
	start := r.best
	start.z = z
	start.at += float64(z * portable.Exp(start.logSpread))
	i := r.profile(start, atParameter, confidence)
	return Interval{r.fit.centre + float64(r.fit.unit*i.Low), r.fit.centre + float64(r.fit.unit*i.High)}
}

// SpreadInterval is the interval of Spread. It begins at zero where the trials do not exclude a
// step.
func (r *Response) SpreadInterval(confidence float64) Interval {
	i := r.profile(r.best, spreadParameter, confidence)
	return Interval{r.fit.unit * portable.Exp(i.Low), r.fit.unit * portable.Exp(i.High)}
}

// NaturalInterval is the interval of Natural.
func (r *Response) NaturalInterval(confidence float64) Interval {
	return r.profile(r.best, naturalParameter, confidence)
}

// LapseInterval is the interval of Lapse.
func (r *Response) LapseInterval(confidence float64) Interval {
	return r.profile(r.best, lapseParameter, confidence)
}

// profile is the interval of one parameter, over scaled doses.
func (r *Response) profile(best theta, parameter int, confidence float64) Interval {
	p := profile{fit: r.fit, best: best, parameter: parameter, rise: chiSquared(confidence)}
	p.low, p.high = bounds(parameter)
	i := Interval{Low: p.end(-1), High: p.end(+1)}
	if parameter == spreadParameter {
		if r.step.deviance-best.deviance <= p.rise {
			i.Low = math.Inf(-1)
		}
		if i.High >= p.high {
			i.High = math.Inf(1)
		}
	}
	return i
}

// profile is the deviance over the values of one parameter.
type profile struct {
	fit       *fit
	best      theta
	parameter int
	rise      float64 // of the deviance at the ends of the interval
	low, high float64 // bounds of the parameter
}

// maxWidenings is how often a distance is doubled in search of an end.
const maxWidenings = 30

// end is the end of the interval on one side, the bound if the deviance does not rise enough up to
// it, and infinite if there is no bound either.
func (p *profile) end(side float64) float64 {
	from := *p.best.value(p.parameter)
	limit := p.low
	if side > 0 {
		limit = p.high
	}
	inner, innerExcess := p.best, -p.rise
	width := p.width()
	for range maxWidenings {
		v := from + float64(side*width)
		if side*(v-limit) >= 0 {
			v = limit
		}
		outer := p.at(v, inner)
		if excess := outer.deviance - p.best.deviance - p.rise; excess > 0 {
			return p.root(inner, outer, innerExcess, excess)
		} else if v == limit {
			return limit
		} else {
			inner, innerExcess = outer, excess
		}
		width *= 2
	}
	return math.Inf(int(side))
}

// width is a first guess of the distance to an end: that of a parabola, all else fixed.
func (p *profile) width() float64 {
	s := p.fit.scoreOf(&p.best)
	w := math.Sqrt(p.rise / s.information[p.parameter][p.parameter])
	if !(w > 1e-9) || math.IsInf(w, 0) {
		return 1e-3
	}
	return w
}

// at is the best curve with a value of the parameter, from a curve near it.
func (p *profile) at(v float64, near theta) theta {
	*near.value(p.parameter) = v
	return p.fit.climb(near, setOf(p.parameter))
}

// root is where the deviance has risen enough, between a curve inside and one outside, by false
// position on the square root of the rise, which is about a line (Illinois variant).
func (p *profile) root(inner, outer theta, innerExcess, outerExcess float64) float64 {
	straight := func(excess float64) float64 {
		return math.Sqrt(max(0, excess+p.rise)) - math.Sqrt(p.rise)
	}
	a, b := *inner.value(p.parameter), *outer.value(p.parameter)
	fa, fb := straight(innerExcess), straight(outerExcess)
	near, side := inner, 0
	for range 40 {
		v := (float64(a*fb) - float64(b*fa)) / (fb - fa)
		if math.IsInf(fb, 0) { // impossible counts, such as a failure where none can be
			v = (a + b) / 2
		}
		near = p.at(v, near)
		fv := straight(near.deviance - p.best.deviance - p.rise)
		if math.Abs(fv) < 1e-4 || math.Abs(b-a) < 1e-10*(math.Abs(a)+math.Abs(b)) {
			return v
		}
		if fv > 0 {
			if b, fb = v, fv; side > 0 {
				fa /= 2
			}
			side = 1
			continue
		}
		if a, fa = v, fv; side < 0 {
			fb /= 2
		}
		side = -1
	}
	return (a + b) / 2
}

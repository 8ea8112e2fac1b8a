package identify

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// estimate is a value with its standard error and its 95 % interval.
type estimate struct {
	value, err, low, high float64
	told                  bool // the recordings tell it
}

// The choices of what counts as told.
const (
	priorShare = 0.7  // of the standard deviation without the recordings; above it they add nothing
	level      = 0.95 // of an interval
)

// of is a quantity that follows from the fitted values, by the propagation of errors: with g its gradient and Σ
// the covariance, σ² = gᵀ Σ g, and Student's t for the interval. Source: first-order propagation, any
// text on statistics.
func (f *fitted) of(quantity func(x []float64) float64) estimate {
	g, told := f.gradient(quantity)
	variance := 0.0
	for i := range g {
		for j := range g {
			if g[i] != 0 && g[j] != 0 {
				variance += g[i] * g[j] * f.covariance(i, j)
			}
		}
	}
	e := estimate{value: quantity(f.x), err: math.Sqrt(max(0, variance)), told: told && !math.IsNaN(variance)}
	reach := f.quantile(g) * e.err
	e.low, e.high = e.value-reach, e.value+reach
	return e
}

// positive is of for a quantity above 0 whose logarithm is nearly normal: the interval stays above 0.
func (f *fitted) positive(quantity func(x []float64) float64) estimate {
	e := f.of(func(x []float64) float64 { return math.Log(quantity(x)) })
	value := math.Exp(e.value)
	return estimate{value, value * e.err, math.Exp(e.low), math.Exp(e.high), e.told}
}

// quantile is that of Student's t with the fewest degrees of freedom of the groups of rows that tell the values on which
// a quantity depends: the deviation of each is known by its own residuals alone.
func (f *fitted) quantile(gradient []float64) float64 {
	least := math.Max(1, float64(f.result.DegreesOfFreedom))
	for i, g := range gradient {
		if n := f.freedom[f.m.groupOf(i)]; g != 0 && n >= leastFreedom {
			least = min(least, n)
		}
	}
	return distuv.StudentsT{Sigma: 1, Nu: least}.Quantile((1 + level) / 2)
}

// groupOf is the group of rows that mainly tells a value.
func (m *model) groupOf(i int) group {
	switch {
	case i == inertia || i == late:
		return inAcceleration
	case i == transducer:
		return inTorque
	case m.unknowns[i].part == ofMotion:
		return inTravel
	case m.unknowns[i].part == ofPress:
		return inPress
	case m.unknowns[i].part == ofStop:
		return inStop
	}
	return inKnown
}

// gradient is that by the values as fitted. The quantity is not told if it depends on a value that is not.
func (f *fitted) gradient(quantity func(x []float64) float64) (g []float64, told bool) {
	g, told = make([]float64, len(f.p)), true
	for i, u := range f.m.unknowns {
		h := 1e-5 * max(math.Abs(f.p[i]), u.scale, 1e-6)
		p := append([]float64(nil), f.p...)
		p[i] += h
		high := quantity(f.m.full(p))
		p[i] -= 2 * h
		slope := (high - quantity(f.m.full(p))) / (2 * h)
		if !u.free {
			continue
		}
		if slope != 0 && math.IsNaN(f.standardError(i)) {
			told = false
			continue
		}
		g[i] = slope
	}
	return g, told
}

// tells is whether the recordings tell a fitted value that is also known beside them.
func (f *fitted) tells(i int) bool {
	if !f.m.unknowns[i].free {
		return false
	}
	for _, q := range f.m.priors {
		if q.at == i && !(f.standardError(i) < priorShare*q.sigma) {
			return false
		}
	}
	return !math.IsNaN(f.standardError(i))
}

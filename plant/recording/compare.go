package recording

import (
	"math"
	"sort"
)

// Curve is a signal of a simulation over time. NaN is no value.
type Curve struct {
	Time, Values []float64 // s, rising
	Held         bool      // a value holds until the next: of words, and of true and false
}

// At is the value at a time: between two samples on the line of both, or the one before; false outside the curve
// and where there is no value.
func (c *Curve) At(t float64) (float64, bool) {
	i := sort.SearchFloat64s(c.Time, t)
	switch {
	case i == len(c.Time), i == 0 && c.Time[0] != t:
		return 0, false
	case c.Time[i] == t:
		return c.Values[i], !math.IsNaN(c.Values[i])
	case c.Held:
		return c.Values[i-1], !math.IsNaN(c.Values[i-1])
	}
	from, to := c.Values[i-1], c.Values[i]
	x := from + float64((to-from)*(t-c.Time[i-1])/(c.Time[i]-c.Time[i-1]))
	return x, !math.IsNaN(x)
}

// Difference is what was recorded of a signal less what was simulated, at the times that were recorded.
type Difference struct {
	Samples   int     // in common
	Mean, RMS float64 // 0 without a sample
	Largest   float64 // by magnitude, with its sign
	LargestAt float64 // s, time of the simulation
	Differing int     // samples with another value
	FirstAt   float64 // s, of the first of these
}

// Compare compares recorded values with a curve. The time t of the recording is t + shift of the curve.
func Compare(times, values []float64, c *Curve, shift float64) Difference {
	var d Difference
	sum, squares := 0.0, 0.0
	for i, t := range times {
		simulated, ok := c.At(t + shift)
		if !ok || math.IsNaN(values[i]) {
			continue
		}
		x := values[i] - simulated
		d.Samples++
		sum += x
		squares += x * x
		if math.Abs(x) > math.Abs(d.Largest) {
			d.Largest, d.LargestAt = x, t+shift
		}
		if x != 0 {
			if d.Differing == 0 {
				d.FirstAt = t + shift
			}
			d.Differing++
		}
	}
	if d.Samples > 0 {
		d.Mean, d.RMS = sum/float64(d.Samples), math.Sqrt(squares/float64(d.Samples))
	}
	return d
}

// Pair is a recorded signal with its simulation.
type Pair struct {
	Values []float64
	Curve  *Curve
}

// alignedSamples is how many samples of a signal are enough to find the best shift.
const alignedSamples = 500

// BestShift is the shift, up to most seconds to either side, at which the recorded signals correlate best with
// their curves, and the correlation there: the mean of Pearson's coefficient over the signals,
// r = Σ(x − x̄)(y − ȳ)/√(Σ(x − x̄)² Σ(y − ȳ)²), which knows no scale and no offset. Shifts that leave less than
// half of the samples in common do not count; NaN: there is none. The result is within a thousandth of the range.
func BestShift(times []float64, pairs []Pair, most float64) (shift, correlation float64) {
	const steps = 200
	shift, correlation = math.NaN(), math.Inf(-1)
	try := func(from, step float64) {
		for k := -steps; k <= steps; k++ {
			if r := meanCorrelation(times, pairs, from+float64(k)*step); r > correlation {
				shift, correlation = from+float64(k)*step, r
			}
		}
	}
	try(0, most/steps)
	if math.IsNaN(shift) {
		return shift, math.NaN()
	}
	try(shift, most/steps/steps)
	return shift, correlation
}

// meanCorrelation is NaN if a signal has too few samples in common, and leaves out those that do not move.
func meanCorrelation(times []float64, pairs []Pair, shift float64) float64 {
	sum, n := 0.0, 0
	for _, p := range pairs {
		r, enough := p.correlation(times, shift)
		if !enough {
			return math.NaN()
		}
		if !math.IsNaN(r) {
			sum, n = sum+r, n+1
		}
	}
	return sum / float64(n)
}

func (p *Pair) correlation(times []float64, shift float64) (r float64, enough bool) {
	var n, known, x, y, xx, yy, xy float64
	for i := 0; i < len(times); i += 1 + len(times)/alignedSamples {
		if math.IsNaN(p.Values[i]) {
			continue
		}
		known++
		if v, ok := p.Curve.At(times[i] + shift); ok {
			u := p.Values[i]
			n++
			x, y, xx, yy, xy = x+u, y+v, xx+u*u, yy+v*v, xy+u*v
		}
	}
	if known < 2 { // too seldom for what is looked at: says nothing
		return math.NaN(), true
	}
	spread := (xx - x*x/n) * (yy - y*y/n)
	if n < 2 || spread <= 1e-18*xx*yy {
		return math.NaN(), n >= known/2
	}
	return (xy - x*y/n) / math.Sqrt(spread), n >= known/2
}

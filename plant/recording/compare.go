package recording

import (
	"math"
	"sort"

	"holdbench/plant/portable"
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
		squares += float64(x * x)
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

// BestShift is the shift, from one to another, at which the recorded signals fit best to their curves, and the
// mean correlation there. The fit is −Σ ln(1 − r²) over the signals that correlate positively, which is the
// likelihood of curves with a free scale, offset and normal noise (from memory, any text on regression), with
// Pearson's r = Σ(x − x̄)(y − ȳ)/√(Σ(x − x̄)² Σ(y − ȳ)²): a signal that fits well says more about the shift than a
// noisy one. Shifts that leave less than half of the samples in common do not count; NaN: there is none. It tries
// 400 shifts, then 400 around the best, and again.
func BestShift(times []float64, pairs []Pair, from, to float64) (shift, correlation float64) {
	const steps = 200
	shift, correlation = math.NaN(), math.NaN()
	best := 0.0
	try := func(middle, step float64) {
		for k := -steps; k <= steps; k++ {
			at := middle + float64(float64(k)*step)
			if fit, r := fitAt(times, pairs, at); fit > best {
				best, shift, correlation = fit, at, r
			}
		}
	}
	step := (to - from) / 2 / steps
	try(float64((from+to)/2), step)
	for range 2 {
		if step /= steps; !math.IsNaN(shift) {
			try(shift, step)
		}
	}
	return shift, correlation
}

// fitAt is 0 if a signal has too few samples in common. Signals that do not move say nothing.
func fitAt(times []float64, pairs []Pair, shift float64) (fit, correlation float64) {
	const rounding = 1e-12 // of 1 − r²
	n := 0
	for _, p := range pairs {
		r, enough := p.correlation(times, shift)
		if !enough {
			return 0, 0
		}
		if math.IsNaN(r) {
			continue
		}
		n, correlation = n+1, correlation+r
		if r > 0 {
			fit -= portable.Log(max(0, 1-float64(r*r)) + rounding)
		}
	}
	return fit, correlation / float64(n)
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
			x, y, xx, yy, xy = x+u, y+v, xx+float64(u*u), yy+float64(v*v), xy+float64(u*v)
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

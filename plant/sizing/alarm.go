package sizing

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"holdbench/plant/portable"
)

// AlarmRate is the probability that a position at rest is judged as moved. The judge latches a
// sample Y₀ and fails if one of N later samples differs by more than w increments. The samples
// are a position f with normal noise of standard deviation s, rounded to whole increments, so
// that
//
//	P(f) = Σ_k P(Y=k) (1 − [1 − P(|Y − k| > w)]^N)
//
// which is exact: the differences share the noise of the latched sample, and the rounding is
// in P(Y=k) = Φ((k+½−f)/s) − Φ((k−½−f)/s). The result is the maximum of 26 positions f from
// one increment to half-way to the next; the other half is symmetric. All values are in
// increments. For s above 20 increments rounding is negligible, and the result is an upper
// bound, as a difference of rounded values exceeds w only if that of the values exceeds w:
//
//	P = ∫ φ(u) (1 − [Φ(u + w/s) − Φ(u − w/s)]^N) du
//
// Source: total probability over the latch; any text on statistics.
func AlarmRate(s float64, w, samples int) float64 {
	switch {
	case s <= 0:
		return 0
	case s > manyIncrements:
		return smoothAlarm(float64(w)/s, samples)
	}
	maximum := 0.0
	for i := range 26 {
		maximum = max(maximum, AlarmRateAt(float64(i)/50, s, w, samples))
	}
	return maximum
}

const (
	manyIncrements = 20.0
	farOut         = 9.0 // standard deviations; the probability beyond is 1e-19
)

// AlarmRateAt is [AlarmRate] at one position f; s must be at most some dozens of increments,
// which limits the number of terms.
func AlarmRateAt(f, s float64, w, samples int) float64 {
	from, to := int(math.Floor(f-float64(farOut*s))), int(math.Ceil(f+float64(farOut*s)))
	total := 0.0
	for k := from; k <= to; k++ {
		x := float64(k) - f
		outside := above((x+float64(w)+0.5)/s) + above((float64(w)+0.5-x)/s)
		total += float64(cell((x-0.5)/s, (x+0.5)/s) * oneOf(outside, samples))
	}
	return total
}

func smoothAlarm(w float64, samples int) float64 {
	density := func(u float64) float64 {
		return portable.NormalDensity(u) * oneOf(above(w-u)+above(w+u), samples)
	}
	return quad.Fixed(density, -farOut, farOut, 500, quad.Legendre{}, 0)
}

// oneOf is the probability of at least one of n events of probability p, without the
// cancellation of 1 − (1−p)^n.
func oneOf(p float64, n int) float64 { return -portable.Expm1(float64(n) * portable.Log1p(-min(p, 1))) }

// above is 1 − Φ(x) = Φ(−x), without cancellation for large x.
func above(x float64) float64 { return portable.NormalCDF(-x) }

// cell is Φ(b) − Φ(a), from the tail without cancellation.
func cell(a, b float64) float64 {
	if a > 0 {
		return above(a) - above(b)
	}
	return above(-b) - above(-a)
}

// AlarmWindow is the smallest window in increments, at least 1, with an alarm rate of a
// position at rest not above the given rate.
func AlarmWindow(s float64, samples int, rate float64) int {
	high := 1
	for AlarmRate(s, high, samples) > rate {
		high *= 2
	}
	low := high / 2 // too small, or 0
	for high-low > 1 {
		middle := (low + high) / 2
		if AlarmRate(s, middle, samples) > rate {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// deviations is the quantile of 1 − rate in standard deviations.
func deviations(rate float64) float64 { return -portable.NormalQuantile(rate) }

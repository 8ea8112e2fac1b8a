package sizing

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// AlarmRate is the probability that a position which rests is taken for one that moved.
// The judge latches a sample Y₀ and fails if one of N later samples is more than w
// increments away from it. The samples are normal noise of deviation s about a place f,
// rounded to whole increments, so that
//
//	P(f) = Σ_k P(Y=k) (1 − [1 − P(|Y − k| > w)]^N)
//
// which is exact: the differences share the noise of the latch and the rounding is in
// P(Y=k) = Φ((k+½−f)/s) − Φ((k−½−f)/s). What is returned is the worst of 26 places f from
// a count to half-way to the next; the other half is its mirror image. All are in
// increments. Where s is above 20 increments rounding hardly counts, and what is returned
// is a bound from above, as a difference of rounded values is above w only if that of the
// values themselves is above w:
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
	worst := 0.0
	for i := range 26 {
		worst = max(worst, AlarmRateAt(float64(i)/50, s, w, samples))
	}
	return worst
}

const (
	manyIncrements = 20.0
	farOut         = 9.0 // deviations beyond which there is 1e-19 left
)

// AlarmRateAt is [AlarmRate] at one place f; s must be at most some dozens of increments,
// or the sum gets long.
func AlarmRateAt(f, s float64, w, samples int) float64 {
	from, to := int(math.Floor(f-farOut*s)), int(math.Ceil(f+farOut*s))
	total := 0.0
	for k := from; k <= to; k++ {
		x := float64(k) - f
		outside := above((x+float64(w)+0.5)/s) + above((float64(w)+0.5-x)/s)
		total += cell((x-0.5)/s, (x+0.5)/s) * oneOf(outside, samples)
	}
	return total
}

func smoothAlarm(w float64, samples int) float64 {
	density := func(u float64) float64 {
		return distuv.UnitNormal.Prob(u) * oneOf(above(w-u)+above(w+u), samples)
	}
	return quad.Fixed(density, -farOut, farOut, 500, quad.Legendre{}, 0)
}

// oneOf is the probability that at least one of n events of probability p comes, without
// the loss of digits that 1 − (1−p)^n has.
func oneOf(p float64, n int) float64 { return -math.Expm1(float64(n) * math.Log1p(-min(p, 1))) }

// above is 1 − Φ(x) = Φ(−x), which keeps its digits for large x.
func above(x float64) float64 { return distuv.UnitNormal.CDF(-x) }

// cell is Φ(b) − Φ(a), from the tail that keeps the digits.
func cell(a, b float64) float64 {
	if a > 0 {
		return above(a) - above(b)
	}
	return above(-b) - above(-a)
}

// AlarmWindow is the smallest window in increments, at least 1, that is left by a resting
// position at no more than the rate.
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

// deviations is how many standard deviations a normal value stays below at a probability
// of 1 − rate.
func deviations(rate float64) float64 { return -distuv.UnitNormal.Quantile(rate) }

// Package statistics has confidence intervals of a probability after a count of trials, fits the
// curve by which a probability rises with a quantity, with lapses at both ends, and follows values
// over time: their trend, a change of their level, and when they meet a limit.
package statistics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/plant/portable"
)

// Interval is a two-sided confidence interval of a probability, or of the difference of two.
type Interval struct{ Low, High float64 }

// Wilson is the score interval of a probability without continuity correction, after k of n
// trials:
//
//	(p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n),  p = k/n,  z = Φ⁻¹((1 + confidence)/2)
//
// Over many series of trials it covers the probability about as often as the confidence states,
// for some probabilities less often. No trials give 0 to 1. It panics unless 0 <= k <= n and
// 0 < confidence < 1.
// Wilson, J. Am. Stat. Assoc. 22, 1927; method 3 of Newcombe, Statistics in Medicine 17, 1998,
// 857-872 (from memory).
func Wilson(k, n int, confidence float64) Interval {
	mustCount(k, n)
	z := quantile(confidence)
	if n == 0 {
		return Interval{0, 1}
	}
	if 2*k > n { // the mirror image, so that k and n-k agree to the last digit
		return Wilson(n-k, n, confidence).mirror()
	}
	p, share := float64(k)/float64(n), z*z/float64(n)
	middle := p + float64(share/2)
	half := math.Sqrt(float64(share*p*(1-p)) + float64(share*share/4))
	if k == 0 { // half and middle are equal there
		return Interval{0, share / (1 + share)}
	}
	return Interval{max(0, middle-half) / (1 + share), (middle + half) / (1 + share)}
}

// ClopperPearson is the exact interval of a probability after k of n trials: outside it, k or
// fewer, or k or more, have a probability of less than α/2. It covers the probability at least as
// often as the confidence states, and is wider than Wilson's for that.
//
//	low = B⁻¹(α/2; k, n-k+1),  high = B⁻¹(1-α/2; k+1, n-k),  α = 1 - confidence
//
// with B the beta distribution. No trials give 0 to 1. It panics unless 0 <= k <= n and
// 0 < confidence < 1. Clopper and Pearson, Biometrika 26, 1934 (from memory).
func ClopperPearson(k, n int, confidence float64) Interval {
	mustCount(k, n)
	mustConfidence(confidence)
	tail := (1 - confidence) / 2
	return Interval{Low: betaQuantile(k, n, tail), High: 1 - betaQuantile(n-k, n, tail)}
}

// betaQuantile is the probability of one trial with which k or more of n have the probability
// tail.
func betaQuantile(k, n int, tail float64) float64 {
	if k == 0 {
		return 0
	}
	return distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.Quantile(tail)
}

// Difference is the interval of p1 - p2 after k1 of n1 and k2 of n2 independent trials, from the
// score intervals l1..u1 and l2..u2 of the two:
//
//	d - √((p1-l1)² + (u2-p2)²)  to  d + √((u1-p1)² + (p2-l2)²),  d = k1/n1 - k2/n2
//
// No trials on one side give -1 to 1. It panics where Wilson does. Newcombe, Statistics in
// Medicine 17, 1998, 873-890, method 10 (from memory).
func Difference(k1, n1, k2, n2 int, confidence float64) Interval {
	one, two := Wilson(k1, n1, confidence), Wilson(k2, n2, confidence)
	if n1 == 0 || n2 == 0 {
		return Interval{-1, 1}
	}
	p1, p2 := float64(k1)/float64(n1), float64(k2)/float64(n2)
	return Interval{
		Low:  p1 - p2 - portable.Hypot(p1-one.Low, two.High-p2),
		High: p1 - p2 + portable.Hypot(one.High-p1, p2-two.Low),
	}
}

// mirror is the interval of the complement.
func (i Interval) mirror() Interval { return Interval{1 - i.High, 1 - i.Low} }

// quantile is the number of standard deviations of a normal distribution to either side that
// contain the confidence.
func quantile(confidence float64) float64 {
	mustConfidence(confidence)
	return portable.NormalQuantile((1 + confidence) / 2)
}

func mustConfidence(confidence float64) {
	if !(confidence > 0 && confidence < 1) {
		panic(fmt.Sprintf("statistics: a confidence must be between 0 and 1, found %g", confidence))
	}
}

func mustCount(k, n int) {
	if k < 0 || k > n {
		panic(fmt.Sprintf("statistics: %d of %d trials", k, n))
	}
}

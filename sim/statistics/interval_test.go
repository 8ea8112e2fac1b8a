package statistics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Newcombe, Statistics in Medicine 17, 1998, 857-872, table I, methods 3 and 5 (from memory).
func TestIntervalsOfNewcombesExamples(t *testing.T) {
	for _, c := range []struct {
		k, n         int
		score, exact Interval
	}{
		{81, 263, Interval{0.2553, 0.3662}, Interval{0.2527, 0.3676}},
		{15, 148, Interval{0.0624, 0.1605}, Interval{0.0578, 0.1617}},
		{0, 20, Interval{0, 0.1611}, Interval{0, 0.1684}},
		{1, 29, Interval{0.0061, 0.1718}, Interval{0.0009, 0.1776}},
	} {
		agree(t, c.score, Wilson(c.k, c.n, 0.95))
		agree(t, c.exact, ClopperPearson(c.k, c.n, 0.95))
	}
}

// Newcombe, Statistics in Medicine 17, 1998, 873-890, table II, method 10 (from memory).
func TestDifferencesOfNewcombesExamples(t *testing.T) {
	for _, c := range []struct {
		k1, n1, k2, n2 int
		want           Interval
	}{
		{56, 70, 48, 80, Interval{0.0524, 0.3339}},
		{9, 10, 3, 10, Interval{0.1705, 0.8090}},
		{6, 7, 2, 7, Interval{0.0582, 0.8062}},
		{5, 56, 0, 29, Interval{-0.0381, 0.1926}},
		{0, 10, 0, 20, Interval{-0.1611, 0.2775}},
		{0, 10, 0, 10, Interval{-0.2775, 0.2775}},
		{10, 10, 0, 20, Interval{0.6791, 1}},
		{10, 10, 0, 10, Interval{0.6075, 1}},
	} {
		agree(t, c.want, Difference(c.k1, c.n1, c.k2, c.n2, 0.95))
	}
}

// agree compares to the four places of the published tables.
func agree(t *testing.T, want, got Interval) {
	t.Helper()
	assert.InDelta(t, want.Low, got.Low, 0.00005+1e-9)
	assert.InDelta(t, want.High, got.High, 0.00005+1e-9)
}

// The exact limits are where one tail of the binomial distribution holds half of what is missing.
func TestExactLimitsAreTailsOfTheBinomial(t *testing.T) {
	for _, n := range []int{1, 7, 52, 1000} {
		for _, k := range []int{0, 1, n / 2, n - 1, n} {
			i := ClopperPearson(k, n, 0.9)
			if k > 0 {
				below := distuv.Binomial{N: float64(n), P: i.Low}.CDF(float64(k) - 1)
				assert.InDelta(t, 0.95, below, 1e-9, "%d of %d", k, n)
			}
			if k < n {
				upTo := distuv.Binomial{N: float64(n), P: i.High}.CDF(float64(k))
				assert.InDelta(t, 0.05, upTo, 1e-9, "%d of %d", k, n)
			}
		}
	}
}

// The score limits are the chances whose own spread puts k/n at z: (p̂ - p)² = z² p(1-p)/n.
func TestScoreLimitsSolveTheirEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, n, confidence := drawCount(t)
		if n == 0 {
			return
		}
		z := distuv.UnitNormal.Quantile((1 + confidence) / 2)
		i := Wilson(k, n, confidence)
		for _, p := range []float64{i.Low, i.High} {
			off := float64(k)/float64(n) - p
			assert.InDelta(t, z*z*p*(1-p)/float64(n), off*off, 1e-12)
		}
	})
}

// An acceptance plan of 52 pieces that lets three bad ones pass, NIST/SEMATECH e-Handbook of
// Statistical Methods, section 6.2.3.2 (from memory, three places). It is the oracle for the
// binomial that the exact interval is held against.
func TestAcceptancePlanOfTheHandbook(t *testing.T) {
	for _, c := range []struct{ bad, accepted float64 }{
		{0.01, 0.998}, {0.02, 0.980}, {0.03, 0.930}, {0.04, 0.845}, {0.05, 0.739}, {0.06, 0.620},
		{0.07, 0.502}, {0.08, 0.394}, {0.09, 0.300}, {0.10, 0.223}, {0.11, 0.162}, {0.12, 0.115},
	} {
		plan := distuv.Binomial{N: 52, P: c.bad}
		assert.InDelta(t, c.accepted, plan.CDF(3), 0.001, "%g bad", c.bad)
	}
	// three bad of 52 are the upper limit's own tail
	high := ClopperPearson(3, 52, 0.9).High
	assert.InDelta(t, 0.05, distuv.Binomial{N: 52, P: high}.CDF(3), 1e-9)
}

// Coverage is what an interval promises: over all outcomes of a plan, the exact one holds the
// chance at least as often as its confidence says, Wilson's on the mean of many chances (Brown,
// Cai and DasGupta, Statistical Science 16, 2001, from memory).
func TestIntervalsCoverTheChance(t *testing.T) {
	const n, confidence, chances = 40, 0.95, 199
	mean := 0.0
	for j := 1; j <= chances; j++ {
		p := float64(j) / (chances + 1)
		exact, score := coverage(n, p, confidence)
		assert.GreaterOrEqual(t, exact, confidence-1e-9, "%g", p)
		mean += score / chances
	}
	assert.InDelta(t, confidence, mean, 0.01)
}

func coverage(n int, p, confidence float64) (exact, score float64) {
	for k := range n + 1 {
		weight := distuv.Binomial{N: float64(n), P: p}.Prob(float64(k))
		if i := ClopperPearson(k, n, confidence); i.Low <= p && p <= i.High {
			exact += weight
		}
		if i := Wilson(k, n, confidence); i.Low <= p && p <= i.High {
			score += weight
		}
	}
	return exact, score
}

func TestIntervalsOfChancesBehave(t *testing.T) {
	for name, interval := range map[string]func(k, n int, confidence float64) Interval{
		"score": Wilson, "exact": ClopperPearson,
	} {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			k, n, confidence := drawCount(t)
			i := interval(k, n, confidence)
			assert.True(t, 0 <= i.Low && i.Low <= i.High && i.High <= 1, "%v", i)
			if n > 0 {
				p := float64(k) / float64(n)
				assert.True(t, i.Low <= p && p <= i.High, "%g outside %v", p, i)
			}
			turned := interval(n-k, n, confidence)
			assert.InDelta(t, 1-turned.High, i.Low, 1e-12)
			assert.InDelta(t, 1-turned.Low, i.High, 1e-12)
			surer := interval(k, n, confidence+(1-confidence)/2)
			assert.True(t, surer.Low <= i.Low && i.High <= surer.High, "%v in %v", i, surer)
			if k < n {
				more := interval(k+1, n, confidence)
				assert.True(t, i.Low <= more.Low && i.High <= more.High, "%v before %v", i, more)
			}
		}))
	}
}

func TestDifferencesBehave(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k1, n1, confidence := drawCount(t)
		k2, n2, _ := drawCount(t)
		i := Difference(k1, n1, k2, n2, confidence)
		assert.True(t, -1-1e-12 <= i.Low && i.Low <= i.High && i.High <= 1+1e-12, "%v", i)
		turned := Difference(k2, n2, k1, n1, confidence)
		assert.InDelta(t, -turned.High, i.Low, 1e-12)
		assert.InDelta(t, -turned.Low, i.High, 1e-12)
	})
}

func drawCount(t *rapid.T) (k, n int, confidence float64) {
	n = rapid.IntRange(0, 3000).Draw(t, "n")
	return rapid.IntRange(0, n).Draw(t, "k"), n, rapid.Float64Range(0.01, 0.999).Draw(t, "confidence")
}

func TestNoTriesLeaveEverythingOpen(t *testing.T) {
	assert.Equal(t, Interval{0, 1}, Wilson(0, 0, 0.95))
	assert.Equal(t, Interval{0, 1}, ClopperPearson(0, 0, 0.95))
	assert.Equal(t, Interval{-1, 1}, Difference(0, 0, 3, 4, 0.95))
	assert.Equal(t, Interval{-1, 1}, Difference(3, 4, 0, 0, 0.95))
}

func TestNonsenseIsRefused(t *testing.T) {
	for _, confidence := range []float64{0, 1, -1, 95, math.NaN()} {
		assert.Panics(t, func() { Wilson(1, 2, confidence) })
		assert.Panics(t, func() { ClopperPearson(1, 2, confidence) })
	}
	assert.Panics(t, func() { Wilson(3, 2, 0.95) })
	assert.Panics(t, func() { ClopperPearson(-1, 2, 0.95) })
	assert.Panics(t, func() { Difference(1, 2, 3, 2, 0.95) })
}

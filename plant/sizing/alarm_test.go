package sizing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"holdbench/plant/sizing"
)

// The rule is that of the judge: a position is latched, and each of N later ones compared
// with it. Here it is played with normal samples rounded to increments, and counted. With
// 40000 plays the count is within four standard deviations of the exact rate in all but
// 6 of 100000 cases; the seeds are fixed.
func TestAlarmRateIsWhatIsCounted(t *testing.T) {
	const plays = 40000
	for i, c := range []struct {
		f, s       float64
		w, samples int
	}{
		{0, 0.2275, 1, 125}, {0.5, 0.2275, 1, 125}, {0.3, 0.6, 3, 125}, {0.5, 0.7, 4, 50}, {0.1, 2, 8, 125}, {0.5, 0.9, 3, 1}, {0.25, 5, 24, 300}, {0.5, 0.05, 1, 100}, {0.5, 0.05, 0, 2}, {0, 18, 60, 20},
	} {
		random := rand.New(rand.NewPCG(uint64(i), 1))
		sample := func() float64 { return math.Round(c.f + c.s*random.NormFloat64()) }
		alarms := 0
		for range plays {
			latch := sample()
			for range c.samples {
				if math.Abs(sample()-latch) > float64(c.w) {
					alarms++
					break
				}
			}
		}
		p := sizing.AlarmRateAt(c.f, c.s, c.w, c.samples)
		spread := math.Sqrt(p * (1 - p) / plays)
		assert.InDelta(t, p, float64(alarms)/plays, 4*spread+1e-9, "%+v", c)
		assert.LessOrEqual(t, p, sizing.AlarmRate(c.s, c.w, c.samples)*1.001, "%+v: the worst place is no better", c)
	}
}

// One sample against the latch is the difference of two normal values, which is normal
// with √2 times the deviation (any text on statistics): P = 2 (1 − Φ(w/(s√2))).
func TestOneSampleIsADifferenceOfTwo(t *testing.T) {
	const s = 1000.0
	for _, w := range []int{500, 2000, 5000} {
		want := 2 * distuv.UnitNormal.CDF(-float64(w)/(s*math.Sqrt2))
		assert.InEpsilon(t, want, sizing.AlarmRate(s, w, 1), 1e-6, w)
	}
}

// Where noise is large against an increment the exact sum is the integral over the latch,
// with half an increment for the rounding:
//
//	P = ∫ φ(u) (1 − [Φ(u + h) − Φ(u − h)]^N) du,  h = (w+½)/s
//
// here by Simpson's rule. A sum over cells of 1/15 deviation is an integral to a few parts
// in a thousand.
func TestSumComesToTheIntegral(t *testing.T) {
	const s, samples = 15.0, 125
	for _, w := range []int{45, 60, 75} {
		h := (float64(w) + 0.5) / s
		var u, y []float64
		for x := -8.0; x <= 8.0001; x += 0.005 {
			inside := distuv.UnitNormal.CDF(x+h) - distuv.UnitNormal.CDF(x-h)
			u, y = append(u, x), append(y, distuv.UnitNormal.Prob(x)*(1-math.Pow(inside, samples)))
		}
		assert.InEpsilon(t, integrate.Simpsons(u, y), sizing.AlarmRate(s, w, samples), 5e-3, w)
	}
}

// Above twenty increments of noise the rate is a bound, and not far from the sum: half an
// increment of fifty is a hundredth of the deviation, a few per cent of a rare event.
func TestManyIncrementsAreBoundedFromAbove(t *testing.T) {
	for _, w := range []int{150, 200, 250} {
		exact := sizing.AlarmRateAt(0.5, 50, w, 125)
		bound := sizing.AlarmRate(50, w, 125)
		assert.Greater(t, bound, exact)
		assert.InEpsilon(t, exact, bound, 0.08)
	}
}

// A position that rests between two increments varies by one, and no more: with noise of
// a fiftieth of an increment a window of one is never left, and one of none nearly always.
func TestAVariationOfOneIncrement(t *testing.T) {
	assert.InDelta(t, 1, sizing.AlarmRateAt(0.5, 0.02, 0, 125), 1e-12)
	assert.Less(t, sizing.AlarmRate(0.02, 1, 125), 1e-30)
	assert.Equal(t, 1, sizing.AlarmWindow(0.02, 125, 1e-9))
	assert.Equal(t, 1, sizing.AlarmWindow(0, 125, 1e-9), "without noise a window is one increment at least")
}

// More samples, or a tighter window, never make an alarm rarer, and the window that is
// given is the smallest that keeps the rate.
func TestAlarmRateIsInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0.01, 60).Draw(t, "s")
		w := rapid.IntRange(0, int(12*s)+2).Draw(t, "w")
		n := rapid.IntRange(1, 1000).Draw(t, "n")
		p := sizing.AlarmRate(s, w, n)
		require.True(t, p >= 0 && p <= 1+1e-9, "%g", p)
		require.GreaterOrEqual(t, p*(1+1e-9), sizing.AlarmRate(s, w+1, n))
		require.LessOrEqual(t, p, sizing.AlarmRate(s, w, n+1)*(1+1e-9))
		rate := math.Pow(10, -rapid.Float64Range(1, 12).Draw(t, "digits"))
		least := sizing.AlarmWindow(s, n, rate)
		require.LessOrEqual(t, sizing.AlarmRate(s, least, n), rate)
		if least > 1 {
			require.Greater(t, sizing.AlarmRate(s, least-1, n), rate)
		}
	})
}

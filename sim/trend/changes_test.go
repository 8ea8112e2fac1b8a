package trend_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/sim/statistics"
	"holdbench/sim/trend"
)

// shape is a series in units of its scatter: a rise over all tests, and a step in the middle half.
type shape struct {
	tests      int
	rise, step float64
	heavy      bool // errors of Student's t of 4 degrees of freedom, else normal ones; both of variance 1
}

func (s *shape) drawn(random *rand.Rand) trend.Series {
	x := trend.Series{Quantity: trend.Quantities()[4]}
	from := s.tests/4 + random.IntN(s.tests/2+1)
	for i := range s.tests {
		value := 40 + s.rise*float64(i)/float64(s.tests-1) + s.error(random)
		if i >= from {
			value += s.step
		}
		x.Times, x.Values = append(x.Times, float64(7*i)), append(x.Values, value)
	}
	return x
}

func (s *shape) error(random *rand.Rand) float64 {
	if !s.heavy {
		return random.NormFloat64()
	}
	chi := 0.0
	for range 4 {
		normal := random.NormFloat64()
		chi += normal * normal
	}
	return random.NormFloat64() / math.Sqrt(chi/2)
}

// A steady rise is cut into levels in at most one of twenty series, whatever its slope and scatter, one without
// rise and step in at most one of a hundred, and steps are found as they are large against the scatter and the
// series is long. Each row is a share of series; the tolerance is the interval of Clopper and Pearson at 99 %.
func TestRisesAreNotCutAndStepsAreFound(t *testing.T) {
	t.Parallel()
	const trials = 150
	for _, c := range []struct {
		of              []shape // pooled
		atMost, atLeast float64 // of series with a change
	}{
		{of: []shape{{tests: 10}, {tests: 20}, {tests: 40}, {tests: 40, heavy: true}}, atMost: 0.01},
		{of: []shape{{tests: 10, rise: 3}, {tests: 12, rise: 3}, {tests: 15, rise: 3}}, atMost: 0.05},
		{of: []shape{{tests: 20, rise: 2}, {tests: 20, rise: 3}, {tests: 20, rise: 4}}, atMost: 0.05},
		{of: []shape{{tests: 40, rise: 2}, {tests: 40, rise: 3}, {tests: 40, rise: 4}}, atMost: 0.05},
		{of: []shape{{tests: 30, rise: 2, heavy: true}, {tests: 30, rise: 3, heavy: true}}, atMost: 0.05},
		{of: []shape{{tests: 20, rise: 6}, {tests: 40, rise: 6}, {tests: 40, rise: 12}}, atMost: 0.05},
		{of: []shape{{tests: 40, step: 2}, {tests: 40, step: 2, heavy: true}}, atMost: 1, atLeast: 0.5},
		{of: []shape{{tests: 30, step: 3}, {tests: 30, step: 3, heavy: true}}, atMost: 1, atLeast: 0.75},
		{of: []shape{{tests: 40, step: 3}, {tests: 40, step: 3, heavy: true}}, atMost: 1, atLeast: 0.85},
		{of: []shape{{tests: 30, step: 6}, {tests: 40, step: 6}}, atMost: 1, atLeast: 0.95},
	} {
		n, changed := 0, 0
		for _, s := range c.of {
			random := rand.New(rand.NewPCG(9, uint64(s.tests)))
			cut, rises := 0, 0
			for range trials {
				got := look(s.drawn(random))
				switch {
				case len(got.Changes) > 0:
					cut++
				case got.Found:
					rises++
				}
			}
			n, changed = n+trials, changed+cut
			t.Logf("%d tests, rise %g, step %g, heavy tails %v: change of level %.3f, trend %.3f, neither %.3f",
				s.tests, s.rise, s.step, s.heavy, share(cut, trials), share(rises, trials), share(trials-cut-rises, trials))
		}
		rate, name := statistics.ClopperPearson(changed, n, 0.99), fmt.Sprintf("%+v: %d of %d", c.of, changed, n)
		assert.LessOrEqual(t, rate.Low, c.atMost, name)
		assert.GreaterOrEqual(t, rate.High, c.atLeast, name)
	}
}

func share(n, of int) float64 { return float64(n) / float64(of) }

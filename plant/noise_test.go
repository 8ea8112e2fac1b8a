package plant

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Moments of N standard normal values and the deviation of each estimate: mean 0 ± 1/√N,
// variance 1 ± √(2/N), skewness 0 ± √(6/N), kurtosis 3 ± √(24/N) (any text on
// statistics). Four deviations are allowed.
func TestNoiseHasTheMomentsOfANormal(t *testing.T) {
	const count = 1_000_000
	n := newNoise(1, positionStream, newZiggurat())
	var sum, squares, cubes, fourths float64
	for range count {
		x := n.normal(1)
		sum, squares, cubes, fourths = sum+x, squares+x*x, cubes+x*x*x, fourths+x*x*x*x
	}
	require.InDelta(t, 0, sum/count, 4*math.Sqrt(1.0/count))
	require.InDelta(t, 1, squares/count, 4*math.Sqrt(2.0/count))
	require.InDelta(t, 0, cubes/count, 4*math.Sqrt(15.0/count))   // var x³ = 15
	require.InDelta(t, 3, fourths/count, 4*math.Sqrt(96.0/count)) // var x⁴ = 105 − 9
}

// Kolmogorov and Smirnov: the largest distance between the counted and the true
// distribution exceeds 1.95/√N once in a thousand (any table of the statistic).
func TestNoiseIsDistributedNormally(t *testing.T) {
	const count = 200_000
	n := newNoise(7, currentStream, newZiggurat())
	values := make([]float64, count)
	for i := range values {
		values[i] = n.normal(1)
	}
	slices.Sort(values)
	worst := 0.0
	for i, x := range values {
		want := 0.5 * math.Erfc(-x/math.Sqrt2)
		worst = max(worst, math.Abs(want-float64(i)/count), math.Abs(want-float64(i+1)/count))
	}
	require.Less(t, worst, 1.95/math.Sqrt(count))
	require.Greater(t, values[count-1], zigguratEnd, "the tail is reached")
	require.Less(t, values[0], -zigguratEnd)
}

// Streams of one seed, and one stream of neighbouring seeds, have nothing in common: the
// correlation of N pairs is 0 ± 1/√N.
func TestNoiseStreamsAreIndependent(t *testing.T) {
	const count = 200_000
	table := newZiggurat()
	for _, pair := range [][2]noise{
		{newNoise(1, positionStream, table), newNoise(1, currentStream, table)},
		{newNoise(1, positionStream, table), newNoise(2, positionStream, table)},
		{newNoise(0, positionStream, table), newNoise(0, currentStream, table)},
	} {
		sum := 0.0
		for range count {
			sum += pair[0].normal(1) * pair[1].normal(1)
		}
		require.InDelta(t, 0, sum/count, 4/math.Sqrt(count))
	}
}

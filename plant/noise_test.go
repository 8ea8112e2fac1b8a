package plant

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The generator gives the value that is published for it. Source: A. L. Voskov, SmokeRand,
// generators/wyrand.c, self-test of wyrand v4.1: from the state 0xDEADBEEF01234567 the
// 100,000th output is 0x1019967471850C04.
func TestNoiseIsWyrand(t *testing.T) {
	n := noise{state: 0xDEADBEEF01234567}
	for range 99_999 {
		n.next()
	}
	require.Equal(t, uint64(0x1019967471850C04), n.next())
}

// The layers are those of the paper. Source: the tables kn, wn and fn of the Go standard
// library, math/rand/v2, normal.go, made for the same 128 layers; wn and fn have seven digits.
func TestZigguratHasThePublishedLayers(t *testing.T) {
	z := newZiggurat()
	for i, want := range map[int]uint32{0: 0x76ad2212, 1: 0, 2: 0x600f1b53, 3: 0x6ce447a6, 4: 0x725b46a2, 5: 0x7560051d, 6: 0x774921eb, 7: 0x789a25bd} {
		require.Equal(t, want, z.k[i], i)
	}
	for i, want := range []float64{1.7290405e-09, 1.2680929e-10, 1.6897518e-10, 1.9862688e-10, 2.2232431e-10, 2.4244937e-10} {
		require.InEpsilon(t, want, z.w[i], 1e-7, i)
	}
	for i, want := range []float64{1, 0.9635997, 0.9362827, 0.9130436, 0.89228165, 0.87324303} {
		require.InEpsilon(t, want, z.f[i], 1e-7, i)
	}
}

// The two constants belong together: a layer at the end r has the area of the others,
//
//	v = r φ(r) + ∫_r^∞ φ(x) dx,  φ(x) = exp(−x²/2)
//
// and so has every rectangle between two layers, down to the one below φ(0) = 1, which nothing
// in the making of the table forces: r has 13 digits and leaves it eight.
func TestZigguratLayersHaveOneArea(t *testing.T) {
	density := func(x float64) float64 { return math.Exp(-x * x / 2) }
	area := zigguratEnd*density(zigguratEnd) + math.Sqrt(math.Pi/2)*math.Erfc(zigguratEnd/math.Sqrt2)
	require.InEpsilon(t, zigguratArea, area, 1e-12)
	z := newZiggurat()
	width := func(i int) float64 { return z.w[i] * (1 << 31) }
	for i := 1; i < 128; i++ {
		require.InEpsilon(t, zigguratArea, width(i)*(z.f[i-1]-z.f[i]), 1e-8, i)
	}
}

// Moments of N standard normal values. The deviation of the mean of xⁿ is √(var xⁿ/N) with the
// variances 1, 2, 15 and 96 for n from 1 to 4, from E x² = 1, E x⁴ = 3, E x⁶ = 15, E x⁸ = 105.
// Four deviations are exceeded once in 16,000.
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
	require.InDelta(t, 0, cubes/count, 4*math.Sqrt(15.0/count))
	require.InDelta(t, 3, fourths/count, 4*math.Sqrt(96.0/count))
}

// upper is the chance that a standard normal value lies above x.
func upper(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }

// kolmogorov is the largest distance between the counted and the true distribution of n values,
// times √n. It exceeds 1.95 once in a thousand: 2 exp(−2·1.95²) = 0.001. Source: A. Kolmogorov,
// Giornale dell'Istituto Italiano degli Attuari 4, 1933 (the first term of his series).
func kolmogorov(values []float64, below func(x float64) float64) float64 {
	slices.Sort(values)
	worst, n := 0.0, float64(len(values))
	for i, x := range values {
		worst = max(worst, math.Abs(below(x)-float64(i)/n), math.Abs(below(x)-float64(i+1)/n))
	}
	return worst * math.Sqrt(n)
}

func TestNoiseIsDistributedNormally(t *testing.T) {
	values := make([]float64, 200_000)
	for _, stream := range []uint64{positionStream, currentStream} {
		n := newNoise(7, stream, newZiggurat())
		for i := range values {
			values[i] = n.normal(1)
		}
		require.Less(t, kolmogorov(values, func(x float64) float64 { return upper(-x) }), 1.95)
	}
}

// Beyond the last layer values are drawn in another way. As many lie there, on each side, as
// should, within four deviations of a binomial; and among themselves they have the
// distribution of the tail, 1 − Q(x)/Q(r).
func TestNoiseHasTheTailOfANormal(t *testing.T) {
	const count = 4_000_000
	n := newNoise(3, currentStream, newZiggurat())
	sides := map[bool][]float64{}
	for range count {
		if x := n.normal(1); math.Abs(x) > zigguratEnd {
			sides[x > 0] = append(sides[x > 0], math.Abs(x))
		}
	}
	share := upper(zigguratEnd)
	for _, beyond := range sides {
		require.InDelta(t, count*share, len(beyond), 4*math.Sqrt(count*share))
		require.Less(t, kolmogorov(beyond, func(x float64) float64 { return 1 - upper(x)/share }), 1.95)
	}
	require.Len(t, sides, 2)
}

// Streams of one seed, and one stream of neighbouring seeds, have nothing in common: the
// correlation of N pairs is 0 ± 1/√N; four of these are exceeded once in 16,000.
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

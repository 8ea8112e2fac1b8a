package portable

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ulps is the error of a result in units in the last place of the exact one.
func ulps(got float64, exact *big.Float) float64 {
	nearest, _ := exact.Float64()
	_, exponent := math.Frexp(nearest)
	difference, _ := scaled(sub(number(got), exact), -max(exponent-53, -1074)).Float64()
	return math.Abs(difference)
}

// between draws arguments, evenly and by the size of their logarithm.
func between(draw *rand.Rand, low, high float64) float64 {
	x := low + (high-low)*draw.Float64()
	if draw.IntN(3) == 0 {
		x *= math.Ldexp(1, -draw.IntN(60))
	}
	return min(max(x, low), high)
}

// The errors that the functions state hold on drawn arguments, against math/big.
func TestErrorsAreAsStated(t *testing.T) {
	t.Parallel()
	pi := bigPi()
	sin := func(x *big.Float) *big.Float { s, _ := bigSinCos(x, pi); return s }
	cos := func(x *big.Float) *big.Float { _, c := bigSinCos(x, pi); return c }
	tan := func(x *big.Float) *big.Float { s, c := bigSinCos(x, pi); return quo(s, c) }
	one := whole(1)
	asin := func(x *big.Float) *big.Float { return bigAtan(quo(x, root(sub(one, mul(x, x))))) }
	for _, f := range []struct {
		name      string
		of        func(float64) float64
		exact     func(*big.Float) *big.Float
		low, high float64
		ulps      float64
		count     int
	}{
		{"Exp", Exp, bigExp, -708, 709, 0.52, 200},
		{"Exp of friction", Exp, bigExp, -40, 0, 0.52, 200},
		{"Exp subnormal", Exp, bigExp, -745, -708, 1, 10},
		{"Expm1", Expm1, func(x *big.Float) *big.Float { return sub(bigExp(x), one) }, -40, 40, 0.51, 40},
		{"Log", Log, bigLog, 1e-300, 1e300, 1, 20},
		{"Log near 1", Log, bigLog, 0.5, 2, 1, 40},
		{"Log1p", Log1p, func(x *big.Float) *big.Float { return bigLog(add(one, x)) }, -0.999, 3, 0.51, 20},
		{"Log10", Log10, func(x *big.Float) *big.Float { return quo(bigLog(x), bigLog(whole(10))) }, 1e-3, 1e6, 0.51, 15},
		{"Pow", func(x float64) float64 { return Pow(x, 7.3) }, func(x *big.Float) *big.Float { return bigExp(mul(bigLog(x), number(7.3))) }, 1e-30, 1e30, 0.51, 15},
		{"Pow of a large exponent", func(x float64) float64 { return Pow(1.0001, x) }, func(x *big.Float) *big.Float { return bigExp(mul(bigLog(number(1.0001)), x)) }, -7e6, 7e6, 0.51, 15},
		{"Hypot", func(x float64) float64 { return Hypot(x, 3) }, func(x *big.Float) *big.Float { return root(add(mul(x, x), whole(9))) }, -10, 10, 1, 200},
		{"Sin", Sin, sin, -40, 40, 0.8, 40},
		{"Cos", Cos, cos, -40, 40, 0.8, 40},
		{"Cos of a large angle", Cos, cos, -1.6e6, 1.6e6, 0.8, 40},
		{"Sin of the largest angles", Sin, sin, -1e300, 1e300, 0.8, 20},
		{"Tan", Tan, tan, -40, 40, 2, 40},
		{"Atan", Atan, bigAtan, -3, 3, 2, 80},
		{"Atan of large numbers", Atan, bigAtan, -1e6, 1e6, 2, 20},
		{"Asin", Asin, asin, -0.999999, 0.999999, 4, 40},
		{"Acos", Acos, func(x *big.Float) *big.Float { return sub(scaled(pi, -1), asin(x)) }, -0.999999, 0.999999, 4, 40},
	} {
		t.Run(f.name, func(t *testing.T) {
			draw := rand.New(rand.NewPCG(18, 2))
			worst := 0.
			for range f.count {
				x := between(draw, f.low, f.high)
				e := ulps(f.of(x), f.exact(number(x)))
				worst = max(worst, e)
				require.Less(t, e, f.ulps, "%s(%v)", f.name, x)
			}
			t.Logf("largest error %.3f ulp", worst)
		})
	}
}

// The table is that of the powers of two, to twice the precision.
func TestPowersOfTwo(t *testing.T) {
	t.Parallel()
	step := scaled(bigLog(whole(2)), -6)
	for j, p := range powersOfTwo {
		rest := sub(sub(bigExp(mul(step, whole(int64(j)))), number(p.high)), number(p.low))
		size, _ := rest.Float64()
		assert.Less(t, math.Abs(size), math.Ldexp(1, -106), j)
	}
}

// Share and quantile of the normal distribution are exact to the digits that they state.
func TestNormalDistribution(t *testing.T) {
	t.Parallel()
	pi := bigPi()
	for _, z := range []float64{-8, -7.3, -4.2, -2.500001, -1.51, -1.49, -1, -0.3, -1e-9, 0, 0.7, 1.6, 3, 6} {
		exact, _ := bigNormalCDF(number(z), pi).Float64()
		assert.InEpsilon(t, exact, NormalCDF(z), 1e-14, z)
		if z < 5 {
			assert.InDelta(t, z, NormalQuantile(NormalCDF(z)), max(1, -z)*1e-14+2e-16/NormalDensity(z), z)
		}
	}
	assert.InEpsilon(t, 1.959963984540054, NormalQuantile(0.975), 1e-14, "tables of the distribution")
	assert.True(t, math.IsInf(NormalQuantile(0), -1) && math.IsInf(NormalQuantile(1), 1) && math.IsNaN(NormalQuantile(1.1)))
}

// Special values are those of package math.
func TestSpecialValuesAreThoseOfMath(t *testing.T) {
	t.Parallel()
	values := []float64{0, math.Copysign(0, -1), 1, -1, 2, -2, 3, -3, 0.5, -0.5, 1e308, -1e308, 5e-324, -5e-324, 1e-310, 800, -800, math.Inf(1), math.Inf(-1), math.NaN(), math.MaxInt64}
	subnormal := func(x float64) bool { return x != 0 && math.Abs(x) < 1e-300 }
	for _, f := range []struct {
		name         string
		of, expected func(float64) float64
	}{
		{"Exp", Exp, math.Exp}, {"Expm1", Expm1, math.Expm1}, {"Log", Log, math.Log}, {"Log1p", Log1p, math.Log1p}, {"Log10", Log10, math.Log10},
		{"Sin", Sin, math.Sin}, {"Cos", Cos, math.Cos}, {"Tan", Tan, math.Tan}, {"Atan", Atan, math.Atan}, {"Asin", Asin, math.Asin}, {"Acos", Acos, math.Acos},
	} {
		for _, x := range values {
			if subnormal(x) && (f.name == "Log" || f.name == "Log10") {
				continue // that of math is wrong on some processors
			}
			alike(t, f.expected(x), f.of(x), fmt.Sprintf("%s(%v)", f.name, x))
		}
	}
	for _, f := range []struct {
		name         string
		of, expected func(x, y float64) float64
	}{{"Pow", Pow, math.Pow}, {"Atan2", Atan2, math.Atan2}, {"Hypot", Hypot, math.Hypot}} {
		for _, x := range values {
			for _, y := range values {
				if f.name == "Atan2" && subnormal(x) {
					continue // that of math loses the sign of a quotient that vanishes
				}
				alike(t, f.expected(x, y), f.of(x, y), fmt.Sprintf("%s(%v, %v)", f.name, x, y))
			}
		}
	}
	assert.Equal(t, 3., Log10(1000), "a power of ten is exact")
	assert.Equal(t, -1074*math.Ln2, Log(5e-324))
	assert.Equal(t, -math.Pi, Atan2(-5e-324, -2))
}

func alike(t *testing.T, expected, got float64, what string) {
	t.Helper()
	switch {
	case math.IsNaN(expected):
		assert.True(t, math.IsNaN(got), "%s is %v, must be no number", what, got)
	case math.IsInf(expected, 0) || expected == 0:
		assert.Equal(t, math.Float64bits(expected), math.Float64bits(got), "%s is %v, must be %v", what, got, expected)
	default:
		assert.InEpsilon(t, expected, got, 1e-14, what)
	}
}

// The variates are those of math/rand/v2 to the last bits, so that a seed keeps its draws.
func TestVariatesAreThoseOfTheLibrary(t *testing.T) {
	t.Parallel()
	for name, of := range map[string][2]func(*rand.Rand) float64{
		"normal":      {Normal, (*rand.Rand).NormFloat64},
		"exponential": {Exponential, (*rand.Rand).ExpFloat64},
	} {
		ours, library := rand.New(rand.NewPCG(5, 6)), rand.New(rand.NewPCG(5, 6))
		for i := range 100_000 {
			require.InEpsilon(t, of[1](library), of[0](ours), 1e-15, "%s, draw %d", name, i)
		}
	}
}

// The sum is fixed for all machines. A change of a function changes it, and with it the self-test of
// parts of a sweep.
func TestDigest(t *testing.T) {
	t.Parallel()
	sum := sha256.New()
	Digest(sum)
	assert.Equal(t, "b2246a08fc6c2c16", hex.EncodeToString(sum.Sum(nil)[:8]))
}

func BenchmarkExp(b *testing.B) {
	for name, f := range map[string]func(float64) float64{"portable": Exp, "math": math.Exp} {
		b.Run(name, func(b *testing.B) {
			x := -0.7
			for b.Loop() {
				x = -0.7 + f(x)*1e-300
			}
		})
	}
}

// What is no number gives none, and every function of an infinite number comes to an end as that of package math does.
func TestNormalOfNoNumber(t *testing.T) {
	t.Parallel()
	assert.True(t, math.IsNaN(NormalCDF(math.NaN())))
	assert.True(t, math.IsNaN(NormalDensity(math.NaN())))
	assert.True(t, math.IsNaN(NormalQuantile(math.NaN())))
	assert.Zero(t, NormalCDF(math.Inf(-1)))
	assert.Equal(t, 1.0, NormalCDF(math.Inf(1)))
	assert.Zero(t, NormalDensity(math.Inf(1)))
	for _, f := range []struct {
		name      string
		ours, std func(float64) float64
	}{
		{"Exp", Exp, math.Exp}, {"Expm1", Expm1, math.Expm1}, {"Log", Log, math.Log},
		{"Log1p", Log1p, math.Log1p}, {"Log10", Log10, math.Log10}, {"Sin", Sin, math.Sin},
		{"Cos", Cos, math.Cos}, {"Tan", Tan, math.Tan}, {"Atan", Atan, math.Atan},
		{"Asin", Asin, math.Asin}, {"Acos", Acos, math.Acos},
	} {
		for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, 0x1p-1022} {
			want, got := f.std(x), f.ours(x)
			if math.IsNaN(want) {
				assert.True(t, math.IsNaN(got), "%s(%v) is %v", f.name, x, got)
				continue
			}
			assert.True(t, got == want || math.Abs(got-want) <= 1e-12*max(1, math.Abs(want)), "%s(%v) is %v, not %v", f.name, x, got, want)
		}
	}
}

package portable

import (
	"math"
	"math/big"
)

// Half of π in parts of 33 bits, of which products with the integers of a reduction are exact,
// and as a pair.
const (
	quarter1     = 0x1.921fb544p+0
	quarter2     = 0x1.0b4611a6p-34
	quarter3     = 0x1.3198a2ep-69
	quarter4     = 0x1.b839a252049c1p-104
	halfPiHigh   = 0x1.921fb54442d18p+0
	halfPiLow    = 0x1.1a62633145c07p-54
	farFromZero  = 1 << 20 // above it the products are not exact
	withinEighth = math.Pi / 4
)

// Sin is the sine of x in rad, with an error below 0.8 ulp.
func Sin(x float64) float64 {
	if x == 0 {
		return x
	}
	if math.Abs(x) <= withinEighth {
		return sine(pair{x, 0})
	}
	r, quadrant := reduce(x)
	return ofQuadrant(r, quadrant)
}

// Cos is the cosine of x in rad, with an error below 0.8 ulp.
func Cos(x float64) float64 {
	if x == 0 { // as of the angle of an axis that is no arm
		return 1
	}
	if math.Abs(x) <= withinEighth {
		return cosine(pair{x, 0})
	}
	r, quadrant := reduce(x)
	return ofQuadrant(r, quadrant+1)
}

// Tan is the tangent of x in rad, with an error below 2 ulp.
func Tan(x float64) float64 {
	if x == 0 {
		return x
	}
	r, quadrant := reduce(x)
	if quadrant&1 == 0 {
		return sine(r) / cosine(r)
	}
	return -cosine(r) / sine(r)
}

// ofQuadrant is the sine of r and a number of right angles.
func ofQuadrant(r pair, quadrant int) float64 {
	switch quadrant & 3 {
	case 0:
		return sine(r)
	case 1:
		return cosine(r)
	case 2:
		return -sine(r)
	}
	return -cosine(r)
}

// reduce subtracts the nearest multiple of a right angle, and returns the multiple modulo 4. The
// rest of an infinity is none.
func reduce(x float64) (rest pair, quadrant int) {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return pair{math.NaN(), 0}, 0
	case math.Abs(x) > farFromZero:
		return reduceFar(x)
	}
	n := float64(x*(2/math.Pi)) + roundToInteger - roundToInteger
	r := sumOf(x-float64(n*quarter1), float64(-n*quarter2))
	return r.plus(pair{float64(-n * quarter3), float64(-n * quarter4)}), int(n) & 3
}

// reduceFar is [reduce] of a large number, by as many bits of 2/π as the largest one needs.
// Source: Payne and Hanek, Radian reduction for trigonometric functions, ACM SIGNUM 18, 1983 (from
// memory).
func reduceFar(x float64) (rest pair, quadrant int) {
	const bits, digits = 1280, "a2f9836e4e441529fc2757d1f534ddc0db6295993c439041fe5163abdebbc561b7246e3a424dd2e006492eea09d1921cfe1deb1cb129a73ee88235f52ebb4484" +
		"e99c7026b45f7e413991d639835339f49c845f8bbdf9283b1ff897ffde05980fef2f118b5a0a6d1f6d367ecf27cb09b74f463f669e5fea2d7527bac7ebe5f17b" +
		"3d0739f78a5292ea6bfb5fb11f8d5d0856033046fc7b6babf0cfbc209af4361d"
	mantissa, exponent := math.Frexp(x)
	turns, _ := new(big.Int).SetString(digits, 16)
	turns.Mul(turns, big.NewInt(int64(math.Ldexp(mantissa, 53))))
	point := uint(bits + 53 - exponent) //nolint:gosec // an exponent is at most 1024
	whole := new(big.Int).Add(turns, new(big.Int).Lsh(big.NewInt(1), point-1))
	whole.Rsh(whole, point) // rounded to the nearest
	turns.Sub(turns, new(big.Int).Lsh(whole, point))
	part := new(big.Float).SetPrec(128).SetInt(turns)
	part.SetMantExp(part, -int(point)) //nolint:gosec // below 2000
	high, _ := part.Float64()
	low, _ := part.Sub(part, big.NewFloat(high)).Float64()
	quadrant = int(new(big.Int).And(whole, big.NewInt(3)).Int64())
	return pair{high, low}.times(pair{halfPiHigh, halfPiLow}), quadrant
}

// sine is the sine of a number up to π/4, by its series. The first term that is left out is
// below 2⁻⁶⁰ of the result.
func sine(r pair) float64 {
	x := r.high
	z := float64(x * x)
	series := 1./120 - float64(z*(1./5040-float64(z*(1./362880-float64(z*(1./39916800-float64(z*(1./6227020800-float64(z*(1./1307674368000-float64(z*(1./355687428096000))))))))))))
	cubic := float64(z*series) - 1./6
	return x + (float64(float64(x*z)*cubic) + float64(r.low*(1-float64(z/2))))
}

// cosine is the cosine of a number up to π/4, likewise.
func cosine(r pair) float64 {
	z := float64(r.high * r.high)
	half := float64(z / 2)
	most := 1 - half
	series := 1./24 - float64(z*(1./720-float64(z*(1./40320-float64(z*(1./3628800-float64(z*(1./479001600-float64(z*(1./87178291200-float64(z*(1./20922789888000))))))))))))
	small := float64(float64(z*z)*series) - float64(r.high*r.low)
	return most + (((1 - most) - half) + small)
}

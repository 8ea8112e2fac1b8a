package portable

import "math"

// The natural logarithm of 2, divided by 64, in parts of 36 bits, of which products with the
// integers of a reduction are exact.
const (
	step1    = 0x1.62e42fefap-7
	step2    = 0x1.cf79abc9ep-46
	step3    = 0x1.d9cc01f97b57ap-85
	stepRest = step2 + step3
	perStep  = 0x1.71547652b82fep+6 // 64/ln 2
)

// roundToInteger, added to a number below 2^51 and subtracted again, leaves the nearest integer.
const roundToInteger = 0x1.8p52

// The exponential overflows above the first and is zero below the second.
const (
	largestExponent  = 709.782712893383973096
	smallestExponent = -745.133219101941108420
)

// Exp is e^x, with an error below 0.52 ulp, of a subnormal result 1 ulp.
//
//	x = (64 k + j) ln(2)/64 + r,  e^x = 2^k 2^(j/64) e^r
//
// with e^r by its series. What is added to the table's value is below 2⁻⁷ of it, so that its
// rounding errors, of r, of the series and of the product, are below 0.02 ulp. Source: Tang, Table-driven implementation of the exponential function in
// IEEE floating-point arithmetic, ACM Trans. Mathematical Software 15(2), 1989 (from memory).
func Exp(x float64) float64 {
	if !(math.Abs(x) < 708) {
		return expAtEnds(x)
	}
	shifted := float64(x*perStep) + roundToInteger
	n := shifted - roundToInteger
	k := int64(n)
	r := (x - float64(n*step1)) - float64(n*stepRest)
	square := float64(r * r)
	tail := 1./6 + float64(r*(1./24)) + float64(square*(1./120+float64(r*(1./720))))
	series := r + float64(square*(0.5+float64(r*tail)))
	power := &powersOfTwo[k&63]
	mantissa := power.high + (power.low + float64(power.high*series))
	return math.Float64frombits(math.Float64bits(mantissa) + uint64(k>>6)<<52) //nolint:gosec // k is from -1021 to 1021
}

// expAtEnds is [Exp] where the result is subnormal, near the largest number or none.
func expAtEnds(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x > largestExponent:
		return math.Inf(1)
	case x < smallestExponent:
		return 0
	}
	p, k := expOf(pair{x, 0})
	return math.Ldexp(p.value(), k)
}

// expOf is e^x = p 2^k for |x| up to 1000, with a relative error below 2⁻⁹⁰.
func expOf(x pair) (p pair, k int) {
	n := float64(x.high*perStep) + roundToInteger - roundToInteger
	r := sumOf(x.high-float64(n*step1), float64(-n*step2))
	r = r.plus(pair{x.low, 0}).plus(productOf(-n, step3))
	one := pair{1, 0}
	series := one
	for i := 12.; i >= 1; i-- {
		series = one.plus(series.times(r).over(i))
	}
	steps := int(n)
	return series.times(powersOfTwo[steps&63]), steps >> 6
}

// Expm1 is e^x − 1, also where x is small, with an error below 0.51 ulp.
func Expm1(x float64) float64 {
	const tiny = 1e-9 // the third term of the series is below the rounding of the pair
	switch {
	case math.IsNaN(x) || x == 0:
		return x
	case x > largestExponent:
		return math.Inf(1)
	case x < -50:
		return -1
	case math.Abs(x) < tiny:
		return x + float64(x*x/2)
	}
	p, k := expOf(pair{x, 0})
	if k > 60 {
		return math.Ldexp(p.value(), k)
	}
	scale := math.Ldexp(1, k)
	return pair{float64(p.high * scale), float64(p.low * scale)}.plus(pair{-1, 0}).value()
}

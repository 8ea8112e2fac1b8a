package portable

import "math"

// The natural logarithm of 2 in two parts: products of the first with the exponent of a float64
// are exact.
const (
	ln2High = 0x1.62e42fefa3p-1
	ln2Low  = 0x1.3de6af278ece6p-42
)

// Log is the natural logarithm of x, with an error below 1 ulp.
//
//	x = 2^k (1 + f),  s = f/(2 + f)
//	ln(1 + f) = f − (f²/2 − s (f²/2 + R)),  R = 2 s² (1/3 + s²/5 + s⁴/7 + …)
//
// Source: the arrangement is that of fdlibm, e_log.c (from memory), the series that of artanh.
func Log(x float64) float64 {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return x
	case x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	}
	mantissa, exponent := math.Frexp(x)
	if mantissa < math.Sqrt2/2 {
		mantissa, exponent = 2*mantissa, exponent-1
	}
	f, k := mantissa-1, float64(exponent)
	s := f / (2 + f)
	half := float64(float64(f*f) / 2)
	correction := float64(s*(half+artanhRest(float64(s*s)))) + float64(k*ln2Low)
	if exponent == 0 {
		return f - (half - correction)
	}
	return float64(k*ln2High) - ((half - correction) - f)
}

// artanhRest is 2 (artanh(s)/s − 1) = 2 (z/3 + z²/5 + …) for z = s² up to 0.03. The first term
// that is left out is below 2⁻⁵⁹ of the result of Log.
func artanhRest(z float64) float64 {
	sum := 0.
	for n := 23.; n >= 3; n -= 2 {
		sum = float64(z * (2/n + sum))
	}
	return sum
}

// logOf is the natural logarithm of a positive number with an absolute error below 2⁻⁹⁰ or that
// share of the result, by one step of Newton's method: y = y₀ + ln(1 + e), e = x e^−y₀ − 1.
func logOf(x pair) pair {
	first := Log(x.high)
	p, k := expOf(pair{-first, 0})
	mantissa, exponent := math.Frexp(x.high)
	x = pair{mantissa, math.Ldexp(x.low, -exponent)}
	ratio := x.times(p)
	scale := math.Ldexp(1, k+exponent)
	e := pair{float64(ratio.high * scale), float64(ratio.low * scale)}.plus(pair{-1, 0})
	return pair{first, 0}.plus(e).plus(productOf(e.high, float64(-0.5*e.high)))
}

// Log1p is ln(1 + x), also where x is small, with an error below 0.51 ulp.
func Log1p(x float64) float64 {
	const tiny = 1e-9 // the third term of the series is below the rounding
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1) || x == 0:
		return x
	case x < -1:
		return math.NaN()
	case x == -1:
		return math.Inf(-1)
	case math.Abs(x) < tiny:
		return x - float64(x*x/2)
	}
	return logOf(sumOf(1, x)).value()
}

// Log10 is the logarithm of x to the base of ten, with an error below 0.51 ulp; of a power of ten
// it is exact.
func Log10(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 1) {
		return Log(x)
	}
	const high, low = 0x1.bcb7b1526e50ep-2, 0x1.95355baaafad3p-57 // 1/ln 10
	return logOf(pair{x, 0}).times(pair{high, low}).value()
}

// Pow is x^y with an error below 0.51 ulp, of a subnormal result 1 ulp. Special values are those of
// [math.Pow].
func Pow(x, y float64) float64 {
	switch {
	case x == 0 || y == 0 || x == 1 || math.IsNaN(x) || math.IsNaN(y) || math.IsInf(x, 0) || math.IsInf(y, 0),
		x < 0 && y != math.Trunc(y):
		return math.Pow(x, y) // exact
	}
	sign := 1.
	if x < 0 && math.Mod(y, 2) != 0 {
		sign = -1
	}
	return float64(sign * positivePower(math.Abs(x), y))
}

func positivePower(x, y float64) float64 {
	log := logOf(pair{x, 0})
	switch size := log.high * y; {
	case log.high == 0:
		return 1
	case size > 1000:
		return math.Inf(1)
	case size < -1000:
		return 0
	case math.Abs(y) < 1e-300:
		return 1 // a product with y would lose bits
	}
	p, k := expOf(log.times(pair{y, 0}))
	return math.Ldexp(p.value(), k)
}

// Hypot is √(x² + y²) without overflow on the way, with an error below 1 ulp.
func Hypot(x, y float64) float64 {
	x, y = math.Abs(x), math.Abs(y)
	switch large := max(x, y); {
	case math.IsInf(x, 1) || math.IsInf(y, 1):
		return math.Inf(1)
	case math.IsNaN(large) || large == 0:
		return large
	default:
		_, exponent := math.Frexp(large)
		x, y = math.Ldexp(x, -exponent), math.Ldexp(y, -exponent)
		square := productOf(x, x).plus(productOf(y, y))
		root := math.Sqrt(square.high)
		return math.Ldexp(root+square.low/(2*root), exponent)
	}
}

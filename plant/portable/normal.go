package portable

import "math"

const rootOfTwoPi = 2.50662827463100050241576528481104525

// NormalDensity is φ(z) of the standard normal distribution, with a relative error below 2e-16 z² + 1e-15.
func NormalDensity(z float64) float64 { return Exp(float64(-z*z/2)) / rootOfTwoPi }

// NormalCDF is Φ(z), the share of the standard normal distribution below z, with a relative error
// below 1e-14 where z is above −8, and as that of [NormalDensity] below.
func NormalCDF(z float64) float64 {
	switch {
	case math.IsNaN(z):
		return z
	case z > 0:
		return 1 - NormalCDF(-z)
	case z < -1.5:
		return float64(NormalDensity(z) / millsDivisor(-z))
	}
	return 0.5 + float64(NormalDensity(z)*cdfSeries(z))
}

// cdfSeries is (Φ(z) − ½)/φ(z) = z + z³/3 + z⁵/(3·5) + …, which loses nothing, as all terms have
// one sign. Source: Marsaglia, Evaluating the normal distribution, J. Statistical Software 11(4),
// 2004 (from memory).
func cdfSeries(z float64) float64 {
	sum, term, square := 0., z, float64(z*z)
	for n := 3.; sum+term != sum; n += 2 {
		sum += term
		term = float64(term*square) / n
	}
	return sum
}

// millsDivisor is φ(z)/(1 − Φ(z)) of z above 1.5, as the continued fraction z + 1/(z + 2/(z + …)).
// Source: Abramowitz and Stegun, Handbook of mathematical functions, 26.2.14 (from memory).
func millsDivisor(z float64) float64 {
	divisor := z
	for n := math.Ceil(10 + 400/float64(z*z)); n >= 1; n-- {
		divisor = z + n/divisor
	}
	return divisor
}

// NormalQuantile is z with Φ(z) = p, from −∞ to ∞, with an absolute error below 1e-14 or that share of
// the result: Halley's method from a rational start, of which each step cubes the error.
func NormalQuantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0:
		return math.Inf(-1)
	case p == 1:
		return math.Inf(1)
	case p > 0.5:
		return -NormalQuantile(1 - p)
	}
	z := -roughQuantile(p)
	for range 3 {
		excess := (NormalCDF(z) - p) / NormalDensity(z)
		z -= excess / (1 + float64(z*excess/2))
	}
	return z
}

// roughQuantile is within 4.5e-4 of the z above which lies a share p up to ½. Source: Abramowitz and
// Stegun, 26.2.23 (from memory).
func roughQuantile(p float64) float64 {
	t := math.Sqrt(-2 * Log(p))
	above := 2.515517 + float64(t*(0.802853+float64(t*0.010328)))
	below := 1 + float64(t*(1.432788+float64(t*(0.189269+float64(t*0.001308)))))
	return t - above/below
}

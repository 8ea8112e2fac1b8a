package portable

import "math"

// Atan is the angle in rad of which x is the tangent, with an error below 2 ulp. From an angle a
// that is near,
//
//	atan(x) = a + atan(d),  d = (x cos a − sin a)/(cos a + x sin a)
//
// and the rest by its series.
func Atan(x float64) float64 {
	const small = 0.2
	size := math.Abs(x)
	switch {
	case math.IsNaN(x) || x == 0:
		return x
	case size < small:
		return x + float64(x*atanRest(float64(x*x)))
	case size > 1e17:
		return math.Copysign(math.Pi/2, x)
	}
	near := float64(math.Floor(float64(16*roughAtan(size))+0.5) / 16)
	sin, cos := Sin(near), Cos(near)
	d := (float64(size*cos) - sin) / (cos + float64(size*sin))
	return math.Copysign(near+(d+float64(d*atanRest(float64(d*d)))), x)
}

// roughAtan is within 0.005 of the angle of a positive number.
func roughAtan(x float64) float64 {
	if x > 1 {
		return math.Pi/2 - x/(float64(x*x)+0.28)
	}
	return x / (1 + float64(0.28*x*x))
}

// atanRest is atan(x)/x − 1 = −z/3 + z²/5 − … for z = x² up to 0.04. The first term that is left
// out is below 2⁻⁶⁰.
func atanRest(z float64) float64 {
	sum := 0.
	for n := 25.; n >= 3; n -= 2 {
		sum = -float64(z * (1/n + sum))
	}
	return sum
}

// Atan2 is the angle in rad of the point (x, y), from −π to π, with an error below 3 ulp. Special
// values are those of [math.Atan2].
func Atan2(y, x float64) float64 {
	if x == 0 || y == 0 || math.IsNaN(x) || math.IsNaN(y) || math.IsInf(x, 0) || math.IsInf(y, 0) {
		return math.Atan2(y, x) // a constant
	}
	angle := Atan(math.Abs(y / x))
	if x < 0 {
		angle = math.Pi - angle
	}
	return math.Copysign(angle, y)
}

// Asin is the angle in rad of which x is the sine, with an error below 4 ulp.
func Asin(x float64) float64 {
	if x == 0 || !(math.Abs(x) <= 1) {
		return zeroOrNaN(x)
	}
	return Atan2(x, math.Sqrt(float64((1-x)*(1+x))))
}

// Acos is the angle in rad of which x is the cosine, with an error below 4 ulp.
func Acos(x float64) float64 {
	if !(math.Abs(x) <= 1) {
		return math.NaN()
	}
	return Atan2(math.Sqrt(float64((1-x)*(1+x))), x)
}

func zeroOrNaN(x float64) float64 {
	if x == 0 {
		return x
	}
	return math.NaN()
}

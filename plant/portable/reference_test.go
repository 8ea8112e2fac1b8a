package portable

import (
	"math"
	"math/big"
)

// References of the functions in numbers of 320 bits, by series after a reduction. Angles are reduced
// with as many bits as the largest one needs.
const (
	precision      = 320
	anglePrecision = 1400
)

func number(x float64) *big.Float { return new(big.Float).SetPrec(precision).SetFloat64(x) }

func whole(n int64) *big.Float { return new(big.Float).SetPrec(precision).SetInt64(n) }

func add(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(precision).Add(a, b) }
func sub(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(precision).Sub(a, b) }
func mul(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(precision).Mul(a, b) }
func quo(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(precision).Quo(a, b) }
func root(a *big.Float) *big.Float   { return new(big.Float).SetPrec(precision).Sqrt(a) }

func scaled(a *big.Float, power int) *big.Float {
	return new(big.Float).SetPrec(precision).SetMantExp(a, power)
}

// series sums terms, each the last times the factor of its number from 1, until they vanish
// beside the first.
func series(first *big.Float, factor func(n int64, term *big.Float) *big.Float) *big.Float {
	sum, term := whole(0), first
	for n := int64(1); term.Sign() != 0 && (n < 4 || term.MantExp(nil) > sum.MantExp(nil)-precision); n++ {
		sum = add(sum, term)
		term = factor(n, term)
	}
	return sum
}

func bigExp(x *big.Float) *big.Float {
	const halvings = 20
	small := scaled(x, -halvings)
	result := series(whole(1), func(n int64, term *big.Float) *big.Float { return quo(mul(term, small), whole(n)) })
	for range halvings {
		result = mul(result, result)
	}
	return result
}

// bigLog is by Newton's method.
func bigLog(x *big.Float) *big.Float {
	mantissa := new(big.Float)
	exponent := x.MantExp(mantissa)
	m, _ := mantissa.Float64()
	y := number(math.Log(m) + float64(exponent)*math.Ln2)
	for range 4 {
		e := bigExp(y)
		y = add(y, scaled(quo(sub(x, e), add(x, e)), 1))
	}
	return y
}

// bigPi is Machin's formula: π = 16 atan(1/5) − 4 atan(1/239).
func bigPi() *big.Float {
	atan := func(n int64) *big.Int {
		power := new(big.Int).Lsh(big.NewInt(1), anglePrecision+64)
		power.Quo(power, big.NewInt(n))
		sum, square := new(big.Int), big.NewInt(-n*n)
		for i := int64(1); power.Sign() != 0; i += 2 {
			sum.Add(sum, new(big.Int).Quo(power, big.NewInt(i)))
			power.Quo(power, square)
		}
		return sum
	}
	pi := new(big.Int).Sub(new(big.Int).Lsh(atan(5), 4), new(big.Int).Lsh(atan(239), 2))
	return new(big.Float).SetMantExp(new(big.Float).SetPrec(anglePrecision).SetInt(pi), -anglePrecision-64)
}

func bigAtan(x *big.Float) *big.Float {
	const halvings = 10
	for range halvings {
		x = quo(x, add(whole(1), root(add(whole(1), mul(x, x)))))
	}
	square, power := mul(x, x), x
	sum := series(x, func(n int64, _ *big.Float) *big.Float {
		power = mul(power, square)
		return quo(new(big.Float).SetPrec(precision).Neg(alternate(n+1, power)), whole(2*n+1))
	})
	return scaled(sum, halvings)
}

func alternate(n int64, x *big.Float) *big.Float {
	if n%2 != 0 {
		return new(big.Float).SetPrec(precision).Neg(x)
	}
	return x
}

// bigSinCos is by the series of a number less a multiple of 2π.
func bigSinCos(x, pi *big.Float) (sin, cos *big.Float) {
	exact := func() *big.Float { return new(big.Float).SetPrec(anglePrecision) }
	turn := exact().SetMantExp(pi, 1)
	turns, _ := exact().Quo(x, turn).Int(nil)
	rest := exact().Mul(exact().SetInt(turns), turn)
	x = rest.Sub(exact().Set(x), rest).SetPrec(precision)
	square := mul(x, x)
	square.Neg(square)
	sin = series(x, func(n int64, term *big.Float) *big.Float { return quo(mul(term, square), whole(2*n*(2*n+1))) })
	cos = series(whole(1), func(n int64, term *big.Float) *big.Float { return quo(mul(term, square), whole(2*n*(2*n-1))) })
	return sin, cos
}

// bigNormalCDF is ½ + Σ (−1)ⁿ z^(2n+1)/(2ⁿ n! (2n+1) √(2π)), of which 320 bits leave enough down
// to z = −8.
func bigNormalCDF(z, pi *big.Float) *big.Float {
	square, power := scaled(mul(z, z), -1), z
	sum := whole(0)
	for n := int64(1); n < 400; n++ {
		sum = add(sum, quo(power, whole(2*n-1)))
		power = quo(mul(power, square), whole(n))
		power.Neg(power)
	}
	return add(number(0.5), quo(sum, root(scaled(pi, 1))))
}

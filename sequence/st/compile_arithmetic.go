package st

import (
	"math"

	"holdbench/plant/portable"
)

const (
	dividesByZero = "this divides by zero"
	notFinite     = "the result is too large for its type"
)

// integerArithmetic wraps around at the limits of its kind, as on a controller. A division by
// zero fails, with MOD too, for which the standard has 0 (from memory): a program that relies on
// it does not run everywhere.
func integerArithmetic(op string, k Kind, x, y code, at int32) code {
	l, r := x.i, y.i
	var c code
	switch op {
	case "+":
		c = addCode(k, x, y)
	case "-":
		wrap := wrapper(k)
		c = integerCode(func(m *run) int64 { return wrap(l(m) - r(m)) })
	case "*":
		wrap := wrapper(k)
		c = integerCode(func(m *run) int64 { return wrap(l(m) * r(m)) })
	default:
		return divideCode(op, k, x, y, at)
	}
	return c.purely(x, y)
}

func addCode(k Kind, x, y code) code {
	l, r := x.i, y.i
	wrap := wrapper(k)
	if k.width() == 64 {
		return integerCode(func(m *run) int64 { return l(m) + r(m) })
	}
	return integerCode(func(m *run) int64 { return wrap(l(m) + r(m)) })
}

// divideCode truncates toward zero, so that a MOD b has the sign of a: a = (a/b)*b + a MOD b.
func divideCode(op string, k Kind, x, y code, at int32) code {
	l, r := x.i, y.i
	wrap := wrapper(k)
	divide := func(a, b int64) int64 { return wrap(a / b) } // -128 / -1 wraps around
	switch {
	case k == Ulint && op == "/":
		divide = func(a, b int64) int64 { return int64(uint64(a) / uint64(b)) }
	case k == Ulint:
		divide = func(a, b int64) int64 { return int64(uint64(a) % uint64(b)) }
	case op == "MOD":
		divide = func(a, b int64) int64 { return a % b }
	}
	c := integerCode(func(m *run) int64 {
		a, b := l(m), r(m)
		if b == 0 {
			m.fail(at, dividesByZero)
		}
		return divide(a, b)
	})
	if y.known != nil && y.known.integer != 0 {
		c = c.purely(x)
	}
	return c
}

// realArithmetic rounds to 32 bits for REAL. A result that is not finite fails, so that no
// infinity goes out of a program.
func realArithmetic(op string, k Kind, x, y code, at int32) code {
	l, r, a, b := x.f, y.f, x.slot, y.slot
	switch {
	case op == "+":
		return realCode(func(m *run) float64 { return m.finite(l(m)+r(m), k, at) })
	case op == "-" && a >= 0 && b >= 0: // a distance, most of the time
		return realCode(func(m *run) float64 { return m.finite(realOf(m.f[a])-realOf(m.f[b]), k, at) })
	case op == "-":
		return realCode(func(m *run) float64 { return m.finite(l(m)-r(m), k, at) })
	case op == "*":
		return realCode(func(m *run) float64 { return m.finite(l(m)*r(m), k, at) })
	}
	return realCode(func(m *run) float64 {
		a, b := l(m), r(m)
		if b == 0 {
			m.fail(at, dividesByZero)
		}
		return m.finite(a/b, k, at)
	})
}

const noPower = "a negative base has no power with a fraction"

// powerCode is the base, which is real, to any number.
func powerCode(e *binaryExpr, x, y code) code {
	at, k := e.at.from, e.typ.kind
	exponent := y.f
	if exponent == nil {
		whole, unsigned := y.i, e.y.info().final().kind == Ulint
		exponent = func(m *run) float64 { return integerToReal(whole(m), unsigned) }
	}
	base := x.f
	return realCode(func(m *run) float64 {
		a, b := base(m), exponent(m)
		switch v := portable.Pow(a, b); {
		case a == 0 && b < 0:
			m.fail(at, dividesByZero)
		case v != v:
			m.fail(at, noPower)
		default:
			return m.finite(v, k, at)
		}
		return 0
	})
}

// finite rounds a value to its kind and fails if it has none.
func (r *run) finite(v float64, k Kind, at int32) float64 {
	if k == Real {
		v = float64(float32(v))
	}
	if v-v != 0 {
		r.fail(at, notFinite)
	}
	return v
}

func integerToReal(v int64, unsigned bool) float64 {
	if unsigned {
		return float64(uint64(v))
	}
	return float64(v)
}

const timeTooLong = "the TIME is longer than 292 years"

// addTime adds times in ns; the second is taken sign times.
func (r *run) addTime(a, b, sign int64, at int32) int64 {
	v := a + sign*b
	if b == math.MinInt64 || sign > 0 && (b > 0 && v < a || b < 0 && v > a) || sign < 0 && (b > 0 && v > a || b < 0 && v < a) {
		r.fail(at, timeTooLong)
	}
	return v
}

func timeCode(e *binaryExpr, x, y code) code {
	at, l := e.at.from, x.i
	switch e.op {
	case "+", "-":
		r, sign := y.i, int64(1)
		if e.op == "-" {
			sign = -1
		}
		return integerCode(func(m *run) int64 { return m.addTime(l(m), r(m), sign, at) })
	}
	divides := e.op == "/"
	if y.f != nil {
		return scaleTime(l, y.f, divides, at)
	}
	return scaleTimeWhole(l, y.i, e.y.info().final().kind == Ulint, divides, at)
}

// scaleTimeWhole multiplies or divides a time by an integer; a division truncates.
func scaleTimeWhole(l, r func(*run) int64, unsigned, divides bool, at int32) code {
	return integerCode(func(m *run) int64 {
		a, b := l(m), r(m)
		switch {
		case divides && b == 0:
			m.fail(at, dividesByZero)
		case unsigned && b < 0 && divides:
			return 0
		case divides && a == math.MinInt64 && b == -1, unsigned && b < 0 && a != 0:
			m.fail(at, timeTooLong)
		case divides:
			return a / b
		case a != 0 && ((a*b)/a != b || a == -1 && b == math.MinInt64):
			m.fail(at, timeTooLong)
		}
		return a * b
	})
}

// scaleTime multiplies or divides a time by a real, rounded to ns.
func scaleTime(l func(*run) int64, r func(*run) float64, divides bool, at int32) code {
	return integerCode(func(m *run) int64 {
		a, b := float64(l(m)), r(m)
		if divides && b == 0 {
			m.fail(at, dividesByZero)
		}
		v := a * b
		if divides {
			v = a / b
		}
		if math.Abs(v) >= math.MaxInt64 {
			m.fail(at, timeTooLong)
		}
		return int64(math.RoundToEven(v))
	})
}

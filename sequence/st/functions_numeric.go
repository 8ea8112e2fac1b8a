package st

import (
	"fmt"
	"math"
	"math/big"

	"holdbench/plant/portable"
)

// numericFunctions are those of one real number, ATAN2 and ABS.
func numericFunctions() []builtin {
	group := []builtin{absolute(), atan2()}
	for _, f := range []struct {
		name  string
		f     func(float64) float64
		valid func(float64) bool
		what  string
	}{
		{"SQRT", math.Sqrt, func(v float64) bool { return v >= 0 }, "a negative number"},
		{"LN", portable.Log, func(v float64) bool { return v > 0 }, "a number that is not above zero"},
		{"LOG", portable.Log10, func(v float64) bool { return v > 0 }, "a number that is not above zero"},
		{"EXP", portable.Exp, nil, ""},
		{"SIN", portable.Sin, nil, ""}, {"COS", portable.Cos, nil, ""}, {"TAN", portable.Tan, nil, ""},
		{"ASIN", portable.Asin, func(v float64) bool { return math.Abs(v) <= 1 }, "a number outside -1..1"},
		{"ACOS", portable.Acos, func(v float64) bool { return math.Abs(v) <= 1 }, "a number outside -1..1"},
		{"ATAN", portable.Atan, nil, ""},
	} {
		group = append(group, realFunction(f.name, f.f, f.valid, f.what))
	}
	return group
}

// realFunction is a function of one real number. A number outside its range fails.
func realFunction(name string, f func(float64) float64, valid func(float64) bool, what string) builtin {
	return builtin{
		name: name, params: []string{"IN"},
		check: func(c *checker, e *callExpr) *Type {
			x := e.params[0]
			t := c.operand(x)
			e.open = nil
			if t.untyped() && x.info().val == nil { // as in SQRT(2.0 ** n)
				e.open = e.params
				return t
			}
			if t.untyped() { // the result has no type either, so that it fits REAL and LREAL
				return c.foldFunction(e, f, valid, what)
			}
			return c.realParam(x, name)
		},
		make: func(k *compiler, e *callExpr) code {
			x, kind, at := k.expr(e.params[0]), e.typ.kind, e.at.from
			get := x.f
			return fold(realCode(func(r *run) float64 {
				v := get(r)
				if valid != nil && !valid(v) {
					r.fail(at, fmt.Sprintf("%s of %s: %s", name, what, realText(v, kind)))
				}
				return r.finite(f(v), kind, at)
			}), kind, x)
		},
	}
}

// foldFunction computes a function of a number without a type.
func (c *checker) foldFunction(e *callExpr, f func(float64) float64, valid func(float64) bool, what string) *Type {
	x := e.params[0].info()
	v, _ := settled(x.val, x.typ.kind, Lreal)
	result := f(v.real)
	switch {
	case valid != nil && !valid(v.real):
		c.src.errorf(e.at, "%s of %s: %s", e.builtin.name, what, realText(v.real, Lreal))
	case result-result != 0:
		c.src.errorf(e.at, "%s", notFinite)
	default:
		e.val = &constant{real: result}
		return c.elementary[kindAnyReal]
	}
	return c.elementary[kindBad]
}

// realParam makes a number real: REAL if that holds it, else LREAL.
func (c *checker) realParam(x expr, name string) *Type {
	c.settleDefault(x)
	t := x.info().typ
	switch {
	case t.kind == kindBad:
	case t.kind.real():
	case widens(t.kind, Real):
		x.info().conv = c.elementary[Real]
	case widens(t.kind, Lreal):
		x.info().conv = c.elementary[Lreal]
	default:
		c.src.errorf(x.info().at, "%s is for real numbers, the value is %s%s", name, t, c.conversionHint(x, t, c.elementary[Lreal]))
		return c.elementary[kindBad]
	}
	return x.info().final()
}

// absolute is the type of ABS, that of its parameter.
func (c *checker) absolute(e *callExpr) *Type {
	t := c.operand(e.params[0])
	e.open = nil
	switch v := e.params[0].info().val; {
	case t.untyped() && v == nil:
		e.open = e.params
		return t
	case t.untyped():
		e.val = &constant{real: math.Abs(v.real)}
		if v.whole != nil {
			e.val.whole = new(big.Int).Abs(v.whole)
		}
		return t
	case t.kind != kindBad && !t.kind.number():
		hint := ""
		if t.kind == Time {
			hint = "; write MAX(…, T#0s - …)"
		}
		c.src.errorf(e.at, "ABS is for numbers, the value is %s%s", t, hint)
		return c.elementary[kindBad]
	}
	return c.elementary[t.kind]
}

func absolute() builtin {
	return builtin{
		name: "ABS", params: []string{"IN"},
		check: (*checker).absolute,
		make: func(k *compiler, e *callExpr) code {
			x, kind := k.expr(e.params[0]), e.typ.kind
			if get := x.f; get != nil {
				return fold(realCode(func(r *run) float64 { return math.Abs(get(r)) }).purely(x), kind, x)
			}
			if kind.unsigned() {
				return x
			}
			get, wrap := x.i, wrapper(kind)
			return fold(integerCode(func(r *run) int64 {
				v := get(r)
				if v < 0 {
					return wrap(-v)
				}
				return v
			}).purely(x), kind, x)
		},
	}
}

// atan2 is the angle of a point, from -π to π.
func atan2() builtin {
	return builtin{
		name: "ATAN2", params: []string{"Y", "X"},
		check: func(c *checker, e *callExpr) *Type {
			return c.unifyAll(e, e.params, func(t *Type) bool { return t.kind.real() }, "real numbers")
		},
		make: func(k *compiler, e *callExpr) code {
			y, x, kind := k.expr(e.params[0]), k.expr(e.params[1]), e.typ.kind
			f, g := y.f, x.f
			return fold(realCode(func(r *run) float64 {
				a, b := f(r), g(r)
				return r.finite(portable.Atan2(a, b), kind, 0)
			}).purely(x, y), kind, x, y)
		},
	}
}

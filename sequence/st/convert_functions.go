package st

import (
	"fmt"
	"math"
)

// conversion is FROM_TO_TO.
func conversion(name string, from, to Kind) *builtin {
	if !convertible(from, to) {
		return nil
	}
	return &builtin{
		name: name, params: []string{"IN"},
		check: func(c *checker, e *callExpr) *Type {
			c.value(e.params[0])
			if !c.convert(e.params[0], c.elementary[from], "IN of "+name) {
				return c.elementary[kindBad]
			}
			return c.elementary[to]
		},
		make: func(k *compiler, e *callExpr) code { return k.convertParam(e, to) },
	}
}

// overloadedConversion is TO_TO, whose parameter has any type that can be converted.
func overloadedConversion(name string, to Kind) *builtin {
	if to == kindBad {
		return nil
	}
	return &builtin{
		name: name, params: []string{"IN"},
		check: func(c *checker, e *callExpr) *Type {
			if c.value(e.params[0]).kind == kindBad {
				return c.elementary[kindBad]
			}
			c.settleDefault(e.params[0])
			t := e.params[0].info().typ
			switch {
			case t.kind == to, convertible(t.kind, to), t.kind == Enum && (to.integer() || to.bits()):
				return c.elementary[to]
			case t.kind != kindBad:
				c.src.errorf(e.at, "%s cannot be converted to %s", t, to)
			}
			return c.elementary[kindBad]
		},
		make: func(k *compiler, e *callExpr) code { return k.convertParam(e, to) },
	}
}

func (k *compiler) convertParam(e *callExpr, to Kind) code {
	x := e.params[0]
	t := &Type{kind: to, length: MaxStringLength}
	return k.convert(k.expr(x), x.info().final(), t, e.at)
}

// truncation rounds a real number toward zero; kindBad takes both REAL and LREAL.
func truncation(name string, from, to Kind) *builtin {
	if !to.integer() || from != kindBad && !from.real() {
		return nil
	}
	return &builtin{
		name: name, params: []string{"IN"},
		check: func(c *checker, e *callExpr) *Type {
			x := e.params[0]
			c.value(x)
			if from != kindBad {
				c.convert(x, c.elementary[from], "IN of "+name)
			} else {
				c.settleDefault(x)
				if t := x.info().typ; t.kind != kindBad && !t.kind.real() {
					c.src.errorf(e.at, "%s is for real numbers, the value is %s", name, t)
				}
			}
			return c.elementary[to]
		},
		make: func(k *compiler, e *callExpr) code {
			x, own := k.expr(e.params[0]), e.params[0].info().final().kind
			return fold(realToWhole(x.f, own, to, math.Trunc, e.at.from), to, x)
		},
	}
}

// fromBCD reads a bit string of decimal digits, four bits each.
func fromBCD(name string, from, to Kind) *builtin {
	if !from.bits() || !to.unsigned() {
		return nil
	}
	return wholeFunction(name, from, to, func(r *run, v int64, at int32) int64 {
		var n uint64
		for shift := from.width() - 4; shift >= 0; shift -= 4 {
			digit := uint64(v) >> shift & 15
			if digit > 9 {
				r.fail(at, fmt.Sprintf("16#%X is no BCD number", uint64(v)))
			}
			n = n*10 + digit
		}
		if _, high := to.limits(); to != Ulint && n > uint64(high) {
			r.fail(at, fmt.Sprintf("%d does not fit into %s", n, to))
		}
		return int64(n)
	})
}

// toBCD writes a number as decimal digits of four bits each.
func toBCD(name string, from, to Kind) *builtin {
	if !from.unsigned() || !to.bits() {
		return nil
	}
	return wholeFunction(name, from, to, func(r *run, v int64, at int32) int64 {
		n, packed := uint64(v), uint64(0)
		for shift := 0; shift < to.width(); shift += 4 {
			packed |= n % 10 << shift
			n /= 10
		}
		if n > 0 {
			r.fail(at, fmt.Sprintf("%d has more digits than %s", uint64(v), to))
		}
		return int64(packed)
	})
}

// wholeFunction is a function of one whole number.
func wholeFunction(name string, from, to Kind, f func(r *run, v int64, at int32) int64) *builtin {
	return &builtin{
		name: name, params: []string{"IN"},
		check: func(c *checker, e *callExpr) *Type {
			c.value(e.params[0])
			c.convert(e.params[0], c.elementary[from], "IN of "+name)
			return c.elementary[to]
		},
		make: func(k *compiler, e *callExpr) code {
			x, at := k.expr(e.params[0]), e.at.from
			get := x.i
			return fold(integerCode(func(r *run) int64 { return f(r, get(r), at) }), to, x)
		},
	}
}

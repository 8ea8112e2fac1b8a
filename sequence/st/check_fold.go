package st

import (
	"math"
	"math/big"

	"holdbench/plant/portable"
)

// fold computes with numbers that have no type yet, exactly for integers.
func (c *checker) fold(e *binaryExpr, x, y *Type) *Type {
	a, b := e.x.info().val, e.y.info().val
	if x.kind == kindAnyInt && y.kind == kindAnyInt {
		whole, wrong := foldWhole(e.op, a.whole, b.whole)
		if wrong != "" {
			c.src.errorf(e.at, "%s", wrong)
			return c.elementary[kindBad]
		}
		e.val = &constant{whole: whole}
		return x
	}
	l, _ := settled(a, x.kind, Lreal)
	r, _ := settled(b, y.kind, Lreal)
	if e.op == "MOD" {
		c.src.errorf(e.at, "MOD is for integers")
		return c.elementary[kindBad]
	}
	if e.op == "/" && r.real == 0 {
		c.src.errorf(e.y.info().at, "this divides by zero")
		return c.elementary[kindBad]
	}
	e.val = &constant{real: foldReal(e.op, l.real, r.real)}
	return c.elementary[kindAnyReal]
}

// foldPower computes a power of numbers that have no type yet. Its value is real.
func (c *checker) foldPower(e *binaryExpr, x, y *Type) *Type {
	l, _ := settled(e.x.info().val, x.kind, Lreal)
	r, _ := settled(e.y.info().val, y.kind, Lreal)
	switch v := portable.Pow(l.real, r.real); {
	case l.real == 0 && r.real < 0:
		c.src.errorf(e.at, "this divides by zero")
	case v != v:
		c.src.errorf(e.at, "%s", noPower)
	case math.IsInf(v, 0):
		c.src.errorf(e.at, "%s", notFinite)
	default:
		e.val = &constant{real: v}
		return c.elementary[kindAnyReal]
	}
	return c.elementary[kindBad]
}

func foldReal(op string, l, r float64) float64 {
	switch op {
	case "+":
		return l + r
	case "-":
		return l - r
	case "*":
		return l * r
	}
	return l / r
}

func foldWhole(op string, l, r *big.Int) (v *big.Int, wrong string) {
	v = new(big.Int)
	switch op {
	case "+":
		v.Add(l, r)
	case "-":
		v.Sub(l, r)
	case "*":
		v.Mul(l, r)
	default:
		if r.Sign() == 0 {
			return nil, "this divides by zero"
		}
		if op == "/" {
			v.Quo(l, r)
		} else {
			v.Rem(l, r)
		}
	}
	if v.BitLen() > 64 {
		return nil, "the value does not fit into 64 bits"
	}
	return v, ""
}

package st

import "math/bits"

// bitFunctions shift and rotate bit strings. What is shifted in is 0.
func bitFunctions() []builtin {
	return []builtin{
		shift("SHL", func(v uint64, n, _ int) uint64 { return v << n }),
		shift("SHR", func(v uint64, n, _ int) uint64 { return v >> n }),
		shift("ROL", rotateLeft),
		shift("ROR", func(v uint64, n, width int) uint64 { return rotateLeft(v, width-n%width, width) }),
	}
}

func rotateLeft(v uint64, n, width int) uint64 {
	if width == 64 {
		return bits.RotateLeft64(v, n%64)
	}
	n %= width
	return v<<n | v>>(width-n)
}

func shift(name string, f func(v uint64, n, width int) uint64) builtin {
	return builtin{
		name: name, params: []string{"IN", "N"},
		check: func(c *checker, e *callExpr) *Type {
			t, n := c.value(e.params[0]), c.value(e.params[1])
			c.settleDefault(e.params[1])
			switch {
			case t.kind == kindBad || n.kind == kindBad:
				return c.elementary[kindBad]
			case !t.kind.bits():
				c.src.errorf(e.params[0].info().at, "%s is for bit strings, the value is %s%s", name, t, bitHint(t))
				return c.elementary[kindBad]
			case !e.params[1].info().typ.kind.integer():
				c.src.errorf(e.params[1].info().at, "N is an integer, the value is %s", n)
				return c.elementary[kindBad]
			}
			return c.elementary[t.kind]
		},
		make: func(k *compiler, e *callExpr) code {
			x, y := k.expr(e.params[0]), k.expr(e.params[1])
			width, at, wrap := e.typ.kind.width(), e.params[1].info().at.from, wrapper(e.typ.kind)
			get, count := x.i, y.i
			return fold(integerCode(func(r *run) int64 {
				v, n := uint64(get(r)), count(r)
				if n < 0 {
					r.fail(at, "N is negative")
				}
				if name == "ROL" || name == "ROR" {
					n %= int64(width)
				}
				return wrap(int64(f(v, int(min(n, 64)), width)))
			}), e.typ.kind, x, y)
		},
	}
}

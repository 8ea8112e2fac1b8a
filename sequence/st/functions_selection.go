package st

import (
	"bytes"
	"fmt"
)

// selectionFunctions are SEL, MUX, MAX, MIN and LIMIT.
func selectionFunctions() []builtin {
	anything := func(t *Type) bool { return t.kind.elementary() }
	ordered := func(t *Type) bool { return t.kind.elementary() && t.kind != Enum && t.kind != Bool }
	pick := func(name string, first bool) builtin {
		return builtin{
			name: name, params: []string{"IN1", "IN2"}, more: true,
			check: func(c *checker, e *callExpr) *Type { return c.unifyAll(e, e.params, ordered, "values with an order") },
			make: func(k *compiler, e *callExpr) code {
				all := k.exprs(e.params)
				c := all[0]
				for _, next := range all[1:] {
					c = extreme(c, next, e.typ.kind, first)
				}
				return fold(c.purely(all...), e.typ.kind, all...)
			},
		}
	}
	return []builtin{
		pick("MAX", false), pick("MIN", true),
		{
			name: "LIMIT", params: []string{"MN", "IN", "MX"},
			check: func(c *checker, e *callExpr) *Type { return c.unifyAll(e, e.params, ordered, "values with an order") },
			make: func(k *compiler, e *callExpr) code { // MIN(MAX(IN, MN), MX)
				all := k.exprs(e.params)
				c := extreme(extreme(all[1], all[0], e.typ.kind, false), all[2], e.typ.kind, true)
				return fold(c.purely(all...), e.typ.kind, all...)
			},
		},
		{
			name: "SEL", params: []string{"G", "IN0", "IN1"},
			check: func(c *checker, e *callExpr) *Type {
				c.boolean(e.params[0], "G")
				if e.params[0].info().typ.kind == kindBad {
					return c.elementary[kindBad]
				}
				return c.unifyAll(e, e.params[1:], anything, "single values")
			},
			make: func(k *compiler, e *callExpr) code {
				all := k.exprs(e.params)
				is := all[0].b
				index := func(r *run) int { return int(bit(is(r))) }
				return fold(selected(index, all[1:], e.typ.kind).purely(all...), e.typ.kind, all...)
			},
		},
		{
			name: "MUX", params: []string{"K", "IN0", "IN1"}, more: true,
			check: func(c *checker, e *callExpr) *Type {
				t := c.value(e.params[0])
				c.settleDefault(e.params[0])
				if t.kind != kindBad && !t.kind.integer() {
					c.src.errorf(e.params[0].info().at, "K is an integer, the value is %s", t)
					return c.elementary[kindBad]
				}
				return c.unifyAll(e, e.params[1:], anything, "single values")
			},
			make: multiplexer,
		},
	}
}

func multiplexer(k *compiler, e *callExpr) code {
	all := k.exprs(e.params)
	get, n, at := all[0].i, int64(len(all)-1), e.params[0].info().at.from
	index := func(r *run) int {
		i := get(r)
		if uint64(i) >= uint64(n) {
			r.fail(at, fmt.Sprintf("K is %d; must be from 0 to %d", i, n-1))
		}
		return int(i)
	}
	return fold(selected(index, all[1:], e.typ.kind), e.typ.kind, all...)
}

func (k *compiler) exprs(list []expr) []code {
	all := make([]code, len(list))
	for i, e := range list {
		all[i] = k.expr(e)
	}
	return all
}

// selected evaluates all values, as the operands of any function, and takes one of them.
func selected(index func(*run) int, all []code, k Kind) code {
	switch {
	case k == Bool:
		return boolCode(selectedOf(index, all, func(c code) func(*run) bool { return c.b }))
	case k.real():
		return realCode(selectedOf(index, all, func(c code) func(*run) float64 { return c.f }))
	case k == String:
		return textCode(selectedOf(index, all, func(c code) func(*run) []byte { return c.s }))
	}
	return integerCode(selectedOf(index, all, func(c code) func(*run) int64 { return c.i }))
}

func selectedOf[T any](index func(*run) int, all []code, get func(code) func(*run) T) func(*run) T {
	list := make([]func(*run) T, len(all))
	pure := true
	for i, c := range all {
		list[i] = get(c)
		pure = pure && c.pure
	}
	if pure {
		return func(r *run) T { return list[index(r)](r) }
	}
	return func(r *run) T {
		i := index(r)
		var v T
		for j, f := range list {
			if got := f(r); i == j {
				v = got
			}
		}
		return v
	}
}

// extreme is the smaller or the larger of two values.
func extreme(x, y code, k Kind, smaller bool) code {
	switch {
	case k.real():
		l, r := x.f, y.f
		if smaller {
			return realCode(func(m *run) float64 { return min(l(m), r(m)) })
		}
		return realCode(func(m *run) float64 { return max(l(m), r(m)) })
	case k == String:
		l, r := x.s, y.s
		return textCode(func(m *run) []byte {
			a, b := l(m), r(m)
			if (bytes.Compare(a, b) < 0) == smaller {
				return a
			}
			return b
		})
	}
	l, r := x.i, y.i
	return integerCode(func(m *run) int64 {
		a, b := l(m), r(m)
		if (ordered(k, a) < ordered(k, b)) == smaller {
			return a
		}
		return b
	})
}

// unifyAll converts values to one type, which must be of those that a function takes.
func (c *checker) unifyAll(e *callExpr, list []expr, allowed func(*Type) bool, what string) *Type {
	bad := c.elementary[kindBad]
	e.open = nil
	for _, x := range list {
		if c.value(x).kind == kindBad {
			return bad
		}
	}
	t := c.widest(e, list)
	if t.kind == kindBad {
		return bad
	}
	if !allowed(t) {
		c.src.errorf(e.at, "%s is for %s, the values are %s", e.name, what, t)
		return bad
	}
	if t.untyped() {
		return t
	}
	for _, x := range list {
		if !c.convert(x, t, "the value") {
			return bad
		}
	}
	return t
}

// widest is the type to which all values can be converted. It has no type yet if none of them
// has one.
func (c *checker) widest(e *callExpr, list []expr) *Type {
	t := c.widestTyped(e, list)
	if t == nil {
		e.open = list
		for _, x := range list {
			if x.info().typ.kind == kindAnyReal {
				return x.info().typ
			}
		}
		return list[0].info().typ
	}
	for _, x := range list { // a number without a type that does not fit widens the type
		if x.info().typ.untyped() && t.kind.number() {
			c.settleNextTo(x, t.kind)
			if kind, ok := common(t.kind, x.info().typ.kind); ok {
				t = c.elementary[kind]
			}
		}
	}
	if t.kind < kindAnyInt && t.kind != String {
		return c.elementary[t.kind]
	}
	return t
}

// widestTyped is that of the values that have a type, nil if none has one.
func (c *checker) widestTyped(e *callExpr, list []expr) *Type {
	var t *Type
	for _, x := range list {
		own := x.info().typ
		switch {
		case own.untyped():
		case t == nil:
			t = own
		case t.kind == String && own.kind == String:
			t = c.stringOf(max(t.length, own.length))
		case t.kind < kindAnyInt && own.kind < kindAnyInt:
			kind, ok := common(t.kind, own.kind)
			if !ok {
				c.src.errorf(e.at, "%s does not take %s and %s together", e.name, t, own)
				return c.elementary[kindBad]
			}
			t = c.elementary[kind]
		}
	}
	return t
}

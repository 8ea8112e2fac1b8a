package st

import (
	"math"
	"math/big"
)

// expr finds the type of an expression. A number without a type keeps kindAnyInt or kindAnyReal
// until it is clear what it is used for.
func (c *checker) expr(e expr) *Type {
	info := e.info()
	info.conv, info.val = nil, nil
	info.typ = c.exprType(e)
	return info.typ
}

func (c *checker) exprType(e expr) *Type {
	switch e := e.(type) {
	case *literal:
		return c.literal(e)
	case *nameExpr:
		return c.name(e)
	case *fieldExpr:
		return c.fieldOf(e)
	case *indexExpr:
		return c.indexOf(e)
	case *parenExpr:
		t := c.expr(e.x)
		e.val = e.x.info().val
		return t
	case *unaryExpr:
		return c.unary(e)
	case *binaryExpr:
		return c.binary(e)
	case *callExpr:
		if t := c.call(e); t != nil {
			return t
		}
		c.src.errorf(e.at, "%s has no result", c.src.piece(e.at))
	}
	return c.elementary[kindBad]
}

// value is the type of an expression that must have a single value.
func (c *checker) value(e expr) *Type {
	t := c.expr(e)
	if t.kind != kindBad && !t.kind.elementary() {
		c.src.errorf(e.info().at, "%s is %s; must be a single value", c.src.piece(e.info().at), t)
		return c.elementary[kindBad]
	}
	return t
}

func (c *checker) literal(l *literal) *Type {
	if l.kind == tokBad {
		return c.elementary[kindBad]
	}
	value := l.value
	if value.whole != nil {
		value.whole = new(big.Int).Set(value.whole)
	}
	l.val = &value
	kind := kindBad
	switch l.kind {
	case tokInteger:
		kind = kindAnyInt
	case tokReal:
		kind = kindAnyReal
	case tokDuration:
		kind = Time
	case tokKeyword:
		kind = Bool
	case tokString:
		return c.typedLiteral(l, c.stringOf(max(len(l.value.text), 1)))
	}
	return c.typedLiteral(l, c.elementary[kind])
}

// typedLiteral applies the type before #.
func (c *checker) typedLiteral(l *literal, t *Type) *Type {
	if l.typed == "" {
		return t
	}
	want := c.named(&typeSpec{name: l.typed, nameAt: span{l.at.from, l.at.from + int32(len(l.typed))}})
	if want.kind == kindBad {
		return want
	}
	l.typ = t
	if !c.convert(l, want, "the literal") {
		return c.elementary[kindBad]
	}
	l.conv = nil
	return want
}

func (t *Type) untyped() bool { return t.kind == kindAnyInt || t.kind == kindAnyReal }

// settle gives a number without a type the kind it is used as. It is false, and nothing is changed,
// if the number does not fit.
func (c *checker) settle(e expr, kind Kind) bool {
	if !fits(e, kind) {
		return false
	}
	info := e.info()
	if info.val != nil {
		v, _ := settled(info.val, info.typ.kind, kind)
		info.val = &v
	} else {
		for _, x := range openParts(e) {
			c.settle(x, kind)
		}
	}
	info.typ = c.elementary[kind]
	return true
}

// fits is whether an expression can be settled as a kind.
func fits(e expr, kind Kind) bool {
	info := e.info()
	if info.val != nil {
		_, ok := settled(info.val, info.typ.kind, kind)
		return ok
	}
	parts := openParts(e)
	if info.typ.kind == kindAnyReal && !kind.real() {
		return false
	}
	for _, x := range parts {
		if !fits(x, kind) {
			return false
		}
	}
	return len(parts) > 0
}

// openParts are the parts from which an expression whose value is known in the run only takes its
// type, as long as it has none: the numbers of SEL(b, 1, 2), the base of 2.0 ** x.
func openParts(e expr) []expr {
	switch e := e.(type) {
	case *parenExpr:
		return []expr{e.x}
	case *unaryExpr:
		return []expr{e.x}
	case *binaryExpr:
		if e.op == "**" {
			return []expr{e.x}
		}
		return []expr{e.x, e.y}
	case *callExpr:
		if e.lowered != nil {
			return []expr{e.lowered}
		}
		return e.open
	}
	return nil
}

// settled is a number without a type as a value of a kind.
func settled(v *constant, from, to Kind) (constant, bool) {
	switch {
	case to.real():
		f := v.real
		if from == kindAnyInt {
			f, _ = new(big.Float).SetInt(v.whole).Float64()
		}
		if to == Real {
			f = float64(float32(f))
		}
		return constant{real: f}, !math.IsInf(f, 0)
	case from == kindAnyReal:
		return constant{}, false
	case to == Bool:
		return constant{integer: v.whole.Int64()}, v.whole.IsInt64() && uint64(v.whole.Int64()) <= 1
	case !to.integer() && !to.bits():
		return constant{}, false
	case to == Ulint || to == Lword:
		return constant{integer: int64(v.whole.Uint64())}, v.whole.IsUint64()
	}
	low, high := to.limits()
	n := v.whole.Int64()
	return constant{integer: n}, v.whole.IsInt64() && n >= low && n <= high
}

// settleDefault gives a number without a type the type that it has by itself: DINT, or the
// smallest that holds it; LREAL.
func (c *checker) settleDefault(e expr) {
	switch e.info().typ.kind {
	case kindAnyReal:
		c.settle(e, Lreal)
	case kindAnyInt:
		for _, k := range []Kind{Dint, Lint, Ulint} {
			if c.settle(e, k) {
				return
			}
		}
	}
}

// convert makes an expression a value of a type, or reports why that is not allowed. what is
// the place where the value goes.
func (c *checker) convert(e expr, to *Type, what string) bool {
	info := e.info()
	from := info.typ
	switch {
	case from.kind == kindBad || to.kind == kindBad:
		return false
	case from.untyped():
		return c.convertUntyped(e, to, what)
	case same(from, to), from.kind == String && to.kind == String:
		return true
	case from.kind == to.kind && from.kind < kindAnyInt:
		return true // a subrange is checked when it is assigned
	case from.kind < kindAnyInt && to.kind < kindAnyInt && widens(from.kind, to.kind):
		info.conv = c.elementary[to.kind]
		return true
	case from.kind == Enum && from.base != nil && widens(from.base.kind, to.kind):
		info.conv = c.elementary[to.kind]
		return true
	}
	c.src.errorf(info.at, "%s is %s, the value is %s%s", what, to, from, c.conversionHint(e, from, to))
	return false
}

func (c *checker) convertUntyped(e expr, to *Type, what string) bool {
	info := e.info()
	if !c.settle(e, to.kind) {
		text := c.src.piece(info.at)
		switch {
		case to.kind.integer() && info.typ.kind == kindAnyReal:
			c.src.errorf(info.at, "%s is %s, %s is a real number; write an integer, or REAL_TO_%s(…)", what, to, text, to.kind)
		case (to.kind.integer() || to.kind.bits()) && info.val != nil:
			low, high := to.kind.limits()
			c.src.errorf(info.at, "%s is %s, %s does not fit; must be from %s to %s", what, to, text, orderedText(to.kind, low), orderedText(to.kind, high))
		default:
			c.src.errorf(info.at, "%s is %s, %s is a number%s", what, to, text, c.conversionHint(e, info.typ, to))
		}
		return false
	}
	if info.val == nil || !to.limited {
		return true
	}
	if v := ordered(to.kind, info.val.integer); v < to.low || v > to.high {
		c.src.errorf(info.at, "%s is %s, %s is outside", what, to, c.src.piece(info.at))
		return false
	}
	return true
}

// conversionHint says what to write to get from one type to another.
func (c *checker) conversionHint(e expr, from, to *Type) string {
	switch {
	case to.kind == Enum && to.named(c.src.piece(e.info().at)):
		name := c.src.piece(e.info().at)
		return "; " + name + " is a variable here: write " + to.name + "#" + name
	case to.kind == Enum && len(to.values) > 0:
		name := to.values[0].Name
		if to.name != "" {
			name = to.name + "#" + name
		}
		return "; write one of its values, such as " + name
	case from.kind == kindAnyInt && to.kind == Time:
		return "; write a duration, such as T#500ms"
	case from.kind == kindAnyInt && to.kind == Bool:
		return "; write TRUE or FALSE"
	case from.kind == kindAnyInt && to.kind == String, from.kind == kindAnyReal && to.kind == String:
		return "; write it in quotes"
	case from.kind == Enum && to.kind.integer():
		return "; write TO_" + to.kind.String() + "(…)"
	case from.kind == Instance:
		return "; write one of its outputs, as in " + c.src.piece(e.info().at) + ".Q"
	case convertible(from.kind, to.kind):
		return "; write " + from.kind.String() + "_TO_" + to.kind.String() + "(…)"
	}
	return ""
}

// boolean checks a condition.
func (c *checker) boolean(e expr, what string) {
	if t := c.value(e); t.kind != kindBad {
		if t.untyped() || t.kind != Bool {
			c.src.errorf(e.info().at, "%s is BOOL, the value is %s; write a comparison, such as … <> 0", what, t)
		}
	}
}

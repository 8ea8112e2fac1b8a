package st

import (
	"fmt"
	"math/big"
)

func (c *checker) unary(e *unaryExpr) *Type {
	t := c.operand(e.x)
	switch {
	case t.kind == kindBad:
		return t
	case e.op == "NOT" && (t.kind == Bool || t.kind.bits()), e.op == "+" && t.kind.number():
		e.val = nil
		if t.untyped() {
			e.val = e.x.info().val
		}
		return c.elementary[t.kind]
	case t.kind == kindAnyReal && e.x.info().val == nil: // as in -(2.0 ** x)
		e.val = nil
		return t
	case e.op == "NOT":
		c.src.errorf(e.at, "NOT is for BOOL and bit strings, the value is %s%s", t, c.notHint(e.x, t))
		return c.elementary[kindBad]
	case t.kind == kindAnyInt:
		e.val = &constant{whole: new(big.Int).Neg(e.x.info().val.whole)}
		return t
	case t.kind == kindAnyReal:
		e.val = &constant{real: -e.x.info().val.real}
		return t
	case t.kind.signed(), t.kind.real(), t.kind == Time:
		return c.elementary[t.kind]
	case t.kind.unsigned():
		c.src.errorf(e.at, "%s has no negative values; convert to a signed type first", t)
		return c.elementary[kindBad]
	}
	c.src.errorf(e.at, "the sign is for numbers, the value is %s", t)
	return c.elementary[kindBad]
}

// notHint says what to write for NOT of a number.
func (c *checker) notHint(x expr, t *Type) string {
	if !t.kind.integer() || t.untyped() {
		return bitHint(t)
	}
	name := c.src.piece(x.info().at)
	return fmt.Sprintf("; write %s = 0 for a condition, or %s_TO_%s(NOT %s) for its bits", name, bitsLike(t), t.kind, asBits(name, t))
}

// bitHint says how to get a bit string.
func bitHint(t *Type) string {
	switch {
	case t.kind.integer() && t.kind != kindAnyInt:
		return "; write " + t.kind.String() + "_TO_" + bitsLike(t) + "(…)"
	case t.kind == kindAnyInt:
		return "; write its type, as in WORD#16#00FF"
	}
	return ""
}

// operand is the type of an operand. An integer without a type is known there.
func (c *checker) operand(e expr) *Type {
	t := c.value(e)
	if t.kind == kindAnyInt && e.info().val == nil {
		c.settleDefault(e)
		t = e.info().typ
	}
	return t
}

func (c *checker) binary(e *binaryExpr) *Type {
	x, y := c.openOperands(e)
	if x.kind == kindBad || y.kind == kindBad {
		return c.elementary[kindBad]
	}
	switch e.op {
	case "+", "-", "*", "/", "MOD":
		return c.arithmetic(e, x, y)
	case "**":
		return c.power(e, x, y)
	case "AND", "OR", "XOR":
		return c.logic(e, x, y)
	}
	return c.comparison(e, x, y)
}

// openOperands are the types of both. A selection of numbers without a type takes that of the
// other operand; without one there, a selection of real numbers waits for what the operation is
// used for.
func (c *checker) openOperands(e *binaryExpr) (x, y *Type) {
	x, y = c.value(e.x), c.value(e.y)
	if openReal(e) {
		return x, y
	}
	c.settleOpen(e.x, y)
	x = e.x.info().typ
	c.settleOpen(e.y, x)
	return x, e.y.info().typ
}

// settleOpen gives a selection of numbers without a type that of the other operand, or its own.
func (c *checker) settleOpen(e expr, other *Type) {
	switch {
	case !e.info().typ.untyped() || e.info().val != nil:
	case other.untyped():
		c.settleDefault(e)
	default:
		c.settleNextTo(e, other.kind)
	}
}

// openReal is whether an operation on numbers without a type has a real value that is known in the
// run only.
func openReal(e *binaryExpr) bool {
	x, y := e.x.info(), e.y.info()
	switch e.op {
	case "+", "-", "*", "/":
		return x.typ.untyped() && y.typ.untyped() && (x.val == nil || y.val == nil) &&
			(x.typ.kind == kindAnyReal || y.typ.kind == kindAnyReal)
	case "**":
		return x.typ.untyped()
	}
	return false
}

// mismatch reports operands that an operator does not take together.
func (c *checker) mismatch(e *binaryExpr, x, y *Type, hint string) *Type {
	switch {
	case hint == "" && x.kind == Enum && y.kind < kindAnyInt:
		hint = "; write TO_" + y.kind.String() + "(" + c.src.piece(e.x.info().at) + ")"
	case hint == "" && x.kind == Enum && y.untyped():
		hint = "; write TO_INT(" + c.src.piece(e.x.info().at) + ")"
	case hint == "" && y.kind == Enum && x.untyped():
		hint = "; write TO_INT(" + c.src.piece(e.y.info().at) + ")"
	case hint == "" && y.kind == Enum && x.kind < kindAnyInt:
		hint = "; write TO_" + x.kind.String() + "(" + c.src.piece(e.y.info().at) + ")"
	}
	c.src.errorf(e.at, "%s does not take %s and %s%s", e.op, x, y, hint)
	return c.elementary[kindBad]
}

func (c *checker) arithmetic(e *binaryExpr, x, y *Type) *Type {
	switch {
	case openReal(e):
		e.val = nil
		return c.elementary[kindAnyReal]
	case x.untyped() && y.untyped():
		return c.fold(e, x, y)
	case x.kind == Time || y.kind == Time:
		return c.timeArithmetic(e, x, y)
	case !x.kind.number() || !y.kind.number():
		return c.mismatch(e, x, y, arithmeticHint(x, y))
	}
	kind, ok := c.unify(e.x, e.y)
	switch {
	case !ok:
		return c.mismatch(e, x, y, numberHint(x, y))
	case e.op == "MOD" && !kind.integer():
		c.src.errorf(e.at, "MOD is for integers, the values are %s and %s", x, y)
		return c.elementary[kindBad]
	}
	if e.op == "/" || e.op == "MOD" {
		c.refuseZero(e)
	}
	return c.elementary[kind]
}

// refuseZero reports a division by a zero that is written there.
func (c *checker) refuseZero(e *binaryExpr) {
	if v := e.y.info().val; v != nil && v.integer == 0 && v.real == 0 {
		c.src.errorf(e.y.info().at, "this divides by zero")
	}
}

func arithmeticHint(x, y *Type) string {
	for _, t := range []*Type{x, y} {
		switch {
		case t.kind.bits():
			to := map[int]string{8: "USINT", 16: "UINT", 32: "UDINT", 64: "ULINT"}[t.kind.width()]
			return "; bit strings are no numbers: write " + t.kind.String() + "_TO_" + to + "(…)"
		case t.kind == Bool:
			return "; write SEL(…, 0, 1) or BOOL_TO_INT(…)"
		case t.kind == String:
			return "; strings are joined with CONCAT"
		}
	}
	return ""
}

// numberHint says how to make two kinds of numbers one.
func numberHint(x, y *Type) string {
	switch {
	case x.kind.real() && y.kind.integer():
		return "; write " + y.kind.String() + "_TO_LREAL(…)"
	case y.kind.real() && x.kind.integer():
		return "; write " + x.kind.String() + "_TO_LREAL(…)"
	}
	return "; no type holds the values of both: convert one of them"
}

// unify converts two numbers to the smallest kind that holds both.
func (c *checker) unify(x, y expr) (Kind, bool) {
	switch tx, ty := x.info().typ, y.info().typ; {
	case tx.untyped() && ty.untyped():
		if tx.kind == kindAnyReal || ty.kind == kindAnyReal {
			return Lreal, c.settle(x, Lreal) && c.settle(y, Lreal)
		}
		c.settleDefault(x)
		c.settleDefault(y)
	case tx.untyped():
		c.settleNextTo(x, ty.kind)
	case ty.untyped():
		c.settleNextTo(y, tx.kind)
	}
	kind, ok := common(x.info().typ.kind, y.info().typ.kind)
	if !ok {
		return kindBad, false
	}
	for _, e := range []expr{x, y} {
		if e.info().typ.kind != kind {
			e.info().conv = c.elementary[kind]
		}
	}
	return kind, true
}

// settleNextTo gives a number without a type the kind of the other operand, or one that holds
// it.
func (c *checker) settleNextTo(e expr, other Kind) {
	if c.settle(e, other) {
		return
	}
	if e.info().typ.kind == kindAnyReal && widens(other, Real) {
		c.settle(e, Real)
		return
	}
	c.settleDefault(e)
}

// timeArithmetic is TIME + TIME, TIME - TIME, TIME * number and TIME / number (IEC 61131-3,
// overloading of arithmetic functions for TIME, from memory).
func (c *checker) timeArithmetic(e *binaryExpr, x, y *Type) *Type {
	switch {
	case (e.op == "+" || e.op == "-") && x.kind == Time && y.kind == Time:
		return c.elementary[Time]
	case (e.op == "*" || e.op == "/") && x.kind == Time && y.kind.number():
		c.settleDefault(e.y)
		if e.op == "/" {
			c.refuseZero(e)
		}
		return c.elementary[Time]
	case e.op == "*" && x.kind.number():
		return c.mismatch(e, x, y, "; the TIME stands first: TIME * number")
	case e.op == "/":
		return c.mismatch(e, x, y, "; a ratio of times is TIME_TO_LREAL(…) / TIME_TO_LREAL(…)")
	case x.untyped() || y.untyped():
		return c.mismatch(e, x, y, "; write a duration, such as T#500ms")
	}
	return c.mismatch(e, x, y, "")
}

// power is ** and EXPT: a real base, whose type the result has, and any number as the exponent.
func (c *checker) power(e *binaryExpr, x, y *Type) *Type {
	if !x.kind.number() || !y.kind.number() {
		return c.mismatch(e, x, y, arithmeticHint(x, y))
	}
	if x.untyped() && e.x.info().val != nil && e.y.info().val != nil && y.untyped() {
		return c.foldPower(e, x, y)
	}
	c.settleDefault(e.y)
	e.val = nil
	switch {
	case x.untyped():
		return c.elementary[kindAnyReal]
	case x.kind.integer():
		c.src.errorf(e.x.info().at, "the base of ** is real, the value is %s; write %s_TO_REAL(…), or multiply", x, x.kind)
		return c.elementary[kindBad]
	}
	return c.elementary[x.kind]
}

package st

import "math/big"

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
	case e.op == "NOT":
		c.src.errorf(e.at, "NOT is for BOOL and bit strings, the value is %s%s", t, bitHint(t))
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

// bitHint says how to get a bit string.
func bitHint(t *Type) string {
	switch {
	case t.kind.integer() && t.kind != kindAnyInt:
		to := map[int]string{8: "BYTE", 16: "WORD", 32: "DWORD", 64: "LWORD"}[t.kind.width()]
		return "; write " + t.kind.String() + "_TO_" + to + "(…)"
	case t.kind == kindAnyInt:
		return "; write its type, as in WORD#16#00FF"
	}
	return ""
}

// operand is the type of an operand. A number without a type is known there.
func (c *checker) operand(e expr) *Type {
	t := c.value(e)
	if t.untyped() && e.info().val == nil {
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
// other operand.
func (c *checker) openOperands(e *binaryExpr) (x, y *Type) {
	x, y = c.value(e.x), c.value(e.y)
	if x.untyped() && e.x.info().val == nil {
		if y.untyped() || !c.settle(e.x, y.kind) {
			c.settleDefault(e.x)
		}
		x = e.x.info().typ
	}
	if y.untyped() && e.y.info().val == nil {
		if x.untyped() || !c.settle(e.y, x.kind) {
			c.settleDefault(e.y)
		}
		y = e.y.info().typ
	}
	return x, y
}

// mismatch reports operands that an operator does not take together.
func (c *checker) mismatch(e *binaryExpr, x, y *Type, hint string) *Type {
	c.src.errorf(e.at, "%s does not take %s and %s%s", e.op, x, y, hint)
	return c.elementary[kindBad]
}

func (c *checker) arithmetic(e *binaryExpr, x, y *Type) *Type {
	switch {
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

// power is ** and EXPT: a real base and any number as the exponent.
func (c *checker) power(e *binaryExpr, x, y *Type) *Type {
	if !x.kind.number() || !y.kind.number() {
		return c.mismatch(e, x, y, arithmeticHint(x, y))
	}
	if x.untyped() {
		if !(y.kind == Real && c.settle(e.x, Real)) {
			c.settle(e.x, Lreal)
		}
	}
	kind := e.x.info().typ.kind
	if kind.integer() {
		c.src.errorf(e.x.info().at, "the base of ** is real, the value is %s; write %s_TO_REAL(…), or multiply", kind, kind)
		return c.elementary[kindBad]
	}
	c.settleDefault(e.y)
	return c.elementary[kind]
}

func (c *checker) logic(e *binaryExpr, x, y *Type) *Type {
	switch {
	case x.kind == kindAnyInt && (y.kind.bits() || y.kind == Bool):
		c.settle(e.x, y.kind)
	case y.kind == kindAnyInt && (x.kind.bits() || x.kind == Bool):
		c.settle(e.y, x.kind)
	}
	kx, ky := e.x.info().typ.kind, e.y.info().typ.kind
	switch {
	case kx == Bool && ky == Bool:
		return c.elementary[Bool]
	case kx.bits() && ky.bits():
		kind, _ := c.unify(e.x, e.y)
		return c.elementary[kind]
	case kx == Bool && ky.bits() || ky == Bool && kx.bits():
		return c.mismatch(e, x, y, "; compare the bit string with 0 first")
	}
	hint := bitHint(x)
	if hint == "" {
		hint = bitHint(y)
	}
	if kx == Bool || ky == Bool {
		hint = "; write a comparison, such as … <> 0"
	}
	return c.mismatch(e, x, y, hint)
}

func (c *checker) comparison(e *binaryExpr, x, y *Type) *Type {
	result := c.elementary[Bool]
	equality := e.op == "=" || e.op == "<>"
	switch {
	case x.kind.number() && y.kind.number():
		if _, ok := c.unify(e.x, e.y); !ok {
			return c.mismatch(e, x, y, numberHint(x, y))
		}
		return result
	case x.kind == Enum || y.kind == Enum:
		return c.compareEnums(e, x, y, equality)
	case x.kind == kindAnyInt && (y.kind.bits() || y.kind == Bool):
		return c.convertedTo(e.x, y, result)
	case y.kind == kindAnyInt && (x.kind.bits() || x.kind == Bool):
		return c.convertedTo(e.y, x, result)
	case x.kind.bits() && y.kind.bits():
		c.unify(e.x, e.y)
		return result
	case x.kind == y.kind:
		return result
	}
	return c.mismatch(e, x, y, c.conversionHint(e.y, y, x))
}

func (c *checker) convertedTo(e expr, t, result *Type) *Type {
	if !c.convert(e, c.elementary[t.kind], "the other operand") {
		return c.elementary[kindBad]
	}
	return result
}

func (c *checker) compareEnums(e *binaryExpr, x, y *Type, equality bool) *Type {
	switch {
	case same(x, y) && equality:
		return c.elementary[Bool]
	case same(x, y):
		c.src.errorf(e.at, "values of an enumeration have no order; compare with = or <>")
		return c.elementary[kindBad]
	case x.kind == Enum:
		return c.mismatch(e, x, y, c.conversionHint(e.y, y, x))
	}
	return c.mismatch(e, x, y, c.conversionHint(e.x, x, y))
}

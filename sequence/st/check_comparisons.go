package st

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
		c.src.errorf(e.at, "values of an enumeration have no order, found %s; name those that are meant with = and OR, or compare their numbers: %s %s %s",
			e.op, c.enumNumber(e.x, x), e.op, c.enumNumber(e.y, y))
		return c.elementary[kindBad]
	case x.kind == Enum:
		return c.mismatch(e, x, y, c.conversionHint(e.y, y, x))
	}
	return c.mismatch(e, x, y, c.conversionHint(e.x, x, y))
}

// enumNumber is the number of a value of an enumeration, as it is written.
func (c *checker) enumNumber(e expr, t *Type) string {
	to := "INT"
	if t.base != nil {
		to = t.base.kind.String()
	}
	return "TO_" + to + "(" + c.src.piece(e.info().at) + ")"
}

package st

// expr compiles an expression of an elementary type, with its conversion.
func (k *compiler) expr(e expr) code {
	info := e.info()
	c := k.unconverted(e)
	if info.conv != nil {
		c = k.convert(c, info.typ, info.conv, info.at)
	}
	return c
}

func (k *compiler) unconverted(e expr) code {
	info := e.info()
	if info.val != nil {
		return knownCode(*info.val, info.typ.kind)
	}
	switch e := e.(type) {
	case *parenExpr:
		return k.expr(e.x)
	case *unaryExpr:
		return k.unary(e)
	case *binaryExpr:
		return k.binary(e)
	case *callExpr:
		return k.call(e)
	case *nameExpr:
		if k.constants {
			return knownCode(*e.variable.value, e.typ.kind)
		}
	}
	return k.load(k.place(e), info.typ)
}

func (k *compiler) unary(e *unaryExpr) code {
	x := k.expr(e.x)
	kind := e.typ.kind
	var c code
	switch {
	case e.op == "+":
		return x
	case e.op == "NOT" && kind == Bool:
		return fold(notCode(x), kind, x)
	case e.op == "NOT":
		get, wrap := x.i, wrapper(kind)
		c = integerCode(func(r *run) int64 { return wrap(^get(r)) })
	case kind.real():
		get := x.f
		c = realCode(func(r *run) float64 { return -get(r) })
	case kind == Time:
		get, at := x.i, e.at.from
		c = integerCode(func(r *run) int64 { return r.addTime(0, get(r), -1, at) })
		return fold(c, kind, x)
	default:
		get, wrap := x.i, wrapper(kind)
		c = integerCode(func(r *run) int64 { return wrap(-get(r)) })
	}
	return fold(c.purely(x), kind, x)
}

// changes is whether an expression calls a FUNCTION that writes its VAR_IN_OUT or outputs.
func changes(e expr) bool {
	found := false
	walkExpr(e, func(part expr) {
		if c, ok := part.(*callExpr); ok && c.block != nil && len(writtenArguments(c.args)) > 0 {
			found = true
		}
	})
	return found
}

// wrapper cuts a value down to the bits of its kind, as the arithmetic of a controller does.
func wrapper(k Kind) func(int64) int64 {
	switch k {
	case Sint:
		return func(v int64) int64 { return int64(int8(v)) }
	case Int:
		return func(v int64) int64 { return int64(int16(v)) }
	case Dint:
		return func(v int64) int64 { return int64(int32(v)) }
	case Usint, Byte:
		return func(v int64) int64 { return int64(uint8(v)) }
	case Uint, Word:
		return func(v int64) int64 { return int64(uint16(v)) }
	case Udint, Dword:
		return func(v int64) int64 { return int64(uint32(v)) }
	}
	return func(v int64) int64 { return v }
}

func (k *compiler) binary(e *binaryExpr) code {
	x, y := k.expr(e.x), k.expr(e.y)
	if changes(e.x) || changes(e.y) {
		x.slot, y.slot = -1, -1 // the order in which the operands are read can be noticed
	}
	operands := e.x.info().final().kind
	var c code
	switch e.op {
	case "AND", "OR", "XOR":
		if operands == Bool {
			c = logicCode(e.op, x, y)
		} else {
			c = bitLogic(e.op, x, y).purely(x, y)
		}
	case "=", "<>", "<", "<=", ">", ">=":
		c = compareCode(e.op, operands, x, y).purely(x, y)
	case "**":
		c = powerCode(e, x, y)
	default:
		switch {
		case operands == Time:
			c = timeCode(e, x, y)
		case operands.real():
			c = realArithmetic(e.op, operands, x, y, e.at.from)
		default:
			c = integerArithmetic(e.op, operands, x, y, e.opAt.from)
		}
	}
	return fold(c, e.typ.kind, x, y)
}

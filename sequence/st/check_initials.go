package st

// initials checks the initial values of types and variables.
func (c *checker) initials() {
	for _, d := range c.file.types {
		c.block = nil
		if d.typ == nil || d.typ.kind == kindBad {
			continue
		}
		for _, f := range d.spec.fields {
			c.initialOf(f)
		}
		if d.init != nil {
			c.initial(d.init, d.typ, d.name)
		}
	}
	for _, b := range c.file.blocks {
		c.block = b
		for _, v := range b.Variables {
			c.initialOf(v)
		}
	}
}

// initialOf checks that of a variable. For a constant it may be asked for earlier.
func (c *checker) initialOf(v *Variable) {
	if v.state == resolving {
		c.src.errorf(v.at, "the value of %s depends on itself", v.Name)
		return
	}
	if v.state == resolved || v.Type == nil {
		return
	}
	v.state = resolving
	for _, f := range anonymousFields(v.spec) {
		c.initialOf(f)
	}
	if v.init == nil {
		v.state = resolved
		return
	}
	if c.initial(v.init, v.Type, v.Name) && v.Constant && v.init.value != nil {
		v.value = v.init.value.info().val
	}
	v.state = resolved
}

// anonymousFields are the members of a structure that is declared with the variable itself.
func anonymousFields(s *typeSpec) []*Variable {
	for s != nil && s.isArray {
		s = s.elem
	}
	if s == nil {
		return nil
	}
	return s.fields
}

// initial checks an initial value against a type.
func (c *checker) initial(i *initial, t *Type, what string) bool {
	switch {
	case t.kind == kindBad:
		return false
	case t.kind == Array:
		return c.arrayInitial(i, t, what)
	case t.kind == Struct || t.kind == Instance:
		return c.structInitial(i, t, what)
	case i.isArray || i.isStruct:
		c.src.errorf(i.at, "%s is %s; must have a single value", what, t)
		return false
	}
	v, ok := c.constantOf(i.value, t, what)
	i.value.info().val = &v
	return ok
}

func (c *checker) arrayInitial(i *initial, t *Type, what string) bool {
	if !i.isArray {
		c.src.errorf(i.at, "%s is %s; write its values in brackets, as in [1, 2, 3(0)]", what, t)
		return false
	}
	ok := true
	elem, total := t.elem, 0
	for n := range i.items {
		item := &i.items[n]
		item.count = 1
		if item.repeat != nil {
			count, good := c.constantInteger(item.repeat, "the number of repetitions")
			ok = ok && good
			item.count = int(max(0, min(count, MaxSlots)))
		}
		total += item.count
		if item.value != nil {
			ok = c.initial(item.value, elem, "an element of "+what) && ok
		}
		if total > t.count() {
			c.src.errorf(i.at, "%s has %d elements; these are more", what, t.count())
			return false
		}
	}
	return ok
}

func (c *checker) structInitial(i *initial, t *Type, what string) bool {
	if !i.isStruct {
		c.src.errorf(i.at, "%s is %s; write its values in parentheses, as in (name := value)", what, t)
		return false
	}
	ok := true
	for n := range i.fields {
		f := &i.fields[n]
		f.field = c.member(t, f.name, f.at)
		if f.field == nil {
			ok = false
			continue
		}
		if t.kind == Instance && f.field.Section != Input {
			c.src.errorf(f.at, "%s.%s is no input; only inputs get an initial value from outside", t, f.field.Name)
			ok = false
			continue
		}
		ok = c.initial(f.value, f.field.Type, f.field.Name) && ok
	}
	return ok
}

// constantInteger is the value of a constant expression of an integer type.
func (c *checker) constantInteger(e expr, what string) (int64, bool) {
	v, ok := c.constantOf(e, c.elementary[Lint], what)
	return v.integer, ok
}

// constantOf is the value of a constant expression, converted to a type.
func (c *checker) constantOf(e expr, t *Type, what string) (constant, bool) {
	if c.expr(e).kind == kindBad || !c.convert(e, t, what) {
		return constant{}, false
	}
	if at, ok := c.constantParts(e); !ok {
		c.src.errorf(at, "%s must be a constant; %s is known in the run only", what, c.src.piece(at))
		return constant{}, false
	}
	v, wrong := evaluate(e)
	if wrong != "" {
		c.src.errorf(e.info().at, "%s", wrong)
		return constant{}, false
	}
	if t.limited && (ordered(t.kind, v.integer) < t.low || ordered(t.kind, v.integer) > t.high) {
		c.src.errorf(e.info().at, "%s is %s, which is outside %s", what, orderedText(t.kind, ordered(t.kind, v.integer)), t)
		return constant{}, false
	}
	return v, true
}

// constantParts finds the first part of an expression that is not constant.
func (c *checker) constantParts(e expr) (span, bool) {
	if e.info().val != nil {
		return span{}, true
	}
	switch e := e.(type) {
	case *literal:
		return span{}, true
	case *nameExpr:
		if e.variable == nil {
			return span{}, true
		}
		if e.variable.Constant && e.variable.value != nil {
			e.variable.fixed = true
			return span{}, true
		}
	case *parenExpr:
		return c.constantParts(e.x)
	case *unaryExpr:
		return c.constantParts(e.x)
	case *binaryExpr:
		if at, ok := c.constantParts(e.x); !ok {
			return at, false
		}
		return c.constantParts(e.y)
	case *callExpr:
		return c.constantCall(e)
	}
	return e.info().at, false
}

func (c *checker) constantCall(e *callExpr) (span, bool) {
	if e.lowered != nil {
		return c.constantParts(e.lowered)
	}
	if e.builtin == nil {
		return e.at, false
	}
	for _, p := range e.params {
		if at, ok := c.constantParts(p); !ok {
			return at, false
		}
	}
	return span{}, true
}

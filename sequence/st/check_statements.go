package st

// body checks the statements of a block.
func (c *checker) body(b *Block) {
	c.block, c.loops, c.control = b, 0, nil
	c.statements(b.body)
	if b.result != nil && !assigns(b.body, b.result) && b.Result.kind != kindBad {
		c.src.warnf(b.at, "the FUNCTION %s never sets its result; write %s := …", b.Name, b.Name)
	}
}

// assigns is whether a list of statements writes a variable somewhere.
func assigns(list []statement, v *Variable) bool {
	found := false
	walkStatements(list, func(s statement) {
		for _, w := range writes(s) {
			found = found || rootVariable(w) == v
		}
	})
	return found
}

func (c *checker) statements(list []statement) {
	for _, s := range list {
		c.statement(s)
	}
}

func (c *checker) statement(s statement) {
	switch s := s.(type) {
	case *assignStmt:
		c.assign(s)
	case *callStmt:
		c.callStatement(s)
	case *ifStmt:
		for i := range s.branches {
			c.boolean(s.branches[i].condition, "the condition")
			c.statements(s.branches[i].body)
		}
		c.statements(s.orElse)
	case *caseStmt:
		c.caseStatement(s)
	case *forStmt:
		c.forStatement(s)
	case *whileStmt:
		c.boolean(s.condition, "the condition")
		c.loop(s.body)
	case *repeatStmt:
		c.loop(s.body)
		c.boolean(s.until, "the condition")
	case *jumpStmt:
		if s.word != "RETURN" && c.loops == 0 {
			c.src.errorf(s.at, "%s is in no loop", s.word)
		}
	}
}

func (c *checker) loop(body []statement) {
	c.loops++
	c.statements(body)
	c.loops--
}

func (c *checker) assign(s *assignStmt) {
	target := c.target(s.target)
	c.expr(s.value)
	if target.kind == kindBad || !c.assignable(s.target) {
		return
	}
	switch {
	case target.kind == Instance:
		c.src.errorf(s.target.info().at, "%s is an instance of %s; instances cannot be assigned, only called", c.src.piece(s.target.info().at), target)
	case holdsInstance(target):
		c.src.errorf(s.target.info().at, "%s contains instances of function blocks and cannot be assigned", c.src.piece(s.target.info().at))
	default:
		c.convert(s.value, target, c.src.piece(s.target.info().at))
	}
}

// target is the type of what is written.
func (c *checker) target(e expr) *Type {
	f, ok := e.(*fieldExpr)
	if !ok || !isDigit(f.name[0]) && f.name[0] != '%' {
		return c.expr(e)
	}
	if t := c.expr(f.of); t.kind != kindBad {
		c.refuseBit(f, t, true)
	}
	return c.elementary[kindBad]
}

// callStatement calls an instance or a function.
func (c *checker) callStatement(s *callStmt) {
	if s.function != nil && c.callsFunction(upper(s.function.name)) {
		s.instance = nil
		if c.src.seen[s.function.nameAt] {
			return
		}
		if b := c.blocks[upper(s.function.name)]; b != nil && b.Kind != Function {
			c.src.errorf(s.function.nameAt, "%s is a %s and no instance; declare one, as in VAR my : %s; END_VAR, and call my(…)", s.function.name, b.Kind, b.Name)
			return
		}
		s.function.typ = c.call(s.function)
		return
	}
	t := c.expr(s.instance)
	s.function = nil
	if t.kind == kindBad {
		return
	}
	if t.kind != Instance {
		c.src.errorf(s.instance.info().at, "%s is %s and cannot be called; only instances of function blocks and functions can", c.src.piece(s.instance.info().at), t)
		return
	}
	c.arguments(t.block, c.src.piece(s.instance.info().at), s.at, s.args)
}

// callsFunction is whether a name in capitals that is called is that of a function: no variable
// has it, or one that cannot be called.
func (c *checker) callsFunction(u string) bool {
	v := c.variable(u)
	if v == nil || v == c.block.result {
		return true
	}
	b := c.blocks[u]
	return v.Type.kind != Instance && (b != nil && b.Kind == Function || c.findBuiltin(u) != nil)
}

func (c *checker) forStatement(s *forStmt) {
	t := c.value(s.variable)
	n, simple := s.variable.(*nameExpr)
	switch {
	case t.kind == kindBad:
	case !simple || n.variable == nil:
		c.src.errorf(s.variable.info().at, "the variable of FOR is a simple variable of the block")
	case !t.kind.integer():
		c.src.errorf(s.variable.info().at, "the variable of FOR is an integer, %s is %s", n.name, t)
	default:
		c.assignable(s.variable)
	}
	for _, e := range []expr{s.from, s.to, s.by} {
		if e == nil {
			continue
		}
		c.value(e)
		if t.kind.integer() {
			c.convert(e, c.elementary[t.kind], "the variable of FOR")
		}
	}
	if s.by != nil && s.by.info().val != nil && s.by.info().val.integer == 0 && s.by.info().typ.kind.integer() {
		c.src.errorf(s.by.info().at, "a step of 0 never ends")
	}
	if simple && n.variable != nil {
		c.control = append(c.control, n.variable)
		defer func() { c.control = c.control[:len(c.control)-1] }()
	}
	c.loop(s.body)
}

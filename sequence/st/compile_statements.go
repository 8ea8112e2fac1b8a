package st

// sequence compiles statements that follow one another. Their steps are counted when the list
// begins.
func (k *compiler) sequence(list []statement, at span) action {
	actions := k.actions(list)
	n := int64(len(list))
	if n > 0 {
		at = list[0].place()
	}
	from := at.from
	switch len(actions) {
	case 0:
		return func(*run) flow { return onward }
	case 1:
		only := actions[0]
		return func(r *run) flow {
			r.step(n, from)
			return only(r)
		}
	}
	return func(r *run) flow {
		r.step(n, from)
		for _, a := range actions {
			if f := a(r); f != onward {
				return f
			}
		}
		return onward
	}
}

// move is an assignment of an operand to a variable of the frame.
type move struct {
	to   int
	from operand
}

// operand is a variable of the frame or, with a slot of -1, a known value.
type operand struct {
	slot  int
	value uint64
}

func (o *operand) get(frame []uint64) uint64 {
	if o.slot >= 0 {
		return frame[o.slot]
	}
	return o.value
}

// operandOf is code that is no string as an operand, if it is one.
func operandOf(c code) (o operand, ok bool) {
	if c.known != nil {
		return operand{-1, c.knownSlot()}, true
	}
	return operand{slot: c.slot}, c.slot >= 0
}

// actions compiles statements. Moves that follow one another become one action, as programs hand
// over many inputs and outputs in a row.
func (k *compiler) actions(list []statement) []action {
	actions := make([]action, 0, len(list))
	var moves []move
	for _, s := range list {
		k.move = nil
		next := k.statement(s)
		if k.move == nil {
			moves = nil
			actions = append(actions, next)
			continue
		}
		moves = append(moves, *k.move)
		if len(moves) > 1 {
			actions = actions[:len(actions)-1]
			next = moveAll(moves)
		}
		actions = append(actions, next)
	}
	k.move = nil
	return actions
}

func moveAll(moves []move) action {
	return func(r *run) flow {
		f := r.f
		for i := range moves {
			m := &moves[i]
			v := m.from.value
			if slot := m.from.slot; slot >= 0 {
				v = f[slot]
			}
			f[m.to] = v
		}
		return onward
	}
}

func (k *compiler) statement(s statement) action {
	free := k.text
	defer func() { k.text = free }()
	switch s := s.(type) {
	case *assignStmt:
		return k.assign(s)
	case *callStmt:
		if s.instance != nil {
			return k.callInstance(s)
		}
		return k.callAlone(s.function)
	case *ifStmt:
		return k.ifStatement(s)
	case *caseStmt:
		return k.caseStatement(s)
	case *forStmt:
		return k.forStatement(s)
	case *whileStmt:
		return k.whileStatement(s)
	case *repeatStmt:
		return k.repeatStatement(s)
	case *jumpStmt:
		f := map[string]flow{"EXIT": exitLoop, "CONTINUE": continueLoop, "RETURN": returnBlock}[s.word]
		return func(*run) flow { return f }
	}
	return func(*run) flow { return onward }
}

func (k *compiler) assign(s *assignStmt) action {
	t := s.target.info().typ
	if !t.kind.elementary() {
		return k.copyOver(s.value, k.place(s.target).address(), k.checker.slots(t), s.at.from)
	}
	p, c := k.place(s.target), k.expr(s.value)
	store := k.store(p, t, c, s.value.info().at)
	if k.shared.steering != nil && t.kind == Bool {
		yes := k.store(p, t, knownCode(constant{integer: 1}, Bool), s.value.info().at)
		return k.steeredAssignment(s.value, store, yes)
	}
	if p.at == nil && t.kind != String && !t.limited {
		if from, ok := operandOf(c); ok {
			k.move = &move{p.offset, from}
		}
	}
	return store
}

// copyOver copies a structure or an array. Each 64 slots are a step.
func (k *compiler) copyOver(value expr, to func(*run) int, slots int, at int32) action {
	from := k.place(value).address()
	steps := int64(slots / 64)
	return func(r *run) flow {
		r.step(steps, at)
		source := from(r)
		target := to(r)
		copy(r.mem[target:target+slots], r.mem[source:source+slots])
		return onward
	}
}

func (k *compiler) ifStatement(s *ifStmt) action {
	if k.shared.steering != nil {
		return k.steeredIf(s)
	}
	otherwise := action(nil)
	if s.hasElse {
		otherwise = k.sequence(s.orElse, s.elseAt)
	}
	for i := len(s.branches) - 1; i >= 0; i-- {
		b := &s.branches[i]
		otherwise = choose(k.expr(b.condition), k.sequence(b.body, b.at), otherwise)
	}
	return otherwise
}

// choose runs one of two actions; the second may be missing.
func choose(c code, then, otherwise action) action {
	condition := c.b
	single := c.pure && c.known == nil
	if single {
		all := conjunctionOf(c)
		single = len(all.terms) == 1 && len(all.rest) == 0
	}
	switch {
	case otherwise == nil && single:
		return chooseByTerm(conjunctionOf(c), then)
	case otherwise == nil:
		return func(r *run) flow {
			if condition(r) {
				return then(r)
			}
			return onward
		}
	}
	return func(r *run) flow {
		if condition(r) {
			return then(r)
		}
		return otherwise(r)
	}
}

// chooseByTerm is the IF that asks for one variable.
func chooseByTerm(all conjunction, then action) action {
	t := all.terms[0]
	t.differs = t.differs != all.negated
	return func(r *run) flow {
		if t.holds(r) {
			return then(r)
		}
		return onward
	}
}

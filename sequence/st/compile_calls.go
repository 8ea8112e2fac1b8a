package st

// call compiles the call of a function within an expression.
func (k *compiler) call(e *callExpr) code {
	switch {
	case e.lowered != nil:
		return k.expr(e.lowered)
	case e.builtin != nil:
		return e.builtin.make(k, e)
	}
	return k.load(k.resultPlace(e), e.typ)
}

// callAlone is the call of a function as a statement.
func (k *compiler) callAlone(e *callExpr) action {
	if e.block == nil {
		return k.discard(e)
	}
	at := k.callFrame(e)
	return func(r *run) flow { at(r); return onward }
}

// discard runs a standard function, which may fail, and drops its result.
func (k *compiler) discard(e *callExpr) action {
	c := k.expr(e)
	if get := c.s; get != nil {
		return func(r *run) flow { get(r); return onward }
	}
	get := c.stored()
	return func(r *run) flow { get(r); return onward }
}

// invocation is the call of a block: the stores into its frame, its statements, and the stores of its
// outputs after them.
type invocation struct {
	before, after []action
	statements    action
}

// run does it with the frame at a place in the memory.
func (c *invocation) run(r *run, base int) {
	for _, store := range c.before {
		store(r)
	}
	frame, own := r.f, r.base
	r.f, r.base = r.mem[base:], base
	c.statements(r)
	r.f, r.base = frame, own
	for _, store := range c.after {
		store(r)
	}
}

// resultPlace calls a FUNCTION of the file; its result stays on the stack until the next call.
func (k *compiler) resultPlace(e *callExpr) place {
	return place{offset: e.block.result.offset, at: k.callFrame(e)}
}

// callFrame calls a FUNCTION and returns where its frame is. The frame lies on top of the stack,
// below those of the calls that its arguments make; as nothing is recursive, the depth is known.
func (k *compiler) callFrame(e *callExpr) func(*run) int {
	b := e.block
	compiled := k.shared.block(b)
	size, image := b.layout.slots, b.layout.image
	k.depth += size
	k.takesStack(compiled.stack)
	call := k.invocation(b, e.args, place{at: func(r *run) int { return r.top - size }, back: size})
	k.depth -= size
	at, steps := e.at.from, int64(1+size/64)
	return func(r *run) int {
		r.step(steps, at)
		base := r.top
		r.top += size
		copy(r.mem[base:r.top], image)
		call.run(r, base)
		r.top = base
		return base
	}
}

// callInstance compiles the call of an instance of a function block.
func (k *compiler) callInstance(s *callStmt) action {
	b := s.instance.info().typ.block
	k.takesStack(k.shared.block(b).stack)
	p := k.place(s.instance)
	if p.at != nil {
		return k.callAt(b, s.args, p.address())
	}
	if isTimer(b) && len(s.args) == 2 {
		if a := k.callTimer(s, p.offset); a != nil {
			return a
		}
	}
	call, offset := k.invocation(b, s.args, p), p.offset
	return func(r *run) flow { call.run(r, r.base+offset); return onward }
}

// callAt calls an instance whose address is found in the run: once, before the arguments can change an
// index. It is kept on the stack.
func (k *compiler) callAt(b *Block, args []argument, address func(*run) int) action {
	k.depth++
	k.takesStack(k.shared.block(b).stack)
	call := k.invocation(b, args, place{at: func(r *run) int { return int(r.mem[r.top-1]) }})
	k.depth--
	return func(r *run) flow {
		base := address(r)
		r.mem[r.top] = uint64(base)
		r.top++
		call.run(r, base)
		r.top--
		return onward
	}
}

// callTimer calls a timer with IN and a PT that is known or a variable, as most calls of timers are;
// nil if it is another call. A program calls many in each scan.
func (k *compiler) callTimer(s *callStmt, offset int) action {
	in, pt := s.args[0], s.args[1]
	if in.output || pt.output || in.param.Name != "IN" || pt.param.Name != "PT" {
		return nil
	}
	limit, ok := operandOf(k.expr(pt.value))
	if !ok {
		return nil
	}
	scan, c := s.instance.info().typ.block.native.timer, k.expr(in.value)
	if on, ok := operandOf(c); ok {
		return func(r *run) flow {
			f := (*timerFrame)(r.f[offset:])
			f[timerIn], f[timerPT] = on.get(r.f), limit.get(r.f)
			scan(r, f)
			return onward
		}
	}
	get := c.b
	return func(r *run) flow {
		on := bit(get(r))
		f := (*timerFrame)(r.f[offset:])
		f[timerIn], f[timerPT] = on, limit.get(r.f)
		scan(r, f)
		return onward
	}
}

// invocation compiles the statements of a block and what is handed over.
func (k *compiler) invocation(b *Block, args []argument, frame place) *invocation {
	c := &invocation{statements: k.shared.block(b).run}
	k.checker.layOut(b)
	for i := range args {
		a := &args[i]
		if a.value == nil || a.param == nil {
			continue
		}
		p := place{offset: frame.offset + a.param.offset, at: frame.at}
		if frame.back > 0 {
			p.back = frame.back - a.param.offset
		}
		switch {
		case a.param.Section == InOut:
			c.before = append(c.before, k.handAddress(a, p))
		case a.output:
			c.after = append(c.after, k.takeOutput(a, p))
		default:
			c.before = append(c.before, k.handValue(a, p))
		}
	}
	return c
}

func (k *compiler) handAddress(a *argument, p place) action {
	address, to := k.place(a.value).address(), p.address()
	return func(r *run) flow { v := uint64(address(r)); r.mem[to(r)] = v; return onward }
}

func (k *compiler) handValue(a *argument, p place) action {
	t := a.param.Type
	if p.back > 0 && t.kind.elementary() && t.kind != String && !t.limited {
		return storeStack(p.back, k.expr(a.value))
	}
	if !t.kind.elementary() {
		return k.copyOver(a.value, p.address(), k.checker.slots(t), a.at.from)
	}
	return k.store(p, t, k.expr(a.value), a.value.info().at)
}

// storeStack writes an argument into the frame on top of the stack.
func storeStack(back int, c code) action {
	get := c.stored()
	return func(r *run) flow { v := get(r); r.mem[r.top-back] = v; return onward }
}

func (k *compiler) takeOutput(a *argument, source place) action {
	from, to := a.param.Type, a.value.info().typ
	target := k.place(a.value)
	if !from.kind.elementary() {
		slots := k.checker.slots(from)
		read, write := source.address(), target.address()
		return func(r *run) flow {
			p, q := read(r), write(r)
			copy(r.mem[q:q+slots], r.mem[p:p+slots])
			return onward
		}
	}
	c := k.load(source, from)
	if a.not {
		c = notCode(c)
	}
	if from.kind != to.kind {
		c = k.convert(c, from, to, a.at)
	}
	return k.store(target, to, c, a.value.info().at)
}

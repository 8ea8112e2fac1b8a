package st

// compilation makes closures of the checked blocks of a file. They work on the memory of a run,
// so that one program serves any number of instances.
type compilation struct {
	checker *checker
	bodies  map[*Block]*body
	text    int // bytes of run.text that the compiled blocks take

	steering *steering // for a search; nil for the bench
}

// body is a compiled block.
type body struct {
	run   action
	stack int // slots of the stack that it takes, its own frame not counted
}

// action is a compiled statement.
type action func(*run) flow

// flow is how a statement ends.
type flow uint8

const (
	onward flow = iota
	exitLoop
	continueLoop
	returnBlock
)

// block compiles a block after all that it uses.
func (s *compilation) block(b *Block) *body {
	if done := s.bodies[b]; done != nil {
		return done
	}
	done := &body{}
	switch {
	case b.native != nil:
		done.run = b.native.action()
	default:
		for _, next := range s.checker.below(b) {
			s.block(next.block)
		}
		l := s.checker.layOut(b)
		k := &compiler{checker: s.checker, shared: s, text: s.text, most: s.text}
		done.run = k.sequence(b.body, b.at)
		if len(l.temps) > 0 && b.Kind != Function {
			done.run = withTemps(done.run, l.temps, l.image)
		}
		done.stack, s.text = k.deepest, k.most
	}
	s.bodies[b] = done
	return done
}

// withTemps sets the temporary variables to their initial values first.
func withTemps(inner action, temps []stretch, image []uint64) action {
	return func(r *run) flow {
		for _, t := range temps {
			copy(r.f[t.from:t.to], image[t.from:t.to])
		}
		return inner(r)
	}
}

// compiler compiles one block, or one constant.
type compiler struct {
	checker   *checker
	shared    *compilation
	constants bool  // constants are put in as values: there is no memory
	text      int   // bytes of run.text that the present statement takes, with those before it
	most      int   // the most that any statement takes
	move      *move // what the last statement does, if it only moves a slot
	depth     int   // slots of the stack that are taken where the code stands
	deepest   int   // the most that it ever takes, with everything it calls
}

// takesStack notes that code at the present depth takes so many more slots.
func (k *compiler) takesStack(slots int) {
	k.deepest = max(k.deepest, k.depth+slots)
}

// scratch is room for a string on its way. It is free again after the statement.
func (k *compiler) scratch(length int) (from, to int) {
	from = k.text
	k.text += length
	k.most = max(k.most, k.text)
	return from, k.text
}

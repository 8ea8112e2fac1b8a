package st

import "slices"

// steering lets a search take the branch of an IF that asks for inputs or timers, as if they were as it
// asks, and set a BOOL that is computed from them. The program is compiled once more for it, so that a run on the bench pays nothing.
type steering struct {
	free   func(*Variable) bool // an input that may have any value
	counts map[*Variable]bool   // a number that goes on from scan to scan: a counter, a ramp
	sets   [][]steeredInput     // of each way
	ways   int                  // branches that can be taken, and BOOLs that can be set
	passed []bool               // of the ways: its statement was reached
	force  int                  // the way to be taken; -1 for none
	forced bool                 // it was taken
}

// steered makes an instance for a search.
func (p *Program) steered(b *Block, free func(*Variable) bool) (*Machine, *steering) {
	s := &steering{free: free, force: -1, counts: p.counters()}
	c := &compilation{checker: p.checker, bodies: map[*Block]*body{}, steering: s}
	done := c.block(b)
	s.passed = make([]bool, s.ways)
	m := &Machine{program: p, block: b, body: done.run, budget: DefaultBudget / 5}
	m.run.text = make([]byte, c.text)
	m.power(make([]uint64, b.layout.slots+done.stack))
	return m, s
}

// steeredInput is a BOOL input with the value that a condition asks for.
type steeredInput struct {
	path  string // in capitals
	value bool
}

// way is a branch of an IF, or the assignment of a BOOL.
type way struct {
	id        int // -1 if it cannot be steered
	condition func(*run) bool
	forced    bool              // parts of the condition ask for timers or numbers, and are taken as met
	firm      []func(*run) bool // parts that are not
	then      action
}

func (k *compiler) steeredIf(s *ifStmt) action {
	otherwise := func(*run) flow { return onward }
	if s.hasElse {
		otherwise = k.sequence(s.orElse, s.elseAt)
	}
	ways := make([]way, len(s.branches))
	for i := range s.branches {
		b := &s.branches[i]
		ways[i] = way{condition: k.expr(b.condition).b, then: k.sequence(b.body, b.at)}
		k.steer(&ways[i], b.condition)
	}
	steering := k.shared.steering
	return func(r *run) flow {
		for i := range ways {
			if w := &ways[i]; w.id >= 0 {
				steering.passed[w.id] = true
				if w.forced && w.id == steering.force && w.holds(r) {
					steering.forced = true
					return w.then(r)
				}
			}
		}
		for i := range ways {
			if ways[i].condition(r) {
				return ways[i].then(r)
			}
		}
		return otherwise(r)
	}
}

// steeredAssignment is that of a BOOL, which can be forced to be TRUE.
func (k *compiler) steeredAssignment(value expr, store, yes action) action {
	var w way
	k.steer(&w, value)
	if !w.forced {
		return store
	}
	steering := k.shared.steering
	return func(r *run) flow {
		steering.passed[w.id] = true
		if w.id == steering.force && w.holds(r) {
			steering.forced = true
			return yes(r)
		}
		return store(r)
	}
}

// holds is whether the parts of the condition that cannot be forced are met.
func (w *way) holds(r *run) bool {
	return !slices.ContainsFunc(w.firm, func(f func(*run) bool) bool { return !f(r) })
}

// steer sorts the parts of a condition: inputs that can be set, what is taken as met, and the rest.
func (k *compiler) steer(w *way, condition expr) {
	s := k.shared.steering
	var sets []steeredInput
	for _, part := range conjuncts(condition) {
		path, value, plain := s.input(part)
		switch {
		case plain:
			sets = append(sets, steeredInput{path, value})
		case s.asks(part):
			w.forced = true
		default:
			w.firm = append(w.firm, k.expr(part).b)
		}
	}
	if w.id = -1; len(sets) > 0 || w.forced {
		w.id = s.ways
		s.ways++
		s.sets = append(s.sets, sets)
	}
}

// input is the BOOL input that an expression asks for.
func (s *steering) input(e expr) (path string, value, ok bool) {
	switch e := e.(type) {
	case *parenExpr:
		return s.input(e.x)
	case *unaryExpr:
		path, value, ok = s.input(e.x)
		return path, !value, ok && e.op == "NOT"
	}
	v := rootVariable(e)
	if v == nil || e.info().typ.kind != Bool || !s.free(v) {
		return "", false, false
	}
	path, ok = pathOf("", e)
	return path, true, ok
}

// counters are the numbers of all blocks that are computed from themselves.
func (p *Program) counters() map[*Variable]bool {
	counts := map[*Variable]bool{}
	for _, b := range p.Blocks {
		walkStatements(b.body, func(s statement) {
			a, ok := s.(*assignStmt)
			if !ok || !a.target.info().typ.kind.number() {
				return
			}
			if v := rootVariable(a.target); v != nil && v.Section != Temp && names(a.value, v) {
				counts[v] = true
			}
		})
	}
	return counts
}

// asks is whether an expression reads a timer itself, an input that is no BOOL, or what counts.
func (s *steering) asks(e expr) bool {
	found := false
	walkExpr(e, func(part expr) {
		switch part := part.(type) {
		case *nameExpr:
			found = found || part.variable != nil && part.typ.kind != Bool && (s.free(part.variable) || s.counts[part.variable])
		case *fieldExpr:
			t := part.of.info().typ
			found = found || t != nil && t.kind == Instance && isTimer(t.block)
		}
	})
	return found
}

// conjuncts are the parts of a condition that must all be true.
func conjuncts(e expr) []expr {
	switch e := e.(type) {
	case *parenExpr:
		return conjuncts(e.x)
	case *binaryExpr:
		if e.op == "AND" && e.typ.kind == Bool {
			return append(conjuncts(e.x), conjuncts(e.y)...)
		}
	}
	return []expr{e}
}

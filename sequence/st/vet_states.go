package st

import (
	"cmp"
	"slices"
	"strconv"
)

// states looks at each variable over which the block has a CASE and which the block itself sets.
func (v *vetter) states() {
	var seen []*Variable
	walkStatements(v.block.body, func(s statement) {
		c, ok := s.(*caseStmt)
		if !ok || !isWhole(c.selector) {
			return
		}
		state := rootVariable(c.selector)
		if state == nil || slices.Contains(seen, state) || !assigns(v.block.body, state) {
			return
		}
		seen = append(seen, state)
		v.machine(state)
	})
}

// chart is a state variable with what is known about its changes.
type chart struct {
	vetter *vetter
	state  *Variable
	next   *Variable // from which the state is taken at the end, nil without one
	cases  []*caseStmt
}

func (v *vetter) machine(state *Variable) {
	c := &chart{vetter: v, state: state, next: v.nextState(state)}
	walkStatements(v.block.body, func(s statement) {
		if cs, ok := s.(*caseStmt); ok && isWhole(cs.selector) && rootVariable(cs.selector) == state {
			c.cases = append(c.cases, cs)
		}
	})
	slices.SortStableFunc(c.cases, func(a, b *caseStmt) int { return cmp.Compare(c.rank(a), c.rank(b)) })
	entered, all := c.targets()
	done := map[int64]bool{}
	for _, cs := range c.cases {
		for i := range cs.branches {
			for _, l := range cs.branches[i].labels {
				if l.high == nil && !done[l.from] {
					done[l.from] = true
					c.check(l, entered[l.from] || !all)
				}
			}
		}
	}
}

// rank orders the CASEs over a state: warnings stand at the one that leads out of states.
func (c *chart) rank(s *caseStmt) int {
	if slices.ContainsFunc(bodiesOf(s), func(body []statement) bool {
		return assigns(body, c.state) || c.next != nil && assigns(body, c.next)
	}) {
		return 0
	}
	return 1
}

// nextState is the variable from which a block takes its state, nil if it does not.
func (v *vetter) nextState(state *Variable) *Variable {
	var next *Variable
	walkStatements(v.block.body, func(s statement) {
		a, ok := s.(*assignStmt)
		if !ok || rootVariable(a.target) != state || next != nil {
			return
		}
		if _, known := v.fixedValue(a.value); known {
			return
		}
		if n, ok := a.value.(*nameExpr); ok && n.variable != state {
			next = n.variable
		}
	})
	return next
}

// fixedValue is the value of a number, or of a CONSTANT of the block.
func (v *vetter) fixedValue(e expr) (int64, bool) {
	if val := e.info().val; val != nil {
		return val.integer, true
	}
	n, ok := e.(*nameExpr)
	if !ok || n.variable == nil || !n.variable.Constant || v.block.byName[upper(n.variable.Name)] != n.variable {
		return 0, false
	}
	return int64(v.block.layout.image[n.variable.offset]), true
}

// targets are the values that the state is ever set to; all is whether each is known.
func (c *chart) targets() (entered map[int64]bool, all bool) {
	entered, all = map[int64]bool{c.first(): true}, true
	walkStatements(c.vetter.block.body, func(s statement) {
		for _, e := range writes(s) {
			if root := rootVariable(e); root != c.state && (c.next == nil || root != c.next) {
				continue
			}
			a, ok := s.(*assignStmt)
			if ok {
				if value, known := c.vetter.fixedValue(a.value); known {
					entered[value] = true
					continue
				}
			}
			switch {
			case ok && rootVariable(a.value) != nil && (rootVariable(a.value) == c.next || rootVariable(a.value) == c.state):
			default:
				all = false
			}
		}
	})
	return entered, all
}

// first is the value at the start.
func (c *chart) first() int64 {
	return int64(c.vetter.block.layout.image[c.state.offset])
}

// check warns about one state.
func (c *chart) check(l caseLabel, entered bool) {
	name := c.vetter.src.piece(l.at)
	if !entered && !c.isNamed(c.vetter.options.Starts, name, l.from) {
		c.vetter.src.warnf(l.at, "the state %s is never entered; set %s to it somewhere, or remove it", name, c.state.Name)
		return
	}
	if c.isNamed(c.vetter.options.Ends, name, l.from) {
		return
	}
	first := l.from == c.first() || c.isNamed(c.vetter.options.Starts, name, l.from)
	switch {
	case !c.canLeave(c.vetter.block.body, l.from):
		c.vetter.src.warnf(l.at, "the state %s has no way out and is no end; set %s in it, or list it as an end", name, c.state.Name)
	case !first && c.decides():
		c.wait(l, name)
	}
}

// isNamed is whether a list names a state, as its label is written, as its value, or as its number.
func (c *chart) isNamed(list []string, name string, value int64) bool {
	word := c.state.Type.Word(value)
	return slices.ContainsFunc(list, func(state string) bool {
		state = upper(state)
		return state == upper(name) || state == upper(word) || state == upper(c.state.Type.String()+"#"+word) || state == strconv.FormatInt(value, 10)
	})
}

// branch is the statements that a CASE over the state runs in a state.
func (c *chart) branch(s *caseStmt, value int64) []statement {
	for _, b := range s.branches {
		for _, l := range b.labels {
			if l.from <= value && value <= l.to {
				return b.body
			}
		}
	}
	return s.orElse
}

// leaves is whether a statement itself sets the state to another value.
func (c *chart) leaves(s statement, value int64) bool {
	for _, e := range writes(s) {
		root := rootVariable(e)
		if root == nil || root != c.state && root != c.next {
			continue
		}
		a, ok := s.(*assignStmt)
		if !ok {
			return true // handed over to a block
		}
		if to, known := c.vetter.fixedValue(a.value); known {
			return to != value
		}
		from := rootVariable(a.value)
		return from == nil || from != c.state && from != c.next
	}
	return false
}

// canLeave is whether a list of statements can set another state when it is run in a state.
func (c *chart) canLeave(body []statement, value int64) bool {
	for _, s := range body {
		if c.leaves(s, value) {
			return true
		}
		lists := bodiesOf(s)
		if cs, ok := s.(*caseStmt); ok && slices.Contains(c.cases, cs) {
			lists = [][]statement{c.branch(cs, value)}
		}
		for _, inner := range lists {
			if c.canLeave(inner, value) {
				return true
			}
		}
	}
	return false
}

// decides is whether a branch of a CASE over the state sets it. Where none does, and no binding names
// it, it may be a value that is selected by and no state.
func (c *chart) decides() bool {
	return c.vetter.options.State != "" || slices.ContainsFunc(c.cases, func(s *caseStmt) bool {
		return slices.ContainsFunc(bodiesOf(s), func(body []statement) bool {
			return assigns(body, c.state) || c.next != nil && assigns(body, c.next)
		})
	})
}

// wait notes a state of which is to be found out whether it waits.
func (c *chart) wait(l caseLabel, name string) {
	w := &waiter{vetter: c.vetter, name: name, at: l.at, state: c.state, value: l.from, branch: c.place(l.from)}
	c.askWithin(c.vetter.block.body, l.from, w)
	c.vetter.waiters = append(c.vetter.waiters, w)
}

// place is that of the branch of a state, the first that sets the state.
func (c *chart) place(value int64) *span {
	for _, s := range c.cases {
		for i := range s.branches {
			for _, l := range s.branches[i].labels {
				if l.from <= value && value <= l.to {
					return &s.branches[i].at
				}
			}
		}
	}
	return nil
}

// askWithin enters what a list of statements reads in a state.
func (c *chart) askWithin(body []statement, value int64, w *waiter) {
	for _, s := range body {
		for _, e := range reads(s) {
			w.asks = append(w.asks, pathsIn(e)...)
		}
		lists := bodiesOf(s)
		if cs, ok := s.(*caseStmt); ok && slices.Contains(c.cases, cs) {
			lists = [][]statement{c.branch(cs, value)}
		}
		for _, inner := range lists {
			c.askWithin(inner, value, w)
		}
	}
}

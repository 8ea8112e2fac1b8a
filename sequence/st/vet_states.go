package st

import (
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
	vetter  *vetter
	state   *Variable
	next    *Variable // from which the state is taken at the end, nil without one
	natures *natures
	cases   []*caseStmt
}

func (v *vetter) machine(state *Variable) {
	c := &chart{vetter: v, state: state, next: v.nextState(state)}
	walkStatements(v.block.body, func(s statement) {
		if cs, ok := s.(*caseStmt); ok && isWhole(cs.selector) && rootVariable(cs.selector) == state {
			c.cases = append(c.cases, cs)
		}
	})
	c.natures = v.naturesOf([]*Variable{state})
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

// nextState is the variable from which a block takes its state in every scan, nil if it does not.
func (v *vetter) nextState(state *Variable) *Variable {
	for _, s := range v.block.body {
		if a, ok := s.(*assignStmt); ok && rootVariable(a.target) == state {
			if n, ok := a.value.(*nameExpr); ok && n.variable != nil {
				return n.variable
			}
		}
	}
	return nil
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
			switch {
			case ok && a.value.info().val != nil:
				entered[a.value.info().val.integer] = true
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
	case !first && !c.surelyLeaves(c.vetter.block.body, l.from):
		c.vetter.src.warnf(l.at, "the state %s may wait without a time limit; add a way out by a timer that runs in it whatever the inputs are", name)
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
		switch {
		case !ok:
			return true // handed over to a block
		case a.value.info().val != nil:
			return a.value.info().val.integer != value
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

// surelyLeaves is whether a list of statements sets another state within a limited time,
// whatever the inputs are.
func (c *chart) surelyLeaves(body []statement, value int64) bool {
	return slices.ContainsFunc(body, func(s statement) bool {
		switch s := s.(type) {
		case *ifStmt:
			return c.surelyLeavesIf(s, value)
		case *caseStmt:
			if slices.Contains(c.cases, s) {
				return c.surelyLeaves(c.branch(s, value), value)
			}
			for _, b := range s.branches {
				if !c.surelyLeaves(b.body, value) {
					return false
				}
			}
			return s.hasElse && c.surelyLeaves(s.orElse, value)
		}
		return c.leaves(s, value)
	})
}

// surelyLeavesIf is so for an IF if one of its conditions becomes true by itself and all branches
// up to it leave, or if all branches leave.
func (c *chart) surelyLeavesIf(s *ifStmt, value int64) bool {
	for _, b := range s.branches {
		if !c.surelyLeaves(b.body, value) {
			return false
		}
		if c.natures.certain(b.condition) {
			return true
		}
	}
	return s.hasElse && c.surelyLeaves(s.orElse, value)
}

package sequence

import "time"

// candidate is a transition as a scan of one state looks at it.
type candidate struct {
	edge    *Edge
	test    func(*Inputs) bool // nil without a condition
	gate    func(*Inputs) bool // nil without one, see gateOf
	after   time.Duration
	place   int  // among those of the state, or those of any
	timed   bool // the condition must hold for some time
	applies bool // false for one whose time is only kept up to date
}

// number numbers the transitions.
func (p *Program) number() {
	n := 0
	of := func(edges []Edge) {
		for i := range edges {
			edges[i].number = n
			n++
		}
	}
	of(p.any)
	for i := range p.states {
		of(p.states[i].Edges)
	}
}

// candidates lists what a scan in a state has to look at, in the order in which it is tried: what can fire
// there, and the any transitions whose conditions must hold for some time, which counts across states.
func (p *Program) candidates(s *DocumentState) []candidate {
	var list []candidate
	add := func(edges []Edge, applies func(i int) bool) {
		for i := range edges {
			e := &edges[i]
			c := candidate{edge: e, test: e.test, gate: e.gate, after: e.After.Time, place: i, timed: e.For.Time > 0, applies: applies(i)}
			if !e.never && (c.applies || c.timed) {
				list = append(list, c)
			}
		}
	}
	add(p.any, func(i int) bool { return s.Any[i] })
	add(s.Edges, func(int) bool { return true })
	return list
}

// pick chooses the first transition that may fire, and brings the times for which conditions have held up to
// date, so that none loses its count to another. The condition of one that need not hold for any time matters
// only where it could be chosen.
func (m *Machine) pick(in *Inputs) *Edge {
	var chosen *Edge
	inState := m.InState()
	list := m.program.states[m.state].candidates
	for _, i := range m.watched(in) {
		c := &list[i]
		if !c.timed && (chosen != nil || c.after > inState) {
			continue
		}
		holds := c.test == nil || c.test(in)
		if c.timed {
			holds = m.heldLongEnough(c, holds) && c.applies && c.after <= inState
		}
		if holds && chosen == nil && m.hasLeft(c) {
			chosen = c.edge
		}
	}
	return chosen
}

// heldLongEnough counts the scans for which a condition has held, 0 on the first and -1 while it does not.
func (m *Machine) heldLongEnough(c *candidate, holds bool) bool {
	held := m.held(c)
	switch {
	case !holds:
		held[c.place] = -1
		return false
	case held[c.place] < 0:
		held[c.place] = 0
	default:
		held[c.place] += m.passed
	}
	return m.lasts(held[c.place]) >= c.edge.For.Time
}

// held are the counts among which is that of a candidate.
func (m *Machine) held(c *candidate) []int {
	if c.edge.Any {
		return m.anyHeld
	}
	return m.ownHeld
}

// hasLeft is whether the transition may fire once more.
func (m *Machine) hasLeft(c *candidate) bool {
	return c.edge.Times < 0 || m.fired[c.edge.number] < c.edge.Times
}

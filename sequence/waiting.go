package sequence

import "time"

// Condition is one transition that the present state waits for.
type Condition struct {
	Event     string
	To        string
	Text      string        // the condition as written; "" without one
	Met       bool          // whether the condition is true now, times aside
	Terms     []Term        // of the condition; none without one
	For       time.Duration // how long it must go on being true
	ForLeft   time.Duration // what remains of that; all of it while it is not true
	After     time.Duration // least time in the state
	AfterLeft time.Duration // what remains of that
	TimesLeft int           // firings left this run; -1 without limit
	Cause     string        // as written: the cause of a transition of failure; "" for others
	Any       bool
}

// Term is one line of a condition: a part of it that is true or false by itself.
//
// The terms of a condition are in the order they were written in. A part that
// is itself joined of several, as the brackets in a and (b or c), is a term with
// Group set, and its own parts follow it one deeper. So a condition is met when
// all terms of depth 0 are, or one of them where Join is "or"; a group likewise.
type Term struct {
	Text  string // as written, for instance abs(position_mm - test_position_mm) <= in_position_mm
	Met   bool   // whether it is true now, including a not before it
	Left  string // of a comparison, the live value with its unit: 0.031 mm; "" for a bare boolean
	Op    string // how it must compare: <=; including a not before it
	Right string // the limit with its unit: 0.05 mm
	Depth int    // 0 at the top
	Join  string // "and" or "or", which joins it to its siblings; "" if it is alone
	Group string // "and" or "or", which joins the parts that follow one deeper; "" if none do
}

// Waiting lists what could happen next, in the order it is tried, by the inputs
// of the last scan. It allocates: it is for display.
func (m *Machine) Waiting() []Condition {
	state := &m.program.states[m.state]
	list := []Condition{} // never nil: that it is empty is known
	for i := range m.program.any {
		if state.Any[i] {
			list = append(list, m.condition(&m.program.any[i], m.anyHeld[i]))
		}
	}
	for i := range state.Edges {
		list = append(list, m.condition(&state.Edges[i], m.ownHeld[i]))
	}
	return list
}

func (m *Machine) condition(edge *Edge, held int) Condition {
	in := m.last
	c := Condition{
		Event: edge.Event, To: edge.To, Any: edge.Any, Cause: edge.Cause,
		For: edge.For.Time, After: edge.After.Time, TimesLeft: -1,
	}
	c.Met = edge.test == nil || edge.test(&in)
	if edge.When != nil {
		c.Text, c.Terms = edge.When.Text, edge.When.live(&in)
	}
	if edge.Times >= 0 {
		c.TimesLeft = max(edge.Times-m.fired[edge.number], 0)
	}
	c.ForLeft = m.left(edge.For.Time, held)
	c.AfterLeft = m.left(edge.After.Time, m.entered)
	return c
}

// live evaluates the terms of a condition.
func (e *Expr) live(in *Inputs) []Term {
	terms := e.terms()
	list := make([]Term, len(terms))
	for i := range terms {
		t := &terms[i]
		list[i] = Term{Text: t.text, Met: t.boolean(in), Op: t.op, Depth: t.depth, Join: t.join, Group: t.group}
		if t.op != "" {
			list[i].Left, list[i].Right = t.values(in)
		}
	}
	return list
}

// left is what remains of d after some scans.
func (m *Machine) left(d time.Duration, scans int) time.Duration {
	return max(d-time.Duration(max(scans, 0))*m.scan, 0)
}

package sequence

import "time"

// Condition is one transition that the present state waits for.
type Condition struct {
	Event     string
	To        string
	Text      string        // the condition as written; "" without one
	Met       bool          // whether the condition is true now, times aside
	ForLeft   time.Duration // how long it must go on being true; all of it while it is not
	AfterLeft time.Duration // how long the state must last yet
	TimesLeft int           // firings left this run; -1 without limit
	Any       bool
}

// Waiting lists what could happen next, in the order it is tried, by the inputs
// of the last scan. It is empty in an end state. It allocates: it is for people.
func (m *Machine) Waiting() []Condition {
	state := &m.program.states[m.state]
	if state.End != EndNone {
		return nil
	}
	var list []Condition
	for i := range m.program.any {
		if state.Any[i] {
			list = append(list, m.condition(&m.program.any[i], m.anyHeld[i], m.anyFired[i]))
		}
	}
	for i := range state.Edges {
		list = append(list, m.condition(&state.Edges[i], m.ownHeld[i], m.fired[m.state][i]))
	}
	return list
}

func (m *Machine) condition(edge *Edge, held, fired int) Condition {
	in := m.last
	c := Condition{Event: edge.Event, To: edge.To, Any: edge.Any, TimesLeft: -1}
	c.Met = edge.test == nil || edge.test(&in)
	if edge.When != nil {
		c.Text = edge.When.Text
	}
	if edge.Times >= 0 {
		c.TimesLeft = max(edge.Times-fired, 0)
	}
	c.ForLeft = m.left(edge.For.Time, held)
	c.AfterLeft = m.left(edge.After.Time, m.entered)
	return c
}

// left is what remains of d after some scans.
func (m *Machine) left(d time.Duration, scans int) time.Duration {
	return max(d-time.Duration(max(scans, 0))*m.scan, 0)
}

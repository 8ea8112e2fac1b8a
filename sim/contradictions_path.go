package sim

import (
	"fmt"
	"slices"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// excludedPath are steps of the expected path that the sequence cannot take, and an end that is not that of its last
// state.
func (c *Case) excludedPath() problem.List {
	path, want := c.Scenario.Expect.Path, c.Scenario.Expect.End
	if len(path) == 0 || c.Untold() {
		return nil
	}
	found := c.missingSteps(path)
	last := path[len(path)-1]
	if end := c.Sequence.End(last).String(); want != "" && last != anyStates && end != want {
		found.Add(fmt.Sprintf("expect.path[%d]", len(path)-1), "path ends in %s, with which the end is %s, and end is %s: no run is both", last, end, want)
	}
	return found
}

// missingSteps are those from a state of a path to the next for which a sequence document has no transition. When
// power returns, the sequence begins anew from any state.
func (c *Case) missingSteps(path []string) problem.List {
	p, ok := c.Program()
	if !ok {
		return nil // the transitions of a program are not to be read
	}
	var found problem.List
	anew := c.Sequence.States[c.Sequence.PowerUp].Name
	for i := 1; i < len(path); i++ {
		from, to := path[i-1], path[i]
		if from == anyStates || to == anyStates || to == anew || leads(p.Document(), from, to) {
			continue
		}
		found.Add(fmt.Sprintf("expect.path[%d]", i), "%s has no transition from %s to %s: no run takes this path", c.Sequence.Title(), from, to)
	}
	return found
}

// leads is whether a document has a transition from a state to another one, whatever its condition.
func leads(d sequence.Document, from, to string) bool {
	leadsTo := func(t sequence.Transition) bool { return t.To == to }
	at := slices.IndexFunc(d.States, func(s sequence.State) bool { return s.Name == from })
	if at < 0 {
		return true // it is said elsewhere that there is no such state
	}
	s := &d.States[at]
	return slices.ContainsFunc(s.Go, leadsTo) || slices.ContainsFunc(d.Any, leadsTo) && !slices.Contains(s.OptOut, to)
}

// excludedByPath are faults and expectations of states that are not on an expected path which leaves nothing open.
func (c *Case) excludedByPath() problem.List {
	e := &c.Scenario.Expect
	if len(e.Path) == 0 || slices.Contains(e.Path, anyStates) {
		return nil
	}
	var found problem.List
	off := func(at, state, what string) {
		if !slices.Contains(e.Path, state) {
			found.Add(at, "%s %s, which is not on expect.path, and that names every state which the run enters: no run is both", what, state)
		}
	}
	for i := range c.Scenario.Faults {
		if when := c.Scenario.Faults[i].When; when != nil && when.State != "" {
			off(fmt.Sprintf("faults[%d].when.state", i), when.State, "the fault waits for")
		}
	}
	for _, state := range sortedKeys(e.Took) {
		off("expect.took"+quoted(state), state, "a time is expected in")
	}
	for _, state := range sortedKeys(e.Outputs) {
		off("expect.outputs"+quoted(state), state, "outputs are expected in")
	}
	return found
}

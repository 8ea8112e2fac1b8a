package sim

import (
	"fmt"
	"slices"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// noParam is the message of a parameter that the sequence has not: what to write where a document beside
// the sequence names its parameters, else the nearest name.
func noParam(name string, logic sequence.Logic) string {
	d := logic.About()
	text := fmt.Sprintf("%s has no parameter %q", d.Title(), name)
	if a, ok := logic.(sequence.Adviser); ok {
		return text + "; " + a.AdviseParam(name)
	}
	return text + suggestion(name, d.ParamNames())
}

// advised says of faults that begin in a state that the sequence has not what to write where a document
// beside the sequence names its states.
func (c *Case) advised(found problem.List) problem.List {
	a, ok := c.Logic.(sequence.Adviser)
	if !ok {
		return found
	}
	states := c.Sequence.StateNames()
	for i := range c.Scenario.Faults {
		when := c.Scenario.Faults[i].When
		if when == nil || when.State == "" || slices.Contains(states, when.State) {
			continue
		}
		path := fmt.Sprintf("faults[%d].when.state", i)
		if k := slices.IndexFunc(found, func(p problem.Problem) bool { return p.Path == path }); k >= 0 {
			found[k].Message = fmt.Sprintf("sequence %s has no state %q; %s", c.Sequence.Name, when.State, a.AdviseState(when.State))
		}
	}
	return found
}

package sim

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"holdbench/sequence"
)

// OnAnotherRig removes what depends on the scenario's own rig: times and outputs. Left are the names of
// these expectations.
func (e *Expect) OnAnotherRig() (left []string) {
	left = append(e.tookNames(), e.outputsNames()...)
	e.Took, e.Outputs = nil, nil
	return left
}

// WithAnother removes what cannot be expected of another sequence in place of the scenario's own: what
// names a state or an output that it does not have. Left are the names of these expectations.
func (e *Expect) WithAnother(d *sequence.Description) (left []string) {
	states := d.StateNames()
	if len(e.Path) > 0 && len(checkPath(e.Path, states[d.Start], states)) > 0 {
		left, e.Path = append(left, "path"), nil
	}
	all := append(e.tookNames(), e.outputsNames()...)
	e.Took = withKeys(e.Took, func(state string) bool { return slices.Contains(states, state) && d.End(state) == sequence.EndNone })
	e.Outputs = withKeys(e.Outputs, func(state string) bool {
		return slices.Contains(states, state) && !slices.ContainsFunc(sortedKeys(e.Outputs[state]), func(output string) bool { return !d.Sets(output) })
	})
	stay := append(e.tookNames(), e.outputsNames()...)
	return append(left, slices.DeleteFunc(all, func(name string) bool { return slices.Contains(stay, name) })...)
}

func (e *Expect) tookNames() []string { return named("took", sortedKeys(e.Took)) }

func (e *Expect) outputsNames() []string { return named("outputs", sortedKeys(e.Outputs)) }

// named are expectations of a kind, each with its state.
func named(kind string, states []string) []string {
	var list []string
	for _, state := range states {
		list = append(list, kind+" "+state)
	}
	return list
}

// withKeys is a map with some of its keys; nil without any.
func withKeys[V any](all map[string]V, keep func(string) bool) map[string]V {
	some := maps.Clone(all)
	maps.DeleteFunc(some, func(state string, _ V) bool { return !keep(state) })
	if len(some) == 0 {
		return nil
	}
	return some
}

// NotAppliedText says which expectations of its scenario a run is not compared with; empty if with all.
func (r *Result) NotAppliedText() string {
	switch n := len(r.NotApplied); n {
	case 0:
		return ""
	case 1:
		return "1 expectation not applied: " + r.NotApplied[0]
	default:
		return fmt.Sprintf("%d expectations not applied: %s", n, strings.Join(r.NotApplied, ", "))
	}
}

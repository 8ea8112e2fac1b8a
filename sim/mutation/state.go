package mutation

import (
	"fmt"
	"slices"

	"holdbench/sequence"
)

// state makes the mutants of one state: of its settings and its transitions.
func (m *maker) state(s *sequence.State) {
	path := "$.states." + s.Name
	for i, set := range s.Set {
		m.add(Mutant{
			Operator: Setting, State: s.Name, Path: path + ".set." + set.Output, Was: set.Output + ": " + string(set.Value),
		}, s.Name, "leave out "+set.Output, func(d *sequence.Document) {
			set := &stateOf(d, s.Name).Set
			*set = slices.Delete(*set, i, i+1)
		})
	}
	m.transitions(s.Name, s.Go)
}

// swapStates exchanges the bodies of two successive states of the main path.
func (m *maker) swapStates() {
	states := m.program.States()
	path := m.program.MainPath()
	for i := range path[:max(len(path)-1, 0)] {
		one, other := states[path[i]].Name, states[path[i+1]].Name
		m.add(Mutant{
			Operator: SwapStates, State: one, alsoIn: other, Path: "$.states." + one,
			Was: one + ", " + other, Now: other + ", " + one,
		}, one, "exchange with "+other, func(d *sequence.Document) {
			a, b := stateOf(d, one), stateOf(d, other)
			a.Set, b.Set = b.Set, a.Set
			a.Go, b.Go = b.Go, a.Go
		})
	}
}

// removeAny removes a transition under any, and its exceptions in the states.
func (m *maker) removeAny(i int) {
	t := m.base.Any[i]
	m.add(Mutant{
		Operator: RemoveAny, Path: fmt.Sprintf("$.any[%d]", i), Was: transitionText(&t),
		event: event("", i), transition: &t,
	}, placeOf("", m.base.Any, i), "remove", func(d *sequence.Document) {
		d.Any = slices.Delete(d.Any, i, i+1)
		if slices.ContainsFunc(d.Any, func(o sequence.Transition) bool { return o.To == t.To }) {
			return
		}
		for s := range d.States {
			d.States[s].OptOut = slices.DeleteFunc(d.States[s].OptOut, func(to string) bool { return to == t.To })
		}
	})
}

package mutation

import (
	"fmt"
	"slices"

	"holdbench/sequence"
)

// state makes the mutants of one state: of its settings and its transitions.
func (m *maker) state(s *sequence.State) {
	path := "$.states." + s.Name
	for i := range s.Keep {
		m.forget(s, i, path)
	}
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

// forget leaves out a value that a state keeps. Where no other state keeps it, it stays what it is
// at the start of a run, so that it can still be read.
func (m *maker) forget(s *sequence.State, i int, path string) {
	k := s.Keep[i]
	mutant := Mutant{Operator: Keeping, State: s.Name, Path: path + ".keep." + k.Name, Was: k.Name + ": " + string(k.Value)}
	zero := ""
	if m.keepers(k.Name) == 1 {
		zero = m.keptZero(k.Name)
		mutant.Now = k.Name + ": " + zero
	}
	m.add(mutant, s.Name, "do not keep "+k.Name, func(d *sequence.Document) {
		keep := &stateOf(d, s.Name).Keep
		if zero == "" {
			*keep = slices.Delete(*keep, i, i+1)
			return
		}
		(*keep)[i].Value = sequence.Text(zero)
	})
}

// keepers counts the states that keep a value.
func (m *maker) keepers(name string) int {
	n := 0
	for i := range m.base.States {
		if slices.ContainsFunc(m.base.States[i].Keep, func(k sequence.Keep) bool { return k.Name == name }) {
			n++
		}
	}
	return n
}

// keptZero is what a kept value is at the start of a run.
func (m *maker) keptZero(name string) string {
	kept := m.program.About().Kept
	i := slices.IndexFunc(kept, func(s sequence.Signal) bool { return s.Name == name })
	return string(kept[i].AppendInput(nil, &sequence.Inputs{}))
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
			a.Keep, b.Keep = b.Keep, a.Keep
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

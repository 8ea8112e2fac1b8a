package binding

import (
	"holdbench/sequence/st"
)

// Mutant is a program with one small mistake.
type Mutant struct {
	st.Mutation
	InState string // the state of the binding that it is in; empty outside, or where flags are the state

	logic *Logic
}

// Mutants lists the small mistakes of a program that still compile, in the order of its text.
func (l *Logic) Mutants() []Mutant {
	var list []Mutant
	for _, m := range l.program.Mutations() {
		list = append(list, Mutant{m, l.stateOfLabel(m), l})
	}
	return list
}

// Make is the program with the mistake. The error is what the checks of the binding find.
func (m *Mutant) Make() (*Logic, error) {
	made, _, err := New(m.logic.doc, m.logic.program.File, []byte(m.Apply(m.logic.program.Text)))
	return made, err
}

// File is the file of the program.
func (l *Logic) File() string { return l.program.File }

// stateOfLabel is the state that the label of a branch stands for.
func (l *Logic) stateOfLabel(m st.Mutation) string {
	if l.state.flags != nil || m.Block != l.block.Name || m.State == "" {
		return ""
	}
	value, ok := parseValue(l.state.handle.Type(), m.State)
	for _, v := range l.state.values {
		if ok && v.whole == value {
			return l.about.States[v.state].Name
		}
	}
	return ""
}

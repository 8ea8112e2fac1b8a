package mutation

import (
	"slices"

	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sequence/st"
)

// ProgramMutants makes every mutant of a program, in the order of its text.
func ProgramMutants(l *binding.Logic) []Mutant {
	var list []Mutant
	for _, m := range l.Mutants() {
		list = append(list, Mutant{
			ID: m.ID, Operator: Operator(m.Kind), State: m.InState, Was: m.Was, Now: m.Now, Line: m.Line,
			Program: func() (sequence.Logic, error) {
				made, err := m.Make()
				if err != nil {
					return nil, err // and not a Logic that is not nil
				}
				return made, nil
			},
		})
	}
	return list
}

// allOperators lists the kinds of errors, those of a document and then those that only a program has.
func allOperators() []Operator {
	list := Operators()
	for _, k := range st.MutationKinds() {
		if !slices.Contains(list, Operator(k)) {
			list = append(list, Operator(k))
		}
	}
	return list
}

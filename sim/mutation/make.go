package mutation

import (
	"crypto/sha256"
	"fmt"
	"slices"

	"holdbench/sequence"
)

// maker collects the mutants of a document.
type maker struct {
	base    sequence.Document
	program *sequence.Program
	list    []Mutant
	seen    map[[sha256.Size]byte]bool // documents
	ids     map[string]int
}

// Mutants makes every mutant of a sequence, in the order of the document. Those that equal the
// sequence or an earlier mutant are left out. The error is that of a sequence that does not
// compile.
func Mutants(d sequence.Document) ([]Mutant, error) {
	program, err := sequence.Compile(d, nil)
	if err != nil {
		return nil, err
	}
	m := &maker{base: normalised(d), program: program, seen: map[[sha256.Size]byte]bool{}, ids: map[string]int{}}
	m.seen[fingerprint(&m.base)] = true
	for i := range m.base.States {
		m.state(&m.base.States[i])
	}
	m.swapStates()
	m.transitions("", m.base.Any)
	for i := range m.base.Any {
		m.removeAny(i)
	}
	return m.list, nil
}

// add makes a mutant by changing a copy of the document.
func (m *maker) add(mutant Mutant, place, what string, change func(d *sequence.Document)) {
	mutant.Document = m.base.Clone()
	change(&mutant.Document)
	key := fingerprint(&mutant.Document)
	if m.seen[key] {
		return
	}
	m.seen[key] = true
	mutant.ID = place + ": " + what
	m.ids[mutant.ID]++
	if n := m.ids[mutant.ID]; n > 1 {
		mutant.ID += fmt.Sprintf(" (%d)", n)
	}
	m.list = append(m.list, mutant)
}

// normalised is the document with every condition written from its tree, so that two conditions
// that differ only in blanks are equal.
func normalised(d sequence.Document) sequence.Document {
	d = d.Clone()
	again := func(list []sequence.Transition) {
		for i := range list {
			if e, err := sequence.ParseExpr(string(list[i].When)); err == nil {
				list[i].When = text(e.Node)
			}
		}
	}
	for i := range d.States {
		again(d.States[i].Go)
	}
	again(d.Any)
	return d
}

func fingerprint(d *sequence.Document) [sha256.Size]byte {
	return sha256.Sum256(fmt.Appendf(nil, "%#v", *d))
}

// stateOf finds a state of a document by its name.
func stateOf(d *sequence.Document, name string) *sequence.State {
	i := slices.IndexFunc(d.States, func(s sequence.State) bool { return s.Name == name })
	return &d.States[i] // every name comes from the document
}

// transitionsOf are those of a state, or those under any for no name.
func transitionsOf(d *sequence.Document, state string) *[]sequence.Transition {
	if state == "" {
		return &d.Any
	}
	return &stateOf(d, state).Go
}

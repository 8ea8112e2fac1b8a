package scenarios

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/agnivade/levenshtein"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// CaseOfRig is [sim.NewCaseOf] for a rig that is not read with a scenario; reference is that of the rig. A rig's
// value of a parameter that is wrong has its place in the document of the rig.
func CaseOfRig(s sim.Scenario, reference string, rig *plant.Rig, logic sequence.Logic) (*sim.Case, problem.List, error) {
	at := rigAt(reference)
	ready, warnings, err := newCase(s, rig, logic)
	return ready, at.place(warnings), at.place(problem.Of(err)).OrNil()
}

// doubtfulValues are the values of a rig by itself that are wrong with the built-in sequence for it. They are
// warnings, as it is not known which sequence will test the rig.
func doubtfulValues(reference string, rig *plant.Rig) problem.List {
	name := SequenceFor(rig, "")
	logic, _, err := LoadLogic(name, Below)
	if err != nil {
		return nil
	}
	_, found, err := newCase(sim.Scenario{Scenario: "vet", Title: "vet"}, rig, logic)
	var doubtful problem.List
	for _, p := range append(problem.Of(err), found...) {
		if _, ok := sim.InRig(p.Path); ok && !p.Warning {
			p.Message = "with sequence " + name + ": " + p.Message
			doubtful = append(doubtful, p.AsWarning())
		}
	}
	return rigAt(reference).place(doubtful)
}

// newCase is [sim.NewCaseOf] after a look at the names of the values that the rig has for sequences.
func newCase(s sim.Scenario, rig *plant.Rig, logic sequence.Logic) (*sim.Case, problem.List, error) {
	unknown, err := unknownValues(rig, logic.About()).Split()
	if err != nil {
		return nil, unknown, err
	}
	ready, warnings, err := sim.NewCaseOf(s, *rig, logic)
	return ready, append(unknown, warnings...), err
}

// rigPlace is where a rig is written: the whole of a document, or a part of one.
type rigPlace struct {
	source *source // nil if it is not known
	prefix string
}

// rigAt is the place of a rig by itself. One that cannot be read any more has none.
func rigAt(reference string) rigPlace {
	name, text, err := find(RigKind, reference, "")
	if err != nil {
		return rigPlace{}
	}
	return rigPlace{&source{name: name, text: text}, "$"}
}

// place sets the lines of problems with a rig's values for sequences.
func (r rigPlace) place(found problem.List) problem.List {
	found = slices.Clone(found)
	for i, p := range found {
		if within, ok := sim.InRig(p.Path); ok && p.File == "" && r.source != nil {
			p.Path = within
			found[i] = r.source.located(r.prefix, problem.List{p})[0]
		}
	}
	return found
}

// unknownValues are the values of a rig that are for no parameter of the sequence. A rig may have values for
// other sequences: what is not a parameter of a built-in one is an error where it is one of the sequence
// misspelt, and else a warning.
func unknownValues(rig *plant.Rig, d *sequence.Description) problem.List {
	var found problem.List
	for _, name := range slices.Sorted(maps.Keys(rig.Sequence)) {
		if _, ok := d.Param(name); ok || slices.Contains(builtinParams(), name) {
			continue
		}
		near := misspelt(name, d.ParamNames(), rig.Sequence)
		if near == "" {
			near = misspelt(name, builtinParams(), rig.Sequence)
		}
		if near != "" {
			found.Add(sim.RigValuePath(name), "%s has no parameter %q; the nearest valid one is %q", d.Title(), name, near)
			continue
		}
		found.Warn(sim.RigValuePath(name), "%s has no parameter %q: the value is not used", d.Title(), name)
	}
	return found
}

// misspelt is the parameter that a name is a misspelling of, empty if it is of none: some letters differ and no
// unit, or the unit is missing, and the rig does not have that parameter, too.
func misspelt(name string, params []string, given map[string]string) string {
	if len(name) > maxName {
		return ""
	}
	unit := sequence.UnitOf(name)
	for _, p := range params {
		if _, both := given[p]; both {
			continue
		}
		bare := unit == sequence.Unit{} && strings.HasPrefix(p, name+"_")
		if bare || unit == sequence.UnitOf(p) && levenshtein.ComputeDistance(name, p) <= 1+len(name)/8 {
			return p
		}
	}
	return ""
}

// maxName bounds the names that are compared.
const maxName = 64

// builtinParams are the parameters of all built-in sequences.
//
//nolint:gochecknoglobals // made once, never changed
var builtinParams = sync.OnceValue(func() []string {
	var names []string
	for _, name := range Names(SequenceKind) {
		if logic, _, err := LoadLogic(name, Below); err == nil {
			names = append(names, logic.About().ParamNames()...)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
})

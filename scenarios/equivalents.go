package scenarios

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim/mutation"
)

// Equivalents are mutants of a sequence that no scenario can detect, each with its reason.
type Equivalents struct {
	Arguments []mutation.Argument
	source    *source
}

// EquivalentsDocument is the document as written.
type EquivalentsDocument struct {
	Equivalents string              `yaml:"equivalents"` // name of the sequence
	Mutants     []mutation.Argument `yaml:"mutants"`
}

// LoadEquivalents reads the arguments for the mutants of a sequence from a file. An
// entry that names none of the mutants is wrong; the error is a [problem.List] then.
func LoadEquivalents(file, sequenceName string, mutants []mutation.Mutant) (*Equivalents, error) {
	text, err := readBounded(file)
	if err != nil {
		return nil, fmt.Errorf("cannot read equivalents: %w", err)
	}
	return readEquivalents(file, text, sequenceName, mutants)
}

// BuiltinEquivalents does the same with what is built in for a sequence; there are no
// arguments for one that has none.
func BuiltinEquivalents(sequenceName string, mutants []mutation.Mutant) (*Equivalents, error) {
	file := "equivalents/" + sequenceName + ".yaml"
	text, err := builtin.ReadFile(file)
	if err != nil {
		return &Equivalents{}, nil
	}
	return readEquivalents("builtin:"+file, text, sequenceName, mutants)
}

func readEquivalents(name string, text []byte, sequenceName string, mutants []mutation.Mutant) (*Equivalents, error) {
	src, err := read(name, text)
	if err != nil {
		return nil, err
	}
	var d EquivalentsDocument
	if err := src.decode("$", src.root(), &d); err != nil {
		return nil, err
	}
	if d.Equivalents != sequenceName {
		return nil, problem.List{src.problem("$.equivalents", 0, fmt.Sprintf(
			"equivalents is %q; must be %q, the name of the sequence that is checked", clipped(d.Equivalents), sequenceName))}
	}
	e := &Equivalents{Arguments: d.Mutants, source: src}
	return e, e.check(mutants).OrNil()
}

// check requires every entry to name a mutant once and to give a reason.
func (e *Equivalents) check(mutants []mutation.Mutant) problem.List {
	var ids []string
	for i := range mutants {
		ids = append(ids, mutants[i].ID)
	}
	var found problem.List
	wrong := func(i int, key, message string) {
		found = append(found, e.source.problem(fmt.Sprintf("$.mutants[%d]%s", i, key), 0, message))
	}
	for i, a := range e.Arguments {
		if !slices.Contains(ids, a.Mutant) {
			wrong(i, ".mutant", fmt.Sprintf("the sequence has no mutant %q; %s", a.Mutant, sequence.Suggest(a.Mutant, ids)))
		}
		if e.at(a.Mutant) < i {
			wrong(i, ".mutant", fmt.Sprintf("mutant %q is listed twice; must be listed once", a.Mutant))
		}
		if strings.TrimSpace(a.Because) == "" {
			wrong(i, ".because", "because is missing; must say why no scenario can detect the mutant")
		}
	}
	return found
}

func (e *Equivalents) at(id string) int {
	return slices.IndexFunc(e.Arguments, func(a mutation.Argument) bool { return a.Mutant == id })
}

// Stale reports an entry that the outcome contradicts; nil if it still holds.
func (e *Equivalents) Stale(o *mutation.Outcome) error {
	if !o.Stale {
		return nil
	}
	what := "is rejected by vet and does not count"
	if o.Status == mutation.Detected {
		what = "is detected by " + o.By
	}
	return e.source.problem(fmt.Sprintf("$.mutants[%d].mutant", e.at(o.Mutant.ID)), 0,
		fmt.Sprintf("no longer equivalent: mutant %q %s; remove the entry", o.Mutant.ID, what))
}

// Lines returns the line of a path in a document, and the document's name in messages.
func Lines(kind Kind, reference string) (name string, line func(path string) int, err error) {
	name, text, err := find(kind, reference, "")
	if err != nil {
		return "", nil, err
	}
	src, err := read(name, text)
	if err != nil {
		return "", nil, err
	}
	return name, func(path string) int { return src.within(path, 0).line }, nil
}

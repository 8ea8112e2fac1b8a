package schema

import (
	"maps"
	"reflect"
	"slices"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// Document is a kind of document that a person writes.
type Document struct {
	Name  string // of the kind
	About string
	read  reflect.Type // what the reader makes of it
	named bool         // its first key is the name, and says which kind it is
}

// The kinds of documents.
const (
	Rig         = "rig"
	Sequence    = "sequence"
	Scenario    = "scenario"
	Binding     = "binding"
	Accept      = "accept"
	Equivalents = "equivalents"
	Course      = "course"
)

// Documents lists all kinds of documents.
func Documents() []Document {
	return []Document{
		{Rig, "one axis in machine terms, with the engineering data of its test", reflect.TypeFor[plant.Rig](), true},
		{Sequence, "the functional side of a brake test as a state machine", reflect.TypeFor[sequence.Document](), true},
		{Scenario, "a run: rig, sequence, faults, and what must come of it", reflect.TypeFor[sim.Scenario](), true},
		{Binding, "which variables of a program in Structured Text are the signals of the bench", reflect.TypeFor[binding.Document](), true},
		{Accept, "dangerous outcomes of a probe that a reviewer accepts by name", reflect.TypeFor[probe.Acceptances](), true},
		{Equivalents, "mutants of a sequence that no scenario can detect, with reasons", reflect.TypeFor[scenarios.EquivalentsDocument](), true},
		{Course, "lessons in chapters, in the order in which they are learned", reflect.TypeFor[scenarios.Course](), true},
	}
}

// find is a kind by name. It panics on a name that is none.
func find(name string) Document {
	all := Documents()
	i := slices.IndexFunc(all, func(d Document) bool { return d.Name == name })
	if i < 0 {
		panic("schema: no kind of document " + name)
	}
	return all[i]
}

// Of is the shape of a kind of document. It panics on a name that is none.
func Of(kind string) *Shape {
	b := newBuilder()
	d := find(kind)
	s := b.document(d)
	for i := range s.Keys { // the name
		s.Keys[i].Required = s.Keys[i].Required || s.Keys[i].Name == d.Name
	}
	s.definitions = b.definitions
	return s
}

// JSON is the JSON Schema (2020-12) of a kind of document.
func JSON(kind string) ([]byte, error) {
	s := Of(kind)
	o := s.object()
	if len(s.definitions) > 0 {
		defs := Object{}
		for _, name := range slices.Sorted(maps.Keys(s.definitions)) {
			defs[name] = s.definitions[name].object()
		}
		o["$defs"] = defs
	}
	return render(kind, "holdbench "+kind, upper(find(kind).About)+". Relations between values, and names that another document defines, are checked by holdbench vet.", o)
}

func upper(text string) string {
	first := []rune(text)
	return string(append([]rune{first[0] - 'a' + 'A'}, first[1:]...))
}

package scenarios

import (
	"bytes"
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
)

// kindOf is a document's kind, by the keys of the parsed document. One that cannot be read counts as what its
// lines name, and as a scenario unless it is clear that it is none: then its loading says what is wrong with it.
func kindOf(text []byte) (Kind, bool) {
	if src, err := read("", text); err == nil {
		kind, _ := kindOfKeys(src.keys())
		return kind, kind != ""
	}
	keys := lineKeys(text)
	kind, _ := kindOfKeys(keys)
	plain := utf8.Valid(text) && bytes.IndexByte(text, 0) < 0
	named := bytes.Contains(bytes.ToLower(text), []byte(ScenarioKind))
	if kind == "" && (len(keys) == 0 || !plain || named) {
		kind = ScenarioKind
	}
	return kind, kind != ""
}

// kindOfKeys is the kind that the keys of a document say, and the key that says it; a binding is a sequence.
// A scenario names its rig and its sequence, and a rig can hold values of a sequence, so that scenario counts
// first and sequence last.
func kindOfKeys(keys []string) (kind Kind, key string) {
	if slices.Contains(keys, string(ScenarioKind)) {
		return ScenarioKind, string(ScenarioKind)
	}
	if key := meantAsScenario(keys); key != "" {
		return ScenarioKind, key
	}
	for _, is := range []struct {
		key  string
		kind Kind
	}{{string(RigKind), RigKind}, {string(SequenceKind), SequenceKind}, {bindingKey, SequenceKind}} {
		if slices.Contains(keys, is.key) {
			return is.kind, is.key
		}
	}
	return "", ""
}

// meantAsScenario is the key by which a document without the key scenario is one all the same: a misspelt one,
// or one that scenarios alone have, if it is not the only sign. Empty if as many keys are of other kinds.
func meantAsScenario(keys []string) string {
	own, others := scenarioKeys()
	misspelt, first := "", ""
	signs, against := 0, 0
	for _, key := range keys {
		_, near := sequence.Nearest(strings.ToLower(strings.TrimSpace(key)), []string{string(ScenarioKind)})
		switch {
		case slices.Contains(others, key):
			against++
		case near:
			misspelt = cmp.Or(misspelt, key)
			signs++
		case slices.Contains(own, key):
			first = cmp.Or(first, key)
			signs++
		case key == string(RigKind), key == string(SequenceKind):
			signs++
		}
	}
	switch {
	case against >= signs:
		return ""
	case misspelt == "" && signs < 2:
		return ""
	}
	return cmp.Or(misspelt, first)
}

// scenarioKeys are the keys that scenarios alone have, and those that they do not have.
func scenarioKeys() (own, others []string) {
	scenario := keyNames(reflect.TypeFor[sim.Scenario]())
	for _, t := range []reflect.Type{reflect.TypeFor[plant.Rig](), reflect.TypeFor[sequence.Document](), reflect.TypeFor[binding.Document]()} {
		others = append(others, keyNames(t)...)
	}
	own = slices.DeleteFunc(slices.Clone(scenario), func(key string) bool { return slices.Contains(others, key) })
	others = slices.DeleteFunc(others, func(key string) bool {
		return slices.Contains(scenario, key) || key == bindingKey
	})
	return own, others
}

func keyNames(t reflect.Type) []string {
	r := reader{known: map[reflect.Type]fieldSet{}}
	return r.fieldsOf(t).names
}

// keys are those of the document itself.
func (s *source) keys() []string {
	mapping, ok := s.tree.(ast.MapNode)
	if !ok {
		return nil
	}
	var list []string
	for iter := mapping.MapRange(); iter.Next(); {
		list = append(list, iter.Key().GetToken().Value)
	}
	return list
}

// lineKeys are the keys at the margin of a text that cannot be parsed, those of a list and in braces among them.
func lineKeys(text []byte) []string {
	var list []string
	for line := range strings.Lines(normalised(text)) {
		if strings.HasPrefix(line, " ") {
			continue
		}
		key, _, found := strings.Cut(strings.TrimLeft(line, `-?{ "'`), ":")
		if key = strings.TrimRight(key, `"' `); found && key != "" && !strings.HasPrefix(line, "#") {
			list = append(list, key)
		}
	}
	return list
}

// refuseKind refuses a document of another kind, once, in place of all its keys; of any kind if none is wanted,
// with what the document must be.
func (s *source) refuseKind(want Kind, must string) error {
	is, key := kindOfKeys(s.keys())
	if is == "" || is == want {
		return nil
	}
	p, _ := place{node: s.tree}.child(key)
	at := s.atToken(p.key)
	message := wrongKind(want, is)
	if want == "" {
		message = fmt.Sprintf("this is a %s; must be %s", is, must)
	}
	return problem.List{{File: s.name, Line: at.line, Column: at.column, Message: message}}
}

// refuseBuiltin refuses the name of a built-in document of another kind.
func refuseBuiltin(want Kind, name string) error {
	for _, kind := range Kinds() {
		if kind != want && slices.Contains(Names(kind), name) {
			return fmt.Errorf("%s: %s", name, wrongKind(want, kind))
		}
	}
	return nil
}

// wrongKind says what a document is, and where one of its kind goes.
func wrongKind(want, is Kind) string {
	if is == ScenarioKind {
		return fmt.Sprintf("this is a scenario; must be a %s", want)
	}
	return fmt.Sprintf("this is a %s: use --%s; must be a %s here", is, is, want)
}

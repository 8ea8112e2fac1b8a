package schema

import (
	"fmt"
	"reflect"
	"time"

	"github.com/goccy/go-yaml"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// builder makes shapes of the types that documents are read into, as the reader of package scenarios
// goes through them.
type builder struct {
	definitions map[string]*Shape // documents that another one can hold
	notes       map[string]string
	special     map[string]func() *Shape
	required    map[string]bool
	defaults    plant.Rig
}

func newBuilder() *builder {
	b := &builder{definitions: map[string]*Shape{}, notes: notes(), defaults: plant.Defaults(), required: map[string]bool{}}
	b.special = b.specialKeys()
	for _, id := range requiredKeys() {
		b.required[id] = true
	}
	return b
}

// document is the shape of a whole document, also of one that stands in a scenario.
func (b *builder) document(d Document) *Shape {
	s := b.mapping(d.read, "")
	if rules := wholeRules(d.Name); rules != nil {
		for key, rule := range rules {
			s.Rules[key] = rule
		}
	}
	return s
}

// value is the shape of a type; path leads to it in a rig and is empty elsewhere.
func (b *builder) value(t reflect.Type, path string) *Shape {
	if s := b.short(t); s != nil {
		return s
	}
	if reflect.PointerTo(t).Implements(reflect.TypeFor[yaml.NodeUnmarshaler]()) {
		if t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct && isTagged(t.Elem()) {
			return byName(b.value(t.Elem(), ""))
		}
		if t.Kind() != reflect.Struct || !isTagged(t) {
			panic(fmt.Sprintf("schema: %v reads itself, and its form is not known here", t))
		}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return b.value(t.Elem(), path)
	case reflect.Struct:
		return b.mapping(t, path)
	case reflect.Map:
		return byName(b.value(t.Elem(), ""))
	case reflect.Slice:
		return list(b.value(t.Elem(), ""))
	}
	return scalar(t)
}

// short is the shape of a type that has a short form or none of its own; nil for any other.
func (b *builder) short(t reflect.Type) *Shape {
	switch t {
	case reflect.TypeFor[time.Duration]():
		return duration()
	case reflect.TypeFor[sim.Moment]():
		return b.moment(t)
	case reflect.TypeFor[sim.Broken]():
		s := list(b.mapping(reflect.TypeFor[sim.BrokenObligation](), ""))
		s.Rules["type"], s.Rules["pattern"], s.Says = []string{"array", "null", "string"}, "^all$", "all, or a list"
		return s
	case reflect.TypeFor[sim.Causes](), reflect.TypeFor[probe.Names]():
		return oneOrSeveral(text())
	case reflect.TypeFor[binding.Values]():
		s := oneOrSeveral(text())
		delete(s.Rules, "minItems")
		return s
	case reflect.TypeFor[binding.Flags]():
		return flagWords(text())
	case reflect.TypeFor[sequence.Text]():
		return expression()
	case reflect.TypeFor[binding.Link](), reflect.TypeFor[binding.StateOf](), reflect.TypeFor[binding.Param]():
		s := b.mapping(t, "")
		s.Rules["type"], s.Says = []string{"string", "number", "boolean", "object"}, "a text, or keys"
		return s
	case reflect.TypeFor[sequence.Params]():
		return named(expression(), "NAME")
	case reflect.TypeFor[sequence.Keeps]():
		return named(expression(), "NAME")
	case reflect.TypeFor[sequence.Roles]():
		return roles()
	case reflect.TypeFor[sequence.Settings]():
		return settings()
	case reflect.TypeFor[sequence.Ends]():
		return named(words(sequence.EndWords()), "STATE")
	case reflect.TypeFor[sequence.States]():
		s := named(b.mapping(reflect.TypeFor[sequence.State](), ""), "STATE")
		s.Rules["minProperties"] = 1
		return s
	}
	return nil
}

// mapping is the shape of a struct.
func (b *builder) mapping(t reflect.Type, path string) *Shape {
	s := &Shape{Rules: Object{"type": []string{"object", "null"}}, Says: "keys", Keys: []Key{}}
	for _, k := range scenarios.KeysOf(t) {
		s.Keys = append(s.Keys, b.key(t, k.Type, k.Name, path))
	}
	if rules := rulesOf(t); rules != nil {
		for key, rule := range rules {
			s.Rules[key] = rule
		}
	}
	for i := range s.Keys {
		if s.Keys[i].Required {
			s.Rules["type"] = "object"
		}
	}
	return s
}

// key is one key of a struct. A value of a rig is described by the table of fields, the rest by notes.
func (b *builder) key(in, t reflect.Type, name, path string) Key {
	at := name
	if path != "" {
		at = path + "." + name
	}
	inRig := in == reflect.TypeFor[plant.Rig]() || path != ""
	if f, ok := plant.FindField(at); inRig && ok {
		return b.field(name, f)
	}
	id := in.String() + "." + name
	k := Key{Name: name, Note: b.notes[id], Required: b.required[id]}
	switch special := b.special[id]; {
	case special != nil:
		k.Shape = special()
	case inRig && t.Kind() == reflect.Struct:
		k.Shape = b.value(t, at)
	default:
		k.Shape = b.value(t, "")
	}
	if t == reflect.TypeFor[sequence.Text]() && !k.Required {
		k.Shape = orNothing(k.Shape)
	}
	if inRig {
		k.Required = hasRequired(k.Shape)
	}
	return k
}

func hasRequired(s *Shape) bool {
	for i := range s.Keys {
		if s.Keys[i].Required {
			return true
		}
	}
	return false
}

// isTagged reports whether the tags of a type name all its keys.
func isTagged(t reflect.Type) bool {
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("yaml") == "" {
			return false
		}
	}
	return true
}

func (b *builder) moment(t reflect.Type) *Shape {
	s := b.mapping(t, "")
	s.Rules["type"], s.Rules["pattern"], s.Says = []string{"string", "object", "null"}, "^start$", "start, or keys"
	return s
}

// inPlace is a name of a document, or the document itself.
func (b *builder) inPlace(kinds ...string) *Shape {
	for _, kind := range kinds {
		if b.definitions[kind] == nil {
			b.definitions[kind] = &Shape{} // a document holds no document of its own kind
			b.definitions[kind] = b.document(find(kind))
		}
	}
	then := Object{"$ref": "#/$defs/" + kinds[0]}
	if len(kinds) > 1 {
		then = Object{"if": Object{"required": []string{kinds[1]}}, "then": Object{"$ref": "#/$defs/" + kinds[1]}, "else": then}
	}
	return &Shape{Rules: Object{
		"type": []string{"string", "number", "boolean", "object"}, "if": Object{"type": "object"}, "then": then,
	}, Says: "a built-in name, a file, or the document itself"}
}

package scenarios

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// reader takes the values of a tree into a Go value. The library's decoder would stop at
// the first fault and let much pass: it cuts 1.9 down to the integer 1, takes text for a
// number, and reads an untyped nan. Here every fault is found and named.
type reader struct {
	findings
	known map[reflect.Type]fieldSet
	later []func() error // what reads itself does so when nothing else is wrong
}

// wrong reports a value that is not what it must be.
func (r *reader) wrong(p place, must string) {
	name := p.label
	if name == "" {
		name = "document"
	}
	if isNull(p.node) {
		r.add(p.token(), "%s has no value; must be %s", name, must)
		return
	}
	r.add(p.token(), "%s is %s; must be %s", name, found(p.node), must)
}

// value reads the value at a place.
func (r *reader) value(p place, v reflect.Value) {
	switch into := v.Addr().Interface().(type) {
	case *time.Duration:
		r.duration(p, into)
	case *sim.Moment:
		r.moment(p, into)
	case *sim.Broken:
		r.broken(p, into)
	case *sim.Causes:
		r.causes(p, into)
	case *probe.Names:
		r.names(p, into)
	case *sim.Reference:
		r.reference(p, into)
	case yaml.NodeUnmarshaler:
		r.custom(p, v.Type())
		r.later = append(r.later, func() error { return into.UnmarshalYAML(p.node) })
	default:
		r.kind(p, v)
	}
}

func (r *reader) kind(p place, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		r.pointer(p, v)
	case reflect.Struct:
		if mapping, ok := r.mapping(p); ok {
			r.fields(p, mapping, v)
		}
	case reflect.Map:
		if mapping, ok := r.mapping(p); ok {
			r.entries(p, mapping, v)
		}
	case reflect.Slice:
		r.items(p, v)
	default:
		r.scalar(p, v)
	}
}

// pointer points to a new value. Keys left out leave it as it is.
func (r *reader) pointer(p place, v reflect.Value) {
	to := reflect.New(v.Type().Elem())
	if isNull(p.node) && to.Elem().Kind() == reflect.Struct {
		return
	}
	r.value(p, to.Elem())
	v.Set(to)
}

// custom checks the keys of a type that reads itself as far as its tags name them; the
// rest is left to the type.
func (r *reader) custom(p place, t reflect.Type) {
	mapping, isMapping := p.node.(ast.MapNode)
	list, isList := p.node.(*ast.SequenceNode)
	nested := reader{findings: r.findings, known: r.known}
	switch {
	case t.Kind() == reflect.Struct && isMapping && isTagged(t):
		nested.fields(p, mapping, reflect.New(t).Elem())
	case t.Kind() == reflect.Slice && isList:
		nested.list(p, list, reflect.New(t).Elem())
	case t.Kind() == reflect.Slice && isMapping && isTagged(t.Elem()):
		nested.entries(p, mapping, reflect.New(reflect.MapOf(reflect.TypeFor[string](), t.Elem())).Elem()) // it keeps its order
	}
	r.findings = nested.findings
}

// mapping is the value as a mapping. Nothing at all is a mapping without keys, so that
// a block can be commented out.
func (r *reader) mapping(p place) (ast.MapNode, bool) {
	mapping, ok := p.node.(ast.MapNode)
	if !ok && !isNull(p.node) {
		r.wrong(p, "keys with values")
	}
	return mapping, ok
}

func (r *reader) fields(p place, mapping ast.MapNode, v reflect.Value) {
	known := r.fieldsOf(v.Type())
	for iter := mapping.MapRange(); iter.Next(); {
		tk := iter.Key().GetToken()
		if index, ok := known.index[tk.Value]; ok {
			r.value(place{label: joined(p.label, tk.Value), key: tk, node: iter.Value()}, v.FieldByIndex(index))
			continue
		}
		in := ""
		if p.label != "" {
			in = " in " + p.label
		}
		right := sequence.Suggest(tk.Value, known.names)
		if now := plant.Renamed(joined(p.label, tk.Value)); now != "" {
			right = "it is " + now + " now"
		}
		r.add(tk, "unknown key %q%s; %s", clipped(tk.Value), in, right)
	}
}

func (r *reader) entries(p place, mapping ast.MapNode, v reflect.Value) {
	v.Set(reflect.MakeMap(v.Type()))
	for iter := mapping.MapRange(); iter.Next(); {
		tk := iter.Key().GetToken()
		value := reflect.New(v.Type().Elem()).Elem()
		r.value(place{label: joined(p.label, tk.Value), key: tk, node: iter.Value()}, value)
		v.SetMapIndex(reflect.ValueOf(tk.Value), value)
	}
}

func (r *reader) items(p place, v reflect.Value) {
	list, ok := p.node.(*ast.SequenceNode)
	if ok {
		r.list(p, list, v)
	} else if !isNull(p.node) {
		r.wrong(p, "a list")
	}
}

func (r *reader) list(p place, list *ast.SequenceNode, v reflect.Value) {
	v.Set(reflect.MakeSlice(v.Type(), len(list.Values), len(list.Values)))
	for i, node := range list.Values {
		item := place{label: joined(p.label, fmt.Sprintf("[%d]", i)), node: node}
		if isNull(node) {
			r.add(item.token(), "%s has no value; must be an item of the list", item.label)
			continue
		}
		r.value(item, v.Index(i))
	}
}

// inline is the option of a tag of a struct whose keys stand among those of the struct around it.
const inline = "inline"

// fieldSet is the keys of a struct, in its order, and where their values go.
type fieldSet struct {
	names []string
	index map[string][]int
}

func (r *reader) fieldsOf(t reflect.Type) fieldSet {
	f, ok := r.known[t]
	if ok {
		return f
	}
	f.index = map[string][]int{}
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "-" || !t.Field(i).IsExported() {
			continue
		}
		if options == inline {
			part := r.fieldsOf(t.Field(i).Type)
			f.names = append(f.names, part.names...)
			for key, index := range part.index {
				f.index[key] = append([]int{i}, index...)
			}
			continue
		}
		if name == "" {
			name = strings.ToLower(t.Field(i).Name) // as the library does
		}
		f.names = append(f.names, name)
		f.index[name] = []int{i}
	}
	r.known[t] = f
	return f
}

// isTagged reports whether the tags of a type name all its keys.
func isTagged(t reflect.Type) bool {
	if t.Kind() != reflect.Struct {
		return false
	}
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("yaml") == "" {
			return false
		}
	}
	return true
}

// KeyOf is a key that a document can have, and the type of its value.
type KeyOf struct {
	Name string
	Type reflect.Type
}

// KeysOf are the keys that the reader takes in a mapping that it reads into a struct, in their order.
func KeysOf(t reflect.Type) []KeyOf {
	r := reader{known: map[reflect.Type]fieldSet{}}
	known := r.fieldsOf(t)
	list := make([]KeyOf, len(known.names))
	for i, name := range known.names {
		list[i] = KeyOf{name, t.FieldByIndex(known.index[name]).Type}
	}
	return list
}

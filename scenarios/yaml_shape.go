package scenarios

import (
	"encoding"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"

	"holdbench/sequence"
)

// checker holds a tree against a Go type before it is decoded. The decoder stops at
// the first fault and lets much pass: it cuts 1.9 down to the integer 1, takes text
// for a number, and reads an untyped nan. Here every fault is found and named.
type checker struct{ findings }

// wrong reports a value that is not what it must be.
func (c *checker) wrong(p place, must string) {
	name := p.label
	if name == "" {
		name = "document"
	}
	if isNull(p.node) {
		c.add(p.token(), "%s has no value; must be %s", name, must)
		return
	}
	c.add(p.token(), "%s is %s; must be %s", name, found(p.node), must)
}

func (c *checker) value(p place, t reflect.Type) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == reflect.TypeFor[time.Duration]():
		c.duration(p)
	case readsItself(t):
		c.custom(p, t)
	default:
		c.kind(p, t)
	}
}

func (c *checker) kind(p place, t reflect.Type) {
	switch t.Kind() {
	case reflect.Struct:
		if mapping, ok := c.mapping(p); ok {
			c.fields(p, mapping, t)
		}
	case reflect.Map:
		if mapping, ok := c.mapping(p); ok {
			c.entries(p, mapping, t.Elem())
		}
	case reflect.Slice, reflect.Array:
		c.items(p, t.Elem())
	case reflect.Interface:
		// anything goes
	default:
		c.scalar(p, t)
	}
}

// custom looks into a type that reads itself as far as its fields tell its keys; what
// else it takes is its own affair.
func (c *checker) custom(p place, t reflect.Type) {
	mapping, isMapping := p.node.(ast.MapNode)
	list, isList := p.node.(*ast.SequenceNode)
	switch {
	case t.Kind() == reflect.Struct && isMapping && isTagged(t):
		c.fields(p, mapping, t)
	case t.Kind() == reflect.Slice && isList:
		c.list(p, list, t.Elem())
	case t.Kind() == reflect.Slice && isMapping && isTagged(t.Elem()):
		c.entries(p, mapping, t.Elem()) // a map that keeps its order
	}
}

// mapping is the value as a mapping. Nothing at all is a mapping without keys, so that
// a block can be commented out.
func (c *checker) mapping(p place) (ast.MapNode, bool) {
	mapping, ok := p.node.(ast.MapNode)
	if !ok && !isNull(p.node) {
		c.wrong(p, "keys with values")
	}
	return mapping, ok
}

func (c *checker) fields(p place, mapping ast.MapNode, t reflect.Type) {
	names, types := yamlFields(t)
	for iter := mapping.MapRange(); iter.Next(); {
		tk := iter.Key().GetToken()
		inner := place{label: joined(p.label, tk.Value), key: tk, node: iter.Value()}
		if fieldType, ok := types[tk.Value]; ok {
			c.value(inner, fieldType)
			continue
		}
		in := ""
		if p.label != "" {
			in = " in " + p.label
		}
		c.add(tk, "unknown key %q%s; %s", clipped(tk.Value), in, sequence.Suggest(tk.Value, names))
	}
}

func (c *checker) entries(p place, mapping ast.MapNode, t reflect.Type) {
	for iter := mapping.MapRange(); iter.Next(); {
		tk := iter.Key().GetToken()
		c.value(place{label: joined(p.label, tk.Value), key: tk, node: iter.Value()}, t)
	}
}

func (c *checker) items(p place, t reflect.Type) {
	list, ok := p.node.(*ast.SequenceNode)
	if ok {
		c.list(p, list, t)
	} else if !isNull(p.node) {
		c.wrong(p, "a list")
	}
}

func (c *checker) list(p place, list *ast.SequenceNode, t reflect.Type) {
	for i, node := range list.Values {
		item := place{label: joined(p.label, fmt.Sprintf("[%d]", i)), node: node}
		if isNull(node) {
			c.add(item.token(), "%s has no value; must be an item of the list", item.label)
			continue
		}
		c.value(item, t)
	}
}

// yamlFields lists the keys of a struct, in its order, with the types of their values.
func yamlFields(t reflect.Type) (names []string, types map[string]reflect.Type) {
	types = map[string]reflect.Type{}
	for i := range t.NumField() {
		field := t.Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("yaml"), ",")
		if name == "-" || !field.IsExported() {
			continue
		}
		if strings.Contains(options, "inline") {
			more, moreTypes := yamlFields(field.Type)
			names = append(names, more...)
			for key, value := range moreTypes {
				types[key] = value
			}
			continue
		}
		if name == "" {
			name = strings.ToLower(field.Name) // as the decoder does
		}
		names = append(names, name)
		types[name] = field.Type
	}
	return names, types
}

// isTagged tells whether the tags of a type name all its keys.
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

// readsItself tells whether the decoder leaves a type to a method of its own.
func readsItself(t reflect.Type) bool {
	p := reflect.PointerTo(t)
	return p.Implements(reflect.TypeFor[yaml.NodeUnmarshaler]()) ||
		p.Implements(reflect.TypeFor[yaml.BytesUnmarshaler]()) ||
		p.Implements(reflect.TypeFor[yaml.InterfaceUnmarshaler]()) ||
		p.Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
}

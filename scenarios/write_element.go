package scenarios

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"

	"holdbench/sim"
)

// form is what a value is in a document.
type form uint8

const (
	bareForm form = iota // a number, a time, true, nothing: written as it is
	textForm             // words, in quotes where needed
	keysForm
	listForm
)

// element is a value to be written into a document.
type element struct {
	form    form
	text    string
	exact   bool // the text must not look like a number: a reader could not tell that it is none
	lines   bool // the text was written below | or >: some readers remove its last line end
	block   bool // keys and items have their own lines, however short
	entries []entry
}

// entry is a key with its value, or an item of a list.
type entry struct {
	key    string
	value  element
	remark string
}

// elementOf turns a Go value into an element by the tags and methods that the decoder
// uses; path is its place for messages.
func elementOf(v reflect.Value, path string) (element, error) {
	if v.IsValid() && v.CanInterface() {
		switch x := v.Interface().(type) {
		case time.Duration:
			return element{text: durationText(x)}, nil
		case sim.Reference:
			return elementOfReference(x, path)
		case sim.Moment, sim.Broken, sim.Causes:
			v = reflect.ValueOf(short(x))
		}
	}
	return elementOfKind(v, path)
}

// elementOfReference is a name, or the document in place with the style that it has.
func elementOfReference(r sim.Reference, path string) (element, error) {
	if r.Text == "" {
		return textElement(r.Name, path)
	}
	src, err := read(path, []byte(r.Text))
	if err != nil {
		return element{}, err
	}
	return elementOfNode(src.root(), path)
}

func elementOfKind(v reflect.Value, path string) (element, error) {
	switch v.Kind() {
	case reflect.Pointer:
		return elementOf(v.Elem(), path)
	case reflect.Struct:
		return elementOfStruct(v, path)
	case reflect.Map:
		return elementOfMap(v, path)
	case reflect.Slice:
		return elementOfList(v, path)
	case reflect.String:
		return textElement(v.String(), path)
	case reflect.Bool:
		return element{text: strconv.FormatBool(v.Bool())}, nil
	case reflect.Float64:
		return element{text: fmt.Sprint(v.Float() + 0)}, nil // + 0 takes the sign off -0
	}
	if v.CanInt() || v.CanUint() {
		return element{text: fmt.Sprint(v.Interface())}, nil
	}
	return element{}, fmt.Errorf("%s is a %s; must be a value that a document can hold", path, v.Kind())
}

// elementOfStruct keeps the order of the fields. The document and the structs that
// are values of its keys are written one key a line.
func elementOfStruct(v reflect.Value, path string) (element, error) {
	e := element{form: keysForm, block: !strings.ContainsAny(path, ".[")}
	for i := range v.NumField() {
		key, options, _ := strings.Cut(v.Type().Field(i).Tag.Get("yaml"), ",")
		field := v.Field(i)
		if strings.Contains(options, "omitempty") && isEmpty(field) {
			continue
		}
		if err := e.add(key, joined(path, key), field); err != nil {
			return e, err
		}
	}
	return e, nil
}

func isEmpty(v reflect.Value) bool {
	return v.IsZero() || (v.Kind() == reflect.Slice || v.Kind() == reflect.Map) && v.Len() == 0
}

func elementOfMap(v reflect.Value, path string) (element, error) {
	e := element{form: keysForm}
	values := map[string]reflect.Value{}
	for it := v.MapRange(); it.Next(); {
		values[it.Key().String()] = it.Value()
	}
	for _, key := range slices.Sorted(maps.Keys(values)) {
		if !utf8.ValidString(key) {
			return e, fmt.Errorf("%s has the key %q; must be UTF-8", path, key)
		}
		if err := e.add(key, joined(path, key), values[key]); err != nil {
			return e, err
		}
	}
	return e, nil
}

func elementOfList(v reflect.Value, path string) (element, error) {
	e := element{form: listForm, block: v.Type().Elem().Kind() == reflect.Struct}
	for i := range v.Len() {
		if err := e.add("", joined(path, fmt.Sprintf("[%d]", i)), v.Index(i)); err != nil {
			return e, err
		}
	}
	return e, nil
}

func (e *element) add(key, path string, v reflect.Value) error {
	value, err := elementOf(v, path)
	e.entries = append(e.entries, entry{key: key, value: value})
	return err
}

func textElement(text, path string) (element, error) {
	if !utf8.ValidString(text) {
		return element{}, fmt.Errorf("%s is %q; must be UTF-8", path, clipped(text))
	}
	return element{form: textForm, text: text}, nil
}

// elementOfNode makes an element of a part of a document that was read, with its style.
func elementOfNode(node ast.Node, path string) (element, error) {
	switch n := node.(type) {
	case *ast.StringNode:
		return element{form: textForm, text: n.Value, exact: true}, nil
	case *ast.LiteralNode:
		return element{form: textForm, text: n.Value.Value, lines: true}, nil
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return element{text: node.GetToken().Value}, nil
	case *ast.NullNode:
		return element{text: "null"}, nil
	case *ast.SequenceNode:
		return elementOfItems(n, path)
	case ast.MapNode:
		return elementOfMapping(n, path)
	}
	return element{}, fmt.Errorf("%s is a %s; must be a value that a document can hold", path, node.Type().YAMLName())
}

func elementOfItems(n *ast.SequenceNode, path string) (element, error) {
	e := element{form: listForm, block: !n.IsFlowStyle}
	for i, node := range n.Values {
		value, err := elementOfNode(node, joined(path, fmt.Sprintf("[%d]", i)))
		if err != nil {
			return e, err
		}
		e.entries = append(e.entries, entry{value: value})
	}
	return e, nil
}

func elementOfMapping(n ast.MapNode, path string) (element, error) {
	e := element{form: keysForm, block: true}
	if mapping, ok := n.(*ast.MappingNode); ok {
		e.block = !mapping.IsFlowStyle
	}
	for it := n.MapRange(); it.Next(); {
		key := it.Key().GetToken().Value
		value, err := elementOfNode(it.Value(), joined(path, key))
		if err != nil {
			return e, err
		}
		e.entries = append(e.entries, entry{key: key, value: value})
	}
	return e, nil
}

// equal reports whether two elements hold the same values in any style, and otherwise
// where they differ.
func (e *element) equal(o *element, path string) (where string, ok bool) {
	otherEnd := e.lines != o.lines && strings.HasSuffix(e.text, "\n")
	if e.form != o.form || e.text != o.text || otherEnd || len(e.entries) != len(o.entries) {
		return path, false
	}
	for i := range e.entries {
		a, b := &e.entries[i], &o.entries[i]
		inner := joined(path, a.key)
		if e.form == listForm {
			inner = joined(path, fmt.Sprintf("[%d]", i))
		}
		if a.key != b.key {
			return inner, false
		}
		if where, ok := a.value.equal(&b.value, inner); !ok {
			return where, false
		}
	}
	return "", true
}

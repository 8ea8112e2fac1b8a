package scenarios

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"

	"holdbench/sequence"
)

// fit holds a tree against the type that it will be read into: unknown keys, values
// of the wrong kind. Types that read themselves are left to themselves.
func (s *source) fit(node ast.Node, into any) Problems {
	f := fitter{source: s}
	f.check(node, reflect.TypeOf(into).Elem())
	return f.found
}

type fitter struct {
	source *source
	found  Problems
}

func (f *fitter) report(node ast.Node, message string) {
	f.found = append(f.found, f.source.atToken(firstToken(node), message))
}

func (f *fitter) check(node ast.Node, t reflect.Type) {
	if readsItself(t) {
		return
	}
	switch {
	case t.Kind() == reflect.Pointer:
		f.check(node, t.Elem())
	case t == reflect.TypeFor[time.Duration]():
		f.checkDuration(node)
	case t.Kind() == reflect.Struct:
		f.checkStruct(node, t)
	case t.Kind() == reflect.Map:
		f.checkMap(node, t)
	case t.Kind() == reflect.Slice:
		f.checkSlice(node, t)
	default:
		f.checkScalar(node, t)
	}
}

func readsItself(t reflect.Type) bool {
	own := reflect.TypeFor[yaml.NodeUnmarshaler]()
	return reflect.PointerTo(t).Implements(own)
}

func (f *fitter) checkStruct(node ast.Node, t reflect.Type) {
	mapping, ok := node.(*ast.MappingNode)
	if !ok {
		f.report(node, fmt.Sprintf("found %s; must be keys and values", kindWord(node)))
		return
	}
	for _, v := range mapping.Values {
		key := keyText(v.Key)
		field, ok := fieldFor(t, key)
		if !ok {
			f.report(v, fmt.Sprintf("unknown key %q; %s", key, sequence.Suggest(key, keysOf(t))))
			continue
		}
		f.check(v.Value, field.Type)
	}
}

func (f *fitter) checkMap(node ast.Node, t reflect.Type) {
	mapping, ok := node.(*ast.MappingNode)
	if !ok {
		f.report(node, fmt.Sprintf("found %s; must be keys and values", kindWord(node)))
		return
	}
	for _, v := range mapping.Values {
		f.check(v.Value, t.Elem())
	}
}

func (f *fitter) checkSlice(node ast.Node, t reflect.Type) {
	list, ok := node.(*ast.SequenceNode)
	if !ok {
		f.report(node, fmt.Sprintf("found %s; must be a list", kindWord(node)))
		return
	}
	for _, v := range list.Values {
		f.check(v, t.Elem())
	}
}

func (f *fitter) checkDuration(node ast.Node) {
	text := scalarText(node)
	d, err := time.ParseDuration(text)
	switch {
	case err != nil || text == "0" && !isString(node):
		f.report(node, fmt.Sprintf("found %s; must be a duration with its unit, such as 250us, 8ms, 1.5s or 8h", describe(node)))
	case d < 0:
		f.report(node, fmt.Sprintf("found %s; a duration must not be negative", describe(node)))
	}
}

func (f *fitter) checkScalar(node ast.Node, t reflect.Type) {
	text := scalarText(node)
	var want string
	switch t.Kind() {
	case reflect.Float64:
		if x, err := strconv.ParseFloat(text, 64); isString(node) || err != nil || math.IsInf(x, 0) {
			want = "a number"
		}
	case reflect.Int, reflect.Int64:
		if _, err := strconv.ParseInt(text, 10, 32); isString(node) || err != nil {
			want = "a whole number"
		}
	case reflect.Uint64:
		if _, err := strconv.ParseUint(text, 10, 63); isString(node) || err != nil {
			want = "a whole number from 0 on"
		}
	case reflect.Bool:
		if _, ok := node.(*ast.BoolNode); !ok {
			want = "true or false"
		}
	case reflect.String:
		if isCollection(node) {
			want = "one value"
		}
	}
	if want != "" {
		f.report(node, fmt.Sprintf("found %s; must be %s", describe(node), want))
	}
}

// fieldFor is the field of a struct that a key is read into.
func fieldFor(t reflect.Type, key string) (reflect.StructField, bool) {
	for i := range t.NumField() {
		if name := keyOf(t.Field(i)); name != "" && name == key {
			return t.Field(i), true
		}
	}
	return reflect.StructField{}, false
}

func keysOf(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		if name := keyOf(t.Field(i)); name != "" {
			keys = append(keys, name)
		}
	}
	return keys
}

func keyOf(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
	if name == "-" {
		return ""
	}
	return name
}

func keyText(key ast.MapKeyNode) string { return scalarText(key) }

// scalarText is a scalar as written, without quotes; empty for lists and mappings.
func scalarText(node ast.Node) string {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value
	case *ast.LiteralNode:
		return n.Value.Value
	case *ast.MappingNode, *ast.MappingValueNode, *ast.SequenceNode:
		return ""
	}
	return node.GetToken().Value
}

func isString(node ast.Node) bool {
	switch node.(type) {
	case *ast.StringNode, *ast.LiteralNode:
		return true
	}
	return isCollection(node)
}

func isCollection(node ast.Node) bool {
	switch node.(type) {
	case *ast.MappingNode, *ast.MappingValueNode, *ast.SequenceNode:
		return true
	}
	return false
}

func kindWord(node ast.Node) string {
	switch node.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return "keys and values"
	case *ast.SequenceNode:
		return "a list"
	}
	return describe(node)
}

// describe is a value as messages show it, cut short.
func describe(node ast.Node) string {
	if isCollection(node) {
		return kindWord(node)
	}
	const most = 40
	text := []rune(printable(scalarText(node)))
	if len(text) > most {
		text = append(text[:most], '…')
	}
	return strconv.Quote(string(text))
}

package sequence

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// The readers below are strict by themselves: whatever the options of the
// decoder that calls them, an unknown or doubled key is an error at its token.

// UnmarshalYAML reads a whole sequence.
func (d *Document) UnmarshalYAML(node ast.Node) error {
	type plain Document
	return decodeStruct(node, (*plain)(d))
}

// UnmarshalYAML reads one transition.
func (t *Transition) UnmarshalYAML(node ast.Node) error {
	type plain Transition
	return decodeStruct(node, (*plain)(t))
}

// UnmarshalYAML reads one state; its name is its key.
func (s *State) UnmarshalYAML(node ast.Node) error {
	type plain State
	return decodeStruct(node, (*plain)(s))
}

// UnmarshalYAML reads the parameters in order.
func (p *Params) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Param{Name: key}
		err := item.Value.UnmarshalYAML(value)
		*p = append(*p, item)
		return err
	})
}

// UnmarshalYAML reads the states in order.
func (s *States) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := State{Name: key}
		err := item.UnmarshalYAML(value)
		*s = append(*s, item)
		return err
	})
}

// UnmarshalYAML reads the settings in order.
func (s *Settings) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Setting{Output: key}
		err := item.Value.UnmarshalYAML(value)
		*s = append(*s, item)
		return err
	})
}

// UnmarshalYAML reads the ends in order.
func (e *Ends) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := End{State: key}
		err := item.Kind.UnmarshalYAML(value)
		*e = append(*e, item)
		return err
	})
}

// UnmarshalYAML reads a scalar as it is written.
func (t *Text) UnmarshalYAML(node ast.Node) error {
	switch n := node.(type) {
	case *ast.StringNode:
		*t = Text(n.Value)
	case *ast.LiteralNode:
		*t = Text(strings.TrimRight(n.Value.Value, "\n"))
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		*t = Text(n.GetToken().Value)
	case *ast.NanNode, *ast.InfinityNode:
		return wrong(node, "%s is not a number to work with; a finite one is wanted", node.GetToken().Value)
	case *ast.NullNode:
		return wrong(node, "the value is missing")
	case *ast.AnchorNode, *ast.AliasNode:
		return wrong(node, "anchors and aliases are not read in a sequence; write the value out")
	default:
		return wrong(node, "a single value is wanted here, not a %s", node.Type().YAMLName())
	}
	return nil
}

// decodeStruct reads a mapping into a struct of plain fields.
func decodeStruct(node ast.Node, into any) error {
	known := yamlKeys(into)
	err := eachKeyToken(node, func(key string, at *token.Token, _ ast.Node) error {
		if indexOf(known, key) >= 0 {
			return nil
		}
		return &yaml.UnknownFieldError{
			Message: fmt.Sprintf("unknown key %q; %s", key, Suggest(key, known)), Token: at,
		}
	})
	if err != nil || isNull(node) {
		return err
	}
	return yaml.NodeToValue(node, into, yaml.Strict())
}

// yamlKeys lists the keys in the tags of the struct that into points to.
func yamlKeys(into any) []string {
	t := reflect.TypeOf(into).Elem()
	keys := make([]string, 0, t.NumField())
	for i := range t.NumField() {
		key, _, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if key != "-" {
			keys = append(keys, key)
		}
	}
	return keys
}

func eachKey(node ast.Node, visit func(string, ast.Node) error) error {
	return eachKeyToken(node, func(key string, _ *token.Token, value ast.Node) error {
		return visit(key, value)
	})
}

func eachKeyToken(node ast.Node, visit func(string, *token.Token, ast.Node) error) error {
	if isNull(node) {
		return nil
	}
	mapping, ok := node.(ast.MapNode)
	if !ok {
		return wrong(node, "keys with values are wanted here, not a %s", node.Type().YAMLName())
	}
	seen := map[string]bool{}
	for iter := mapping.MapRange(); iter.Next(); {
		at := iter.Key().GetToken()
		if seen[at.Value] {
			return &yaml.DuplicateKeyError{Message: fmt.Sprintf("key %q stands here twice", at.Value), Token: at}
		}
		seen[at.Value] = true
		if iter.Key().IsMergeKey() {
			return &yaml.SyntaxError{Message: "merge keys are not read in a sequence; write the values out", Token: at}
		}
		if err := visit(at.Value, at, iter.Value()); err != nil {
			return err
		}
	}
	return nil
}

func isNull(node ast.Node) bool {
	return node == nil || node.Type() == ast.NullType
}

func wrong(node ast.Node, format string, args ...any) error {
	return &yaml.SyntaxError{Message: fmt.Sprintf(format, args...), Token: node.GetToken()}
}

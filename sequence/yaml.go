package sequence

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// The readers below are strict by themselves: whatever the options of the
// decoder that calls them, an unknown or doubled key is an error at its token.

// UnmarshalYAML reads a whole sequence.
func (d *Document) UnmarshalYAML(node ast.Node) error {
	return readFields(node, []field{
		{"sequence", &d.Sequence}, {"note", &d.Note}, {"start", &d.Start}, {"after_power_loss", &d.AfterPowerLoss},
		{"params", &d.Params}, {"roles", &d.Roles}, {"states", &d.States}, {"any", &d.Any}, {"ends", &d.Ends},
	})
}

// UnmarshalYAML reads one transition. A condition or a time without a value is an error: without it the
// transition would fire at once.
func (t *Transition) UnmarshalYAML(node ast.Node) error {
	err := readFields(node, []field{
		{"to", &t.To}, {"when", &t.When}, {"for", &t.For}, {"after", &t.After}, {"times", &t.Times}, {"cause", &t.Cause},
	})
	if err != nil {
		return err
	}
	return eachKeyToken(node, func(key string, at *token.Token, value ast.Node) error {
		var text Text
		switch {
		case key == "to" || key == "cause":
		case isNull(value):
			return &yaml.SyntaxError{Message: key + " has no value; must have one, or be left out", Token: at}
		case text.UnmarshalYAML(value) == nil && strings.TrimSpace(string(text)) == "":
			return wrong(value, "%s is empty; must have a value, or be left out", key)
		}
		return nil
	})
}

// UnmarshalYAML reads one state; its name is its key.
func (s *State) UnmarshalYAML(node ast.Node) error {
	return readFields(node, []field{
		{"note", &s.Note}, {"keep", &s.Keep}, {"set", &s.Set}, {"go", &s.Go}, {"opt_out", &s.OptOut}, {"slips_brake", &s.SlipsBrake},
	})
}

// UnmarshalYAML reads the parameters in order.
func (p *Params) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Param{Name: key, Note: commentBehind(value)}
		err := item.Value.UnmarshalYAML(value)
		*p = append(*p, item)
		return err
	})
}

// commentBehind is the comment at the end of the line of a value: what people write there of a parameter,
// the exports hand on.
func commentBehind(value ast.Node) string {
	at := value.GetToken()
	if next := at.Next; next != nil && next.Type == token.CommentType && next.Position.Line == at.Position.Line {
		return strings.Join(strings.Fields(next.Value), " ")
	}
	return ""
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

// UnmarshalYAML reads the roles in order.
func (r *Roles) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Role{Role: key}
		err := item.Param.UnmarshalYAML(value)
		*r = append(*r, item)
		return err
	})
}

// UnmarshalYAML reads the values to keep in order.
func (k *Keeps) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Keep{Name: key}
		err := item.Value.UnmarshalYAML(value)
		*k = append(*k, item)
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
		return wrong(node, "%s is not finite; must be a finite number", node.GetToken().Value)
	case *ast.NullNode:
		return wrong(node, "the value is missing")
	case *ast.AnchorNode, *ast.AliasNode:
		return wrong(node, "anchors and aliases are not supported in a sequence; write the value out")
	default:
		return wrong(node, "this is a %s; must be a single value", node.Type().YAMLName())
	}
	return nil
}

// field is a key of a mapping and where its value goes.
type field struct {
	key  string
	into any
}

// readFields reads a mapping with the given keys. A decoder for each of the hundreds of
// states and transitions of a sequence would take ten times as long.
func readFields(node ast.Node, fields []field) error {
	known := make([]string, len(fields))
	for i := range fields {
		known[i] = fields[i].key
	}
	err := eachKeyToken(node, func(key string, at *token.Token, _ ast.Node) error {
		if indexOf(known, key) >= 0 {
			return nil
		}
		return &yaml.UnknownFieldError{
			Message: fmt.Sprintf("unknown key %q; %s", key, Suggest(key, known)), Token: at,
		}
	})
	if err != nil {
		return err
	}
	return eachKey(node, func(key string, value ast.Node) error {
		return readValue(value, fields[indexOf(known, key)].into)
	})
}

// readValue reads a text or what reads itself; the rest is left to the decoder. A value
// left out changes nothing.
func readValue(node ast.Node, into any) error {
	if isNull(node) {
		return nil
	}
	switch v := into.(type) {
	case *string:
		switch n := node.(type) {
		case *ast.StringNode:
			*v = n.Value
			return nil
		case *ast.LiteralNode:
			*v = n.Value.Value
			return nil
		}
	case *[]Transition:
		if list, ok := node.(*ast.SequenceNode); ok {
			return readTransitions(list, v)
		}
	case yaml.NodeUnmarshaler:
		return v.UnmarshalYAML(node)
	}
	return yaml.NodeToValue(node, into, yaml.Strict())
}

func readTransitions(list *ast.SequenceNode, into *[]Transition) error {
	*into = make([]Transition, len(list.Values))
	for i, item := range list.Values {
		if err := (*into)[i].UnmarshalYAML(item); err != nil {
			return err
		}
	}
	return nil
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
		return wrong(node, "this is a %s; must be keys with values", node.Type().YAMLName())
	}
	seen := map[string]bool{}
	for iter := mapping.MapRange(); iter.Next(); {
		at := iter.Key().GetToken()
		if seen[at.Value] {
			return &yaml.DuplicateKeyError{Message: fmt.Sprintf("key %q is defined twice", at.Value), Token: at}
		}
		seen[at.Value] = true
		if iter.Key().IsMergeKey() {
			return &yaml.SyntaxError{Message: "merge keys are not supported in a sequence; write the values out", Token: at}
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

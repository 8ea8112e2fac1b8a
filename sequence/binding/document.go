package binding

import (
	"fmt"
	"slices"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"

	"holdbench/sequence"
)

// Document binds a program to the signals of the bench.
type Document struct {
	Binding string `yaml:"binding"` // name of the sequence
	Note    string `yaml:"note,omitempty"`
	Program string `yaml:"program"` // file, relative to the document
	Block   string `yaml:"block"`   // the PROGRAM or FUNCTION_BLOCK that is run

	Inputs  Links             `yaml:"inputs"`          // by signal
	Outputs Links             `yaml:"outputs"`         // by signal
	State   State             `yaml:"state"`           //
	Cause   *Link             `yaml:"cause,omitempty"` // why the test ended as it did
	Scans   string            `yaml:"scans,omitempty"` // variable that receives how many scans have passed since the last one: 1, or more if some were left out
	Start   map[string]string `yaml:"start,omitempty"` // values of variables when a run starts, where they are others than after power has come

	Params Params         `yaml:"params,omitempty"`
	Watch  Params         `yaml:"watch,omitempty"`      // variables that traces and the bench show, by a name with their unit
	Roles  sequence.Roles `yaml:"roles,omitempty,flow"` // as in a sequence document

	File string `yaml:"-" json:"-"` // of the document, for messages; empty if it is not known
}

// Links are written as a map and keep its order.
type Links []Link

// Link ties a signal to a variable. Written short it is the variable alone.
type Link struct {
	Signal   string `yaml:"-"`
	Variable string `yaml:"variable"`
	// Unit is that of the variable, if it is another than that of the signal: um, m, mNm, ms.
	Unit string `yaml:"unit,omitempty"`
	// Scale is the value of the variable for a signal of 1, where no unit says it.
	Scale float64 `yaml:"scale,omitempty"`
	// Momentary is a cause that the variable has only in the scan that a test fails in; it stays until
	// a new test begins.
	Momentary bool `yaml:"momentary,omitempty"`
	// Words are the values of the variable by word of the signal: names of an enumeration, numbers,
	// TRUE and FALSE. An output may have several for a word.
	Words map[string]Values `yaml:"words,omitempty"`
	// Inverted is a BOOL that is FALSE while the signal is true, as that of a low-active input.
	Inverted bool `yaml:"inverted,omitempty" json:",omitempty"`
	// Flags are, in place of the variable, one BOOL for each word of an output; the first that is set
	// counts.
	Flags Flags `yaml:"flags,omitempty" json:",omitempty"`
	// Otherwise is the word while no flag is set.
	Otherwise string `yaml:"otherwise,omitempty" json:",omitempty"`
}

// Flags are written as a map and keep its order.
type Flags []Flag

// Flag is a BOOL variable with the word that it stands for while it is TRUE.
type Flag struct{ Variable, Word string }

// Values are one value or several.
type Values []string

// State says what the state of the program is: the value of a variable, or the first of several
// flags that is set.
type State struct {
	Variable string `yaml:"variable,omitempty"`
	Values   States `yaml:"values,omitempty"` // of the variable, in the order of the test
	Flags    States `yaml:"flags,omitempty"`  // BOOL variables, in the order in which they count
	// Otherwise is the state while no flag is set.
	Otherwise string `yaml:"otherwise,omitempty"`

	Ends           map[string]string `yaml:"ends,omitempty"`             // by state: pass, fail or stop
	AfterPowerLoss string            `yaml:"after_power_loss,omitempty"` // the state when power has come; where left out, that of the initial values
}

// binds is whether an output is bound, rightly or not.
func (d *Document) binds(output string) bool {
	return slices.ContainsFunc(d.Outputs, func(l Link) bool { return l.Signal == output })
}

// States are written as a map and keep its order.
type States []StateOf

// StateOf is the state that a value or a flag stands for. Written short it is the name alone.
type StateOf struct {
	Key        string `yaml:"-"` // value or variable
	State      string `yaml:"state"`
	Note       string `yaml:"note,omitempty"`
	SlipsBrake bool   `yaml:"slips_brake,omitempty"` // travel against the closed brake is meant here
	// Keep names what of watch is kept when the state is entered.
	Keep []string `yaml:"keep,omitempty,flow"`
}

// Params are written as a map and keep its order.
type Params []Param

// Param is a parameter of the engineering: a variable of the program, or a value from which others
// are computed.
type Param struct {
	Name     string  `yaml:"-"`
	Variable string  `yaml:"variable,omitempty"`
	Value    string  `yaml:"value,omitempty"` // a number or an expression over parameters; where left out, the initial value of the variable
	Unit     string  `yaml:"unit,omitempty"`
	Scale    float64 `yaml:"scale,omitempty"`
	Inverted bool    `yaml:"inverted,omitempty" json:",omitempty"` // a BOOL that is FALSE while the value is true
}

// UnmarshalYAML reads a link, short or long.
func (l *Link) UnmarshalYAML(node ast.Node) error {
	if text, ok := single(node); ok {
		l.Variable = text
		return nil
	}
	signal := l.Signal
	type long Link
	err := yaml.NodeToValue(node, (*long)(l), yaml.Strict())
	l.Signal = signal
	if err == nil && l.Scale == 0 {
		err = withoutScale(node)
	}
	return err
}

// withoutScale refuses a scale of 0, which the value alone does not tell from one that is left out.
func withoutScale(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		if key == "scale" {
			return wrong(value, "scale is %s; must be above 0", value.GetToken().Value)
		}
		return nil
	})
}

// UnmarshalYAML reads the flags in order.
func (f *Flags) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		word, ok := single(value)
		if !ok {
			return wrong(value, "this is a %s; must be the word that the flag stands for", value.Type().YAMLName())
		}
		*f = append(*f, Flag{key, word})
		return nil
	})
}

// UnmarshalYAML reads the links in order.
func (l *Links) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Link{Signal: key}
		err := item.UnmarshalYAML(value)
		*l = append(*l, item)
		return err
	})
}

// UnmarshalYAML reads one value or a list.
func (v *Values) UnmarshalYAML(node ast.Node) error {
	if list, ok := node.(*ast.SequenceNode); ok {
		for _, item := range list.Values {
			text, ok := single(item)
			if !ok {
				return wrong(item, "this is a %s; must be a value of the variable", item.Type().YAMLName())
			}
			*v = append(*v, text)
		}
		return nil
	}
	text, ok := single(node)
	if !ok {
		return wrong(node, "this is a %s; must be a value of the variable, or a list of them", node.Type().YAMLName())
	}
	*v = Values{text}
	return nil
}

// UnmarshalYAML reads a state, short or long.
func (s *StateOf) UnmarshalYAML(node ast.Node) error {
	if text, ok := single(node); ok {
		s.State = text
		return nil
	}
	key := s.Key
	type long StateOf
	err := yaml.NodeToValue(node, (*long)(s), yaml.Strict())
	s.Key = key
	return err
}

// UnmarshalYAML reads the states in order.
func (s *States) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := StateOf{Key: key}
		err := item.UnmarshalYAML(value)
		*s = append(*s, item)
		return err
	})
}

// UnmarshalYAML reads a parameter, short or long.
func (p *Param) UnmarshalYAML(node ast.Node) error {
	if text, ok := single(node); ok {
		p.Variable = text
		return nil
	}
	name := p.Name
	type long Param
	err := yaml.NodeToValue(node, (*long)(p), yaml.Strict())
	p.Name = name
	if err == nil && p.Scale == 0 {
		err = withoutScale(node)
	}
	return err
}

// UnmarshalYAML reads the parameters in order.
func (p *Params) UnmarshalYAML(node ast.Node) error {
	return eachKey(node, func(key string, value ast.Node) error {
		item := Param{Name: key}
		err := item.UnmarshalYAML(value)
		*p = append(*p, item)
		return err
	})
}

// single is a single value as it is written.
func single(node ast.Node) (text string, ok bool) {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return node.GetToken().Value, true
	}
	return "", false
}

func eachKey(node ast.Node, visit func(string, ast.Node) error) error {
	if node == nil || node.Type() == ast.NullType {
		return nil
	}
	mapping, ok := node.(ast.MapNode)
	if !ok {
		return wrong(node, "this is a %s; must be keys with values", node.Type().YAMLName())
	}
	for iter := mapping.MapRange(); iter.Next(); {
		if err := visit(iter.Key().GetToken().Value, iter.Value()); err != nil {
			return err
		}
	}
	return nil
}

func wrong(node ast.Node, format string, args ...any) error {
	return &yaml.SyntaxError{Message: fmt.Sprintf(format, args...), Token: node.GetToken()}
}

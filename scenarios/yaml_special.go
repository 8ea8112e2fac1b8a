package scenarios

import (
	"reflect"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"holdbench/sim"
	"holdbench/sim/probe"
)

// Some parts of a scenario have a short form beside their keys. This file reads and
// writes them.

const (
	startWord = "start" // a moment
	allWord   = "all"   // obligations
)

// moment takes the word start, or a state and a time after it.
func (r *reader) moment(p place, into *sim.Moment) {
	const must = "start, or a mapping such as {state: press, after: 200ms}"
	text, single := textOf(p.node)
	mapping, keyed := p.node.(ast.MapNode)
	switch {
	case single && text == startWord:
		*into = sim.Moment{}
	case !keyed:
		r.add(p.token(), "when is %s; must be %s", found(p.node), must)
	default:
		before := len(r.findings.list)
		r.fields(p, mapping, reflect.ValueOf(into).Elem())
		if into.State == "" && len(r.findings.list) == before {
			r.add(place{node: p.node}.token(), "when has no state; must be %s", must)
		}
	}
}

// broken takes the word all, or a list.
func (r *reader) broken(p place, into *sim.Broken) {
	if text, ok := textOf(p.node); ok && text != allWord {
		r.add(p.token(), "obligations is %s; must be all, or a list of {broken: name, why: reason}", found(p.node))
	} else if !ok {
		r.items(p, reflect.ValueOf((*[]sim.BrokenObligation)(into)).Elem())
	}
}

// causes takes a word, or a list of them.
func (r *reader) causes(p place, into *sim.Causes) {
	r.words(p, (*[]string)(into), wordForms{"cause", "a cause such as moved, or a list of several", "a list of causes such as [moved, slipped]"})
}

// names takes a name, or a list of them.
func (r *reader) names(p place, into *probe.Names) {
	r.words(p, (*[]string)(into), wordForms{p.label, "a name, or a list of several", "a list of names"})
}

// wordForms say what one or several words must be.
type wordForms struct{ name, must, list string }

func (r *reader) words(p place, into *[]string, say wordForms) {
	if list, ok := p.node.(*ast.SequenceNode); ok {
		if len(list.Values) == 0 {
			r.add(p.token(), "%s is an empty list; must be %s", say.name, say.must)
		}
		r.list(p, list, reflect.ValueOf(into).Elem())
		if slices.Contains(*into, "") {
			r.add(p.token(), "%s has an empty item; must be %s", say.name, say.list)
		}
		return
	}
	var word string
	r.text(p, reflect.ValueOf(&word).Elem())
	if word != "" {
		*into = []string{word}
	}
}

// reference takes a name, or a document in place.
func (r *reader) reference(p place, into *sim.Reference) {
	mapping, keyed := p.node.(ast.MapNode)
	switch {
	case isNull(p.node):
		return
	case !keyed:
		r.text(p, reflect.ValueOf(&into.Name).Elem())
		return
	}
	e, err := elementOfMapping(mapping, p.label)
	if err != nil {
		r.add(p.token(), "%s", err)
	}
	into.Text = e.lineText(false) + "\n"
	if e.block {
		into.Text = e.blockText("")
	}
	if strings.HasSuffix(into.Text, "\n\n") {
		into.Text += "...\n" // or the library takes blank lines at the end for badly indented ones
	}
}

// short is the short form of a value in a document, or the value itself.
func short(v any) any {
	switch x := v.(type) {
	case sim.Moment:
		if x.State == "" {
			return startWord
		}
	case sim.Broken:
		if len(x) == 0 {
			return allWord
		}
	case sim.Causes:
		if len(x) == 1 {
			return x[0]
		}
	}
	return v
}

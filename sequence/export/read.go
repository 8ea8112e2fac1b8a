package export

import (
	"fmt"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// This file reads what every export of a sequence needs of it.

// edgesOf are all transitions, those from any state first.
func edgesOf(p *sequence.Program) []*sequence.Edge {
	var list []*sequence.Edge
	for i := range p.Any() {
		list = append(list, &p.Any()[i])
	}
	for _, s := range p.States() {
		for i := range s.Edges {
			list = append(list, &s.Edges[i])
		}
	}
	return list
}

// timesOf is how often a transition may fire, as it is written; "" without limit.
func timesOf(p *sequence.Program, e *sequence.Edge) string {
	d := p.Document()
	list, place := d.Any, 0
	state, number, _ := strings.Cut(e.Event, "/")
	_, _ = fmt.Sscan(number, &place)
	if !e.Any {
		list = d.States[slices.IndexFunc(d.States, func(s sequence.State) bool { return s.Name == state })].Go
	}
	return string(list[place].Times)
}

// visit visits a node of an expression and all below it.
func visit(node ast.Node, see func(ast.Node)) {
	see(node)
	for _, n := range below(node) {
		visit(n, see)
	}
}

// below are the parts of a node.
func below(node ast.Node) []ast.Node {
	switch n := node.(type) {
	case *ast.UnaryNode:
		return []ast.Node{n.Node}
	case *ast.BinaryNode:
		return []ast.Node{n.Left, n.Right}
	case *ast.ConditionalNode:
		return []ast.Node{n.Cond, n.Exp1, n.Exp2}
	}
	_, arguments, _ := sequence.CallOf(node)
	return arguments
}

// namesIn are the names that an expression reads.
func namesIn(e *sequence.Expr) []string {
	var list []string
	visit(e.Node, func(node ast.Node) {
		if id, ok := node.(*ast.IdentifierNode); ok {
			list = append(list, id.Value)
		}
	})
	return list
}

// derived is whether a parameter is computed from others.
func derived(v *sequence.ParamValue) bool {
	return v.Expr != nil && len(namesIn(v.Expr)) > 0
}

// parametersInOrder are the parameters that are given as numbers and those that are computed, each
// after what it is computed from.
func parametersInOrder(p *sequence.Program) (given, computed []*sequence.ParamValue) {
	all := p.About().Params
	done := map[string]bool{}
	var add func(name string)
	add = func(name string) {
		i := slices.IndexFunc(all, func(v sequence.ParamValue) bool { return v.Name == name })
		if i < 0 || done[name] {
			return
		}
		done[name] = true
		v := &all[i]
		if !derived(v) {
			given = append(given, v)
			return
		}
		for _, n := range namesIn(v.Expr) {
			add(n)
		}
		computed = append(computed, v)
	}
	for i := range all {
		add(all[i].Name)
	}
	return given, computed
}

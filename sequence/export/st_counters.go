package export

import (
	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// This file finds the numbers that only count: they are whole, and as DINT they compare exactly on every
// controller.

// counterSignal is the input that counts.
const counterSignal = "test_count"

// countersOf are the counter of the judge and the values that are kept of it, if they are only compared
// with each other.
func countersOf(p *sequence.Program) map[string]bool {
	counters := map[string]bool{counterSignal: true}
	for _, s := range p.About().Kept {
		counters[s.Name] = true
	}
	for before := 0; before != len(counters); {
		before = len(counters)
		eachExpr(p, func(kept string, e *sequence.Expr) {
			switch {
			case counters[kept] && counterAt(e.Node, counters): // the one keeps the other
			default:
				delete(counters, kept)
				otherwise(e.Node, counters, func(name string) { delete(counters, name) })
			}
		})
	}
	if !counters[counterSignal] {
		return nil
	}
	return counters
}

// eachExpr visits all expressions of the states, with the name of the value that is kept, "" for others.
func eachExpr(p *sequence.Program, see func(kept string, e *sequence.Expr)) {
	for _, s := range p.States() {
		for _, k := range s.Keeps {
			see(k.Signal.Name, k.Expr)
		}
		for _, a := range s.Sets {
			if a.Expr != nil {
				see("", a.Expr)
			}
		}
	}
	for _, e := range edgesOf(p) {
		if e.When != nil {
			see("", e.When)
		}
	}
}

// counterAt is whether a node is a counter, now or in the scan before.
func counterAt(node ast.Node, counters map[string]bool) bool {
	if called, arguments, ok := sequence.CallOf(node); ok && called == "previous" {
		node = arguments[0]
	}
	id, ok := node.(*ast.IdentifierNode)
	return ok && counters[id.Value]
}

// otherwise finds the counters that an expression reads in another way than by comparing two of them.
func otherwise(node ast.Node, counters map[string]bool, found func(name string)) {
	if n, ok := node.(*ast.BinaryNode); ok && compares(n.Operator) && counterAt(n.Left, counters) && counterAt(n.Right, counters) {
		return
	}
	if id, ok := node.(*ast.IdentifierNode); ok && counters[id.Value] {
		found(id.Value)
	}
	for _, n := range below(node) {
		otherwise(n, counters, found)
	}
}

func compares(operator string) bool {
	level := operatorOf(operator).level
	return level == equalLevel || level == compareLevel
}

package sequence

import (
	"github.com/expr-lang/expr/ast"
)

// graph checks the states as a whole: which can be reached, which can be left, and
// which transitions never fire.
func (a *analysis) graph() {
	reached := a.reachable(a.start, a.powerUp)
	for i := range a.states {
		s := &a.states[i]
		path := pathKey("$.states", s.Name)
		switch {
		case !reached[i] && s.End != EndNone:
			a.warn(pathKey("$.ends", s.Name), "the end %s cannot be reached from %s; add a transition to it or remove it", s.Name, a.firstStates())
		case !reached[i]:
			a.warn(path, "the state %s cannot be reached from %s; add a transition to it or remove it", s.Name, a.firstStates())
		case s.End == EndNone:
			a.checkExits(path, s)
		}
		a.checkShadowed(path, s)
		a.checkRestarts(path, s)
	}
	a.checkKept()
	a.missingReactions()
	a.checkPowerUpOutputs()
}

// firstStates names where a run can begin.
func (a *analysis) firstStates() string {
	if a.powerUp == a.start {
		return a.doc.Start
	}
	return a.doc.Start + " or " + a.doc.AfterPowerLoss
}

// reachable marks the states that transitions lead to from the given ones.
func (a *analysis) reachable(from ...int) []bool {
	reached := make([]bool, len(a.states))
	todo := from
	for len(todo) > 0 {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if reached[i] {
			continue
		}
		reached[i] = true
		for _, edge := range a.outgoing(&a.states[i]) {
			todo = append(todo, edge.Target)
		}
	}
	return reached
}

// outgoing lists the transitions that are tried in a state, in order, without
// those that a literal 0 switches off.
func (a *analysis) outgoing(s *DocumentState) []*Edge {
	var edges []*Edge
	for k := range a.any {
		if s.Any[k] && a.doc.Any[k].Times != "0" {
			edges = append(edges, &a.any[k])
		}
	}
	written := a.written(s)
	for k := range s.Edges {
		if written[k].Times != "0" {
			edges = append(edges, &s.Edges[k])
		}
	}
	return edges
}

// written finds the transitions of a state in the document.
func (a *analysis) written(s *DocumentState) []Transition {
	for _, d := range a.doc.States {
		if d.Name == s.Name {
			return d.Go
		}
	}
	return nil
}

// checkExits warns of a state that a run cannot leave, or may not leave. The start
// state may wait without a limit.
func (a *analysis) checkExits(path string, s *DocumentState) {
	out, certain := false, false
	earlier := opposites{plain: map[string]bool{}, negated: map[string]bool{}}
	for _, edge := range a.outgoing(s) {
		if edge.Target != s.Index {
			out = true
			certain = certain || edge.Times < 0 && (edge.When == nil || earlier.has(edge))
		}
		earlier.add(edge)
	}
	switch {
	case !out:
		a.warn(path, "%s has no transition and is not an end; add a transition or list it under ends", s.Name)
	case !certain && s.Index != a.start:
		a.warn(path, "%s may wait without a time limit; add a transition with after and without when", s.Name)
	}
}

// checkShadowed warns of a transition that never fires, because an earlier one fires
// whenever it could.
func (a *analysis) checkShadowed(path string, s *DocumentState) {
	edges := a.outgoing(s)
	for i, earlier := range coveredBy(edges) {
		if earlier != nil && !edges[i].Any {
			a.warn(a.edgePath(path, s, edges[i]), neverFires, earlier.Event)
		}
	}
	a.checkShadowedAny(s)
}

// checkShadowedAny does the same for the transitions under any, once for all states.
func (a *analysis) checkShadowedAny(s *DocumentState) {
	if s.Index != a.start {
		return
	}
	edges := make([]*Edge, len(a.any))
	for i := range a.any {
		edges[i] = &a.any[i]
	}
	for i, earlier := range coveredBy(edges) {
		if earlier != nil {
			a.warn(pathIndex("$.any", i), neverFires, earlier.Event)
		}
	}
}

func (a *analysis) edgePath(path string, s *DocumentState, edge *Edge) string {
	for i := range s.Edges {
		if &s.Edges[i] == edge {
			return pathIndex(path+".go", i)
		}
	}
	return path
}

// conjuncts are what a condition joins with and, as text.
func conjuncts(e *Expr) []string {
	var list []string
	var split func(ast.Node)
	split = func(n ast.Node) {
		if and, ok := n.(*ast.BinaryNode); ok && (and.Operator == opAnd || and.Operator == "&&") {
			split(and.Left)
			split(and.Right)
			return
		}
		if yes, ok := n.(*ast.BoolNode); !ok || !yes.Value {
			list = append(list, n.String())
		}
	}
	split(e.Node)
	return list
}

// checkRestarts warns of a state that a transition under any re-enters in every scan.
func (a *analysis) checkRestarts(path string, s *DocumentState) {
	for k, edge := range a.any {
		if s.Any[k] && edge.Target == s.Index && edge.Times < 0 {
			a.warn(path, "%s also applies in this state and restarts %s as long as its condition holds; add opt_out: [%s]", edge.Event, s.Name, s.Name)
		}
	}
}

package sequence

import (
	"slices"

	"github.com/expr-lang/expr/ast"
)

// about is what a document tells of itself as every functional side does.
func (a *analysis) about(p *Program) Description {
	d := Description{
		Name: a.doc.Sequence, Note: a.doc.Note, Start: a.start, PowerUp: a.powerUp,
		Params: a.params, Roles: a.roles, Kept: a.kept, Causes: p.causes(), Source: a.doc,
	}
	for i := range p.states {
		d.States = append(d.States, p.states[i].info())
	}
	d.Inputs, d.Outputs = p.signals()
	d.ReadsAngle = p.readsAngle()
	d.Asks = p.asks()
	return d
}

// info is what is known of a state whatever it was made from.
func (s *DocumentState) info() StateInfo {
	info := StateInfo{Name: s.Name, Note: s.Note, SlipsBrake: s.SlipsBrake, End: s.End}
	for i := range s.Keeps {
		info.Kept = append(info.Kept, s.Keeps[i].Signal)
	}
	return info
}

// signals are the inputs that some expression reads and the outputs that some state sets.
func (p *Program) signals() (inputs, outputs []string) {
	read, set := map[string]bool{}, map[string]bool{}
	for _, e := range p.expressions() {
		walk(e.Node, func(n ast.Node) {
			if name, ok := n.(*ast.IdentifierNode); ok {
				read[name.Value] = true
			}
		})
	}
	for i := range p.states {
		for k := range p.states[i].Sets {
			set[p.states[i].Sets[k].Signal.Name] = true
		}
	}
	return among(inputTable(), read), among(outputTable(), set)
}

// readsAngle is whether some expression reads the angle of an arm other than for its cosine.
func (p *Program) readsAngle() bool {
	reads, cosines := 0, 0
	isAngle := func(n ast.Node) bool {
		name, ok := n.(*ast.IdentifierNode)
		return ok && name.Value == "position_deg"
	}
	for _, e := range p.expressions() {
		walk(e.Node, func(n ast.Node) {
			if isAngle(n) {
				reads++
			}
			if call, ok := n.(*ast.CallNode); ok && len(call.Arguments) == 1 && isAngle(call.Arguments[0]) {
				if callee, ok := call.Callee.(*ast.IdentifierNode); ok && callee.Value == fnCosDeg {
					cosines++
				}
			}
		})
	}
	return reads > cosines
}

// expressions are those of its transitions, kept values and settings.
func (p *Program) expressions() []*Expr {
	var all []*Expr
	for _, edges := range p.transitions() {
		for i := range edges {
			all = append(all, edges[i].When)
		}
	}
	for i := range p.states {
		for k := range p.states[i].Keeps {
			all = append(all, p.states[i].Keeps[k].Expr)
		}
		for k := range p.states[i].Sets {
			all = append(all, p.states[i].Sets[k].Expr)
		}
	}
	return slices.DeleteFunc(all, func(e *Expr) bool { return e == nil })
}

// asks are the directions in which some state asks.
func (p *Program) asks() []string {
	var asks []string
	for i := range p.states {
		for _, set := range p.states[i].Sets {
			if set.Signal.Name == "ask" && set.Word != AskNone.String() && indexOf(asks, set.Word) < 0 {
				asks = append(asks, set.Word)
			}
		}
	}
	return asks
}

// transitions lists those of the document, those under any first.
func (p *Program) transitions() [][]Edge {
	all := [][]Edge{p.any}
	for i := range p.states {
		all = append(all, p.states[i].Edges)
	}
	return all
}

// among are the names of a table that are in a set.
func among(table []Signal, set map[string]bool) []string {
	var names []string
	for i := range table {
		if set[table[i].Name] {
			names = append(names, table[i].Name)
		}
	}
	return slices.Clip(names)
}

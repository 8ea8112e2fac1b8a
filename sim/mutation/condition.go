package mutation

import (
	"fmt"
	"slices"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// edit is a condition with one change; now is empty if nothing is left.
type edit struct {
	operator Operator
	what     string
	now      sequence.Text
}

// conditionEdits collects the edits of one condition.
type conditionEdits struct {
	program *sequence.Program
	list    []edit
}

// rebuild puts a part of a condition back into the whole.
type rebuild func(part ast.Node) ast.Node

// edits drops and negates the whole condition and each operand of and or or, and shifts the
// limits of its comparisons.
func edits(condition ast.Node, p *sequence.Program) []edit {
	e := &conditionEdits{program: p}
	if _, joined := join(condition); !joined {
		e.list = append(e.list, edit{DropCondition, "drop the condition", ""})
	}
	e.add(Negate, "negate", negated(condition))
	e.walk(condition, func(n ast.Node) ast.Node { return n })
	return e.list
}

func (e *conditionEdits) add(op Operator, what string, whole ast.Node) {
	e.list = append(e.list, edit{op, what, text(whole)})
}

// walk goes through the parts of a condition.
func (e *conditionEdits) walk(n ast.Node, put rebuild) {
	switch n := n.(type) {
	case *ast.UnaryNode:
		e.walk(n.Node, func(part ast.Node) ast.Node { return put(&ast.UnaryNode{Operator: n.Operator, Node: part}) })
	case *ast.BinaryNode:
		if op, joined := join(n); joined {
			e.side(op, n.Left, n.Right, func(part ast.Node) ast.Node { return put(binary(n.Operator, part, n.Right)) }, put)
			e.side(op, n.Right, n.Left, func(part ast.Node) ast.Node { return put(binary(n.Operator, n.Left, part)) }, put)
		} else if isOrdering(n.Operator) {
			e.limit(n, put)
		}
	}
}

// side is one operand of and or or. One with the same operator is only a part of a longer list.
func (e *conditionEdits) side(op string, n, other ast.Node, put, without rebuild) {
	if inner, joined := join(n); !joined || inner != op {
		e.add(DropCondition, fmt.Sprintf("drop %q", n), without(other))
		e.add(Negate, fmt.Sprintf("negate %q", n), put(negated(n)))
	}
	e.walk(n, put)
}

// join is the logical operator of a node, in one spelling.
func join(n ast.Node) (word string, joined bool) {
	b, ok := n.(*ast.BinaryNode)
	if !ok {
		return "", false
	}
	switch b.Operator {
	case "and", "&&":
		return "and", true
	case "or", "||":
		return "or", true
	}
	return "", false
}

func binary(op string, left, right ast.Node) *ast.BinaryNode {
	return &ast.BinaryNode{Operator: op, Left: left, Right: right}
}

// negated is the negation of a node.
func negated(n ast.Node) ast.Node {
	switch n := n.(type) {
	case *ast.UnaryNode:
		if n.Operator == "not" || n.Operator == "!" {
			return n.Node
		}
	case *ast.BinaryNode:
		turned := map[string]string{"<": ">=", ">=": "<", ">": "<=", "<=": ">", "==": "!=", "!=": "=="}
		if op, ok := turned[n.Operator]; ok {
			return binary(op, n.Left, n.Right)
		}
	}
	return &ast.UnaryNode{Operator: "not", Node: n}
}

func isOrdering(op string) bool { return slices.Contains([]string{"<", "<=", ">", ">="}, op) }

// limit halves and doubles the limit of a comparison: the side without an input, or the right
// one. Of a sum only what is added to its first part is taken, as the first part is a position
// and the rest the tolerance. A limit of zero is shifted by one.
func (e *conditionEdits) limit(n *ast.BinaryNode, put rebuild) {
	place := func(limit ast.Node) ast.Node { return put(binary(n.Operator, n.Left, limit)) }
	side := n.Right
	if !readsInput(n.Left) && readsInput(n.Right) {
		place = func(limit ast.Node) ast.Node { return put(binary(n.Operator, limit, n.Right)) }
		side = n.Left
	}
	part, place := offset(side, place)
	if e.isZero(part) {
		e.add(Limit, fmt.Sprintf("shift %q up in %q", part, n), place(binary("+", part, &ast.IntegerNode{Value: 1})))
		e.add(Limit, fmt.Sprintf("shift %q down in %q", part, n), place(binary("-", part, &ast.IntegerNode{Value: 1})))
		return
	}
	for _, f := range []struct {
		verb  string
		value float64
	}{{"halve", 0.5}, {"double", 2}} {
		e.add(Limit, fmt.Sprintf("%s %q in %q", f.verb, part, n), place(binary("*", &ast.FloatNode{Value: f.value}, part)))
	}
}

// offset is the first part of a sum, after its beginning, without an input; a limit that is no
// sum is taken whole.
func offset(side ast.Node, put rebuild) (ast.Node, rebuild) {
	whole, inWhole := side, put
	found, inFound := ast.Node(nil), put
	for {
		b, ok := side.(*ast.BinaryNode)
		if !ok || b.Operator != "+" && b.Operator != "-" {
			break
		}
		outer := put
		if !readsInput(b.Right) {
			found, inFound = b.Right, func(part ast.Node) ast.Node { return outer(binary(b.Operator, b.Left, part)) }
		}
		side, put = b.Left, func(part ast.Node) ast.Node { return outer(binary(b.Operator, part, b.Right)) }
	}
	if found == nil {
		return whole, inWhole
	}
	return found, inFound
}

// readsInput is whether a part of an expression contains an input.
func readsInput(n ast.Node) bool {
	reader := &inputReader{}
	ast.Walk(&n, reader)
	return reader.reads
}

type inputReader struct{ reads bool }

// Visit is called by the library for every node.
func (r *inputReader) Visit(n *ast.Node) {
	if name, ok := (*n).(*ast.IdentifierNode); ok {
		isInput := func(s sequence.Signal) bool { return s.Name == name.Value }
		r.reads = r.reads || slices.ContainsFunc(sequence.InputSignals(), isInput)
	}
}

// isZero is whether the half and the double of a limit are itself.
func (e *conditionEdits) isZero(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.IntegerNode:
		return n.Value == 0
	case *ast.FloatNode:
		return n.Value == 0
	case *ast.IdentifierNode:
		p, ok := e.program.About().Param(n.Value)
		return ok && p.Number == 0
	}
	return false
}

// text writes a condition.
func text(n ast.Node) sequence.Text { return sequence.Text(n.String()) }

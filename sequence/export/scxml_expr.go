package export

import (
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// scriptOperator is how an operator of the documents is written in ECMAScript, whose precedence is the
// same (ECMA-262, fifth edition, 11).
func scriptOperator(word string) operator {
	o := operatorOf(word)
	switch o.level {
	case orLevel:
		o.text = "||"
	case andLevel:
		o.text = "&&"
	case equalLevel:
		o.text = word + "="
	}
	return o
}

// expr writes an expression of a document.
func (w *chartWriter) expr(node ast.Node) piece {
	switch n := node.(type) {
	case *ast.IntegerNode:
		return atom("%d", n.Value)
	case *ast.FloatNode:
		return atom("%s", scriptNumber(n.Value))
	case *ast.BoolNode:
		return atom("%t", n.Value)
	case *ast.StringNode:
		return atom("%s", scriptString(n.Value))
	case *ast.IdentifierNode:
		return atom("%s", w.variable(n.Value))
	case *ast.UnaryNode:
		sign := "-"
		if n.Operator != "-" {
			sign = "!"
		}
		return piece{sign + w.expr(n.Node).within(atomLevel), unaryLevel}
	case *ast.BinaryNode:
		o := scriptOperator(n.Operator)
		next := o.level + 1
		if o.level <= andLevel {
			next = o.level
		}
		return piece{w.expr(n.Left).within(o.level) + " " + o.text + " " + w.expr(n.Right).within(next), o.level}
	case *ast.ConditionalNode:
		return atom("(%s ? %s : %s)", w.expr(n.Cond).text, w.expr(n.Exp1).text, w.expr(n.Exp2).text)
	}
	name, arguments, _ := sequence.CallOf(node)
	return w.call(name, arguments)
}

func (w *chartWriter) call(name string, arguments []ast.Node) piece {
	if name == "previous" {
		return atom("%s", w.before(arguments[0].String()))
	}
	var list []string
	for _, a := range arguments {
		list = append(list, w.expr(a).text)
	}
	joined := strings.Join(list, ", ")
	switch name {
	case "sign":
		return atom("%s(%s)", w.own.sign, joined)
	case "cos_deg":
		return atom("%s(%s)", w.own.cosines, joined)
	case "amplitude":
		return piece{w.expr(arguments[0]).within(multiplyLevel) + " * Math.SQRT2", multiplyLevel}
	case "rms":
		return piece{w.expr(arguments[0]).within(multiplyLevel) + " / Math.SQRT2", multiplyLevel}
	}
	return atom("Math.%s(%s)", name, joined) // abs, min, max, sqrt
}

// variable is an input, a parameter or a kept value.
func (w *chartWriter) variable(name string) string {
	if name == "in_state_s" {
		return w.own.inState
	}
	for _, list := range []map[string]string{w.params, w.kept} {
		if id, ok := list[name]; ok {
			return id
		}
	}
	return w.own.input + "." + name
}

// before is an input as it was in the scan before.
func (w *chartWriter) before(input string) string {
	if input == "in_state_s" {
		return w.own.wasInState
	}
	return w.own.previous + "." + input
}

// broken is an expression as text, of several lines where it is long: each part that is joined in it
// begins a line.
func (w *chartWriter) broken(node ast.Node, indent string, least int) string {
	whole := w.expr(node)
	text := whole.within(least)
	word, parts := joined(node)
	if len(text)+len(indent) < widest || word == "" {
		return text
	}
	o := scriptOperator(word)
	var list []string
	for _, p := range parts {
		list = append(list, w.broken(p, indent+"  ", o.level))
	}
	text = strings.Join(list, "\n"+indent+o.text+" ")
	if whole.level < least {
		return "(" + text + ")"
	}
	return text
}

// scriptNumber is a number as a literal of ECMAScript.
func scriptNumber(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

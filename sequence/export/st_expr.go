package export

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// The precedence of the operators of Structured Text (IEC 61131-3:2013, table 71; from memory), higher
// binds tighter.
const (
	orLevel = iota + 1
	andLevel
	equalLevel
	compareLevel
	addLevel
	multiplyLevel
	unaryLevel
	atomLevel
)

// operator is how an operator of the documents is written in Structured Text.
type operator struct {
	text  string
	level int
}

func operatorOf(word string) operator {
	switch word {
	case "or", "||":
		return operator{"OR", orLevel}
	case "and", "&&":
		return operator{"AND", andLevel}
	case "==":
		return operator{"=", equalLevel}
	case "!=":
		return operator{"<>", equalLevel}
	case "+", "-":
		return operator{word, addLevel}
	case "*", "/":
		return operator{word, multiplyLevel}
	}
	return operator{word, compareLevel}
}

// piece is a part of an expression as text.
type piece struct {
	text  string
	level int
}

func atom(format string, values ...any) piece {
	return piece{fmt.Sprintf(format, values...), atomLevel}
}

// within is the text as an operand of an operator of that level.
func (p piece) within(level int) string {
	if p.level < level {
		return "(" + p.text + ")"
	}
	return p.text
}

// expr writes an expression of a document.
func (w *stWriter) expr(node ast.Node) piece {
	switch n := node.(type) {
	case *ast.IntegerNode:
		return atom("%d.0", n.Value)
	case *ast.FloatNode:
		return atom("%s", realText(n.Value))
	case *ast.BoolNode:
		return atom("%s", boolText(n.Value))
	case *ast.StringNode:
		w.refuse("the word %q can be exported only where it is compared with a signal, as judge_cause == %q", n.Value, n.Value)
		return atom("")
	case *ast.IdentifierNode:
		return atom("%s", w.variable(n.Value))
	case *ast.UnaryNode:
		return w.unary(n)
	case *ast.BinaryNode:
		return w.binary(n)
	case *ast.ConditionalNode:
		return atom("SEL(%s, %s, %s)", w.expr(n.Cond).text, w.expr(n.Exp2).text, w.expr(n.Exp1).text)
	}
	name, arguments, _ := sequence.CallOf(node)
	return w.call(name, arguments)
}

func (w *stWriter) unary(n *ast.UnaryNode) piece {
	sign := "-"
	if n.Operator != "-" {
		sign = "NOT "
	}
	return piece{sign + w.expr(n.Node).within(atomLevel), unaryLevel}
}

func (w *stWriter) binary(n *ast.BinaryNode) piece {
	o := operatorOf(n.Operator)
	left, right := w.sides(n)
	next := o.level + 1
	if o.level <= andLevel {
		next = o.level // a AND (b AND c) is the same without brackets, which a sum of numbers is not
	}
	if n.Operator == "/" {
		w.divisor(n.Right)
	}
	return piece{left.within(o.level) + " " + o.text + " " + right.within(next), o.level}
}

// sides writes both operands. A word takes the type of the other side.
func (w *stWriter) sides(n *ast.BinaryNode) (left, right piece) {
	if word, ok := n.Right.(*ast.StringNode); ok {
		return w.expr(n.Left), w.word(n.Left, word.Value)
	}
	if word, ok := n.Left.(*ast.StringNode); ok {
		return w.word(n.Right, word.Value), w.expr(n.Right)
	}
	if a, b := w.enumerationAt(n.Left), w.enumerationAt(n.Right); a != nil && b != nil && a != b {
		w.refuse("%s: two signals with different words cannot be compared in a program; compare each with a word", n)
	}
	return w.expr(n.Left), w.expr(n.Right)
}

// word is the value of an enumeration for a word that is compared with a signal.
func (w *stWriter) word(with ast.Node, word string) piece {
	if e := w.enumerationAt(with); e != nil {
		return atom("%s", e.value(word))
	}
	return w.expr(&ast.StringNode{Value: word})
}

// enumerationAt is the type of a signal that is a word, now or in the scan before; nil for anything else.
func (w *stWriter) enumerationAt(node ast.Node) *enumeration {
	if called, arguments, ok := sequence.CallOf(node); ok && called == "previous" {
		node = arguments[0]
	}
	if id, ok := node.(*ast.IdentifierNode); ok {
		return w.words[id.Value]
	}
	return nil
}

func (w *stWriter) call(name string, arguments []ast.Node) piece {
	var list []string
	for _, a := range arguments {
		if name != "previous" {
			list = append(list, w.expr(a).text)
		}
	}
	joined := strings.Join(list, ", ")
	switch name {
	case "previous":
		return atom("%s", w.previous(arguments[0].String()))
	case "sign":
		w.needs.sign = true
		return atom("%s(%s)", w.own.sign, joined)
	case "cos_deg":
		w.needs.cosine = true
		return atom("%s(%s)", w.own.cosine, joined)
	case "amplitude":
		return piece{w.expr(arguments[0]).within(multiplyLevel) + " * SQRT(2.0)", multiplyLevel}
	case "rms":
		return piece{w.expr(arguments[0]).within(multiplyLevel) + " / SQRT(2.0)", multiplyLevel}
	}
	return atom("%s(%s)", strings.ToUpper(name), joined) // ABS, MIN, MAX, SQRT
}

// divisor remembers what is divided by, unless it is a number.
func (w *stWriter) divisor(node ast.Node) {
	switch node.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		return
	}
	if text := w.expr(node).text; !slices.Contains(w.divisors, text) {
		w.divisors = append(w.divisors, text)
	}
}

// realText is a number as a literal of Structured Text, which needs digits on both sides of its point.
func realText(v float64) string {
	digits, exponent, scientific := strings.Cut(strconv.FormatFloat(v, 'g', -1, 64), "e")
	if !strings.Contains(digits, ".") {
		digits += ".0"
	}
	if scientific {
		return digits + "E" + strings.TrimPrefix(exponent, "+")
	}
	return digits
}

func boolText(v bool) string { return strings.ToUpper(strconv.FormatBool(v)) }

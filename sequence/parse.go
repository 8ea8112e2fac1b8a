package sequence

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"
)

// Bounds on one expression, so that no text can exhaust the stack.
const (
	maxExprLength = 2000 // bytes
	maxExprDepth  = 100  // nodes from the root to the deepest leaf
)

// Expr is one expression of the document. Its tree holds only what
// ParseExpr allows, and serves the run, the checks and every export.
type Expr struct {
	Text string
	Node ast.Node
	Kind Kind // of its value; known once it has been checked
	Unit Unit // unit of a number

	terms func() []term // of the condition of a transition, made on first use
}

// ExprError is one thing wrong with an expression.
type ExprError struct {
	Column  int // character within the expression, from 1; 0 is the whole
	Message string
}

// Error returns the message with its column.
func (e *ExprError) Error() string {
	if e.Column == 0 {
		return e.Message
	}
	return fmt.Sprintf("column %d: %s", e.Column, e.Message)
}

// function is one callable of the expressions; arguments and result are numbers, except that
// previous takes an input of any kind.
type function struct {
	name     string
	min, max int    // arguments
	note     string // for help
}

// The functions by name.
const (
	fnAbs       = "abs"
	fnMin       = "min"
	fnMax       = "max"
	fnSqrt      = "sqrt"
	fnSign      = "sign"
	fnAmplitude = "amplitude"
	fnRMS       = "rms"
	fnCosDeg    = "cos_deg"
	fnPrevious  = "previous"
)

// The words of the parser and the documents that join two conditions or invert one.
const (
	opAnd = "and"
	opOr  = "or"
	opNot = "not"
)

// functions is the table of what can be called. Amplitude is √2 times an rms
// current, rms the inverse. Previous is what an input was in the scan before.
func functions() []function {
	return []function{
		{fnAbs, 1, 1, "magnitude, in the same unit"},
		{fnMin, 2, 8, "the least of values in the same unit"},
		{fnMax, 2, 8, "the greatest of values in the same unit"},
		{fnSqrt, 1, 1, "square root of a plain number or of a squared unit"},
		{fnSign, 1, 1, "-1, 0 or 1, a plain number"},
		{fnAmplitude, 1, 1, "√2 times an rms current: _rms_a to _a"},
		{fnRMS, 1, 1, "a current amplitude divided by √2: _a to _rms_a"},
		{fnCosDeg, 1, 1, "cosine of an angle in degrees, a plain number"},
		{fnPrevious, 1, 1, "what an input of any kind was in the scan before"},
	}
}

func functionNamed(name string) (function, bool) {
	for _, f := range functions() {
		if f.name == name {
			return f, true
		}
	}
	return function{}, false
}

func functionNames() []string {
	names := make([]string, 0, 8)
	for _, f := range functions() {
		names = append(names, f.name)
	}
	return names
}

// ParseExpr reads an expression and refuses what the language does not have.
// Names and kinds are not looked at yet. The error is an *ExprError.
func ParseExpr(text string) (*Expr, error) {
	if len(text) > maxExprLength {
		return nil, &ExprError{0, fmt.Sprintf("the expression has %d bytes; must have at most %d", len(text), maxExprLength)}
	}
	if !utf8.ValidString(text) {
		return nil, &ExprError{0, "the expression is not valid UTF-8"}
	}
	node, err := parseTree(text)
	if err != nil {
		return nil, err
	}
	if err := allowed(node, 0); err != nil {
		return nil, err
	}
	return &Expr{Text: text, Node: node}, nil
}

// parseTree parses a text. A panic of the parser becomes an error.
func parseTree(text string) (node ast.Node, err error) {
	defer func() {
		if recover() != nil {
			node, err = nil, &ExprError{0, "the expression cannot be read"}
		}
	}()
	s, err := spelled(text)
	if err != nil {
		return nil, err
	}
	tree, parseErr := parser.Parse(string(s.plain))
	var at *file.Error
	switch {
	case errors.As(parseErr, &at):
		return nil, &ExprError{s.source(at.Column) + 1, plainer(string(s.plain), at)}
	case parseErr != nil:
		return nil, &ExprError{0, parseErr.Error()}
	case tree.Node == nil:
		return nil, &ExprError{0, "the expression is empty"}
	}
	s.locate(tree.Node)
	return tree.Node, nil
}

// plainer says the parser's commonest messages in our words.
func plainer(text string, err *file.Error) string {
	if err.Message == "unexpected token EOF" {
		return "the expression ends too early"
	}
	if name, ok := strings.CutPrefix(err.Message, "unexpected token Identifier("); ok && afterNumber(text, err.Column) {
		return "unexpected name " + strings.TrimSuffix(name, ")") + " after a number; units are not written in expressions"
	}
	return err.Message
}

// afterNumber reports whether the last sign before a column, spaces aside, is a digit.
func afterNumber(text string, column int) bool {
	before := []rune(text)
	before = before[:min(column, len(before))]
	left := strings.TrimRight(string(before), " ")
	return left != "" && '0' <= left[len(left)-1] && left[len(left)-1] <= '9'
}

// allowed walks the tree and reports the first thing the language does not have.
func allowed(node ast.Node, depth int) error {
	if node == nil {
		return &ExprError{0, "the expression cannot be read"}
	}
	if depth > maxExprDepth {
		return at(node, "the expression is nested more than %d deep; use a parameter for a part of it", maxExprDepth)
	}
	children, err := childrenAllowed(node)
	if err != nil {
		return err
	}
	for _, child := range children {
		if err := allowed(child, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// childrenAllowed checks one node and lists the nodes below it.
func childrenAllowed(node ast.Node) ([]ast.Node, error) {
	switch n := node.(type) {
	case *ast.IdentifierNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.StringNode:
		return nil, nil
	case *ast.UnaryNode:
		return []ast.Node{n.Node}, unaryAllowed(n)
	case *ast.BinaryNode:
		return []ast.Node{n.Left, n.Right}, binaryAllowed(n)
	case *ast.ConditionalNode:
		return []ast.Node{n.Cond, n.Exp1, n.Exp2}, ternaryAllowed(n)
	case *ast.BuiltinNode:
		return n.Arguments, callAllowed(n, n.Name, n.Arguments)
	case *ast.CallNode:
		if name, ok := n.Callee.(*ast.IdentifierNode); ok {
			return n.Arguments, callAllowed(n, name.Value, n.Arguments)
		}
	}
	return nil, at(node, "this is not part of the language; %s", whatIsAllowed())
}

func whatIsAllowed() string {
	return "allowed are numbers, true, false, \"words\", names, + - * /, < <= > >= == !=, " +
		"and or not, a ? b : c, and " + oneOf(functionNames()) + " with arguments"
}

func unaryAllowed(n *ast.UnaryNode) error {
	if operates(n.Operator, true) {
		return nil
	}
	return at(n, "the sign %q is not part of the language; %s", n.Operator, whatIsAllowed())
}

func binaryAllowed(n *ast.BinaryNode) error {
	if n.Operator == opAnd || n.Operator == "&&" {
		return notChained(n)
	}
	if operates(n.Operator, false) {
		return nil
	}
	return at(n, "the operator %q is not part of the language; %s", n.Operator, whatIsAllowed())
}

// notChained refuses a < b < c, which the parser turns into a tree that holds b
// twice: nested, such trees grow without bound.
func notChained(n *ast.BinaryNode) error {
	right, ok := n.Right.(*ast.BinaryNode)
	if !ok {
		return nil
	}
	left, ok := n.Left.(*ast.BinaryNode)
	if ok && (left.Operator == "&&" || left.Operator == opAnd) {
		left, ok = left.Right.(*ast.BinaryNode)
	}
	if ok && left.Right != nil && left.Right == right.Left {
		return at(n, "comparisons cannot be chained; write a < b and b < c")
	}
	return nil
}

func ternaryAllowed(n *ast.ConditionalNode) error {
	switch {
	case !n.Ternary:
		return &ExprError{0, "if and else are not part of the language; write condition ? a : b"}
	case n.Cond == n.Exp1:
		return at(n, "a ?: b is not part of the language; write condition ? a : b")
	}
	return nil
}

func callAllowed(n ast.Node, name string, arguments []ast.Node) error {
	f, ok := functionNamed(name)
	switch {
	case !ok:
		return at(n, "there is no function %q; %s", name, Suggest(name, functionNames()))
	case len(arguments) < f.min || len(arguments) > f.max:
		return at(n, "%s has %d arguments; %s", name, len(arguments), argumentCount(f))
	case arguments[0] != nil && arguments[0].Location().From < n.Location().From:
		// The parser turns a pipe into a call whose argument precedes it.
		return at(n, "a pipe is not part of the language; write %s(a)", name)
	}
	return nil
}

func argumentCount(f function) string {
	if f.min == f.max {
		return fmt.Sprintf("it takes %d", f.min)
	}
	return fmt.Sprintf("it takes %d to %d", f.min, f.max)
}

func at(node ast.Node, format string, args ...any) *ExprError {
	return &ExprError{node.Location().From + 1, fmt.Sprintf(format, args...)}
}

// call returns name and arguments of either type of call node.
func call(node ast.Node) (string, []ast.Node, bool) {
	switch n := node.(type) {
	case *ast.BuiltinNode:
		return n.Name, n.Arguments, true
	case *ast.CallNode:
		if name, ok := n.Callee.(*ast.IdentifierNode); ok {
			return name.Value, n.Arguments, true
		}
	}
	return "", nil, false
}

// CallOf returns the function that a node of an expression calls, with its arguments; false for a node
// that is no call.
func CallOf(node ast.Node) (name string, arguments []ast.Node, ok bool) { return call(node) }

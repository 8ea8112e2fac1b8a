package sequence

import (
	"fmt"

	"github.com/expr-lang/expr/ast"
)

// symbol is what a name in an expression denotes.
type symbol struct {
	kind  Kind
	unit  Unit
	words []string // vocabulary of a word
	code  code
	input bool
	kept  bool // by a state, on entry
}

// fixed is whether the symbol has its value before the run: a parameter.
func (s symbol) fixed() bool { return !s.input && !s.kept }

// scope holds the names that an expression may use.
type scope struct {
	symbols map[string]symbol
	names   []string // in order, for the nearest valid name
	used    map[string]bool
}

func newScope() *scope {
	s := &scope{symbols: map[string]symbol{}, used: map[string]bool{}}
	for _, signal := range inputTable() {
		s.add(signal.Name, symbol{
			kind: signal.Kind, unit: signal.Unit, words: signal.Words,
			code: readInput(signal), input: true,
		})
	}
	return s
}

func (s *scope) add(name string, what symbol) {
	if _, ok := s.symbols[name]; !ok {
		s.names = append(s.names, name)
	}
	s.symbols[name] = what
}

// readInput makes the closure that reads a signal out of the image.
func readInput(signal Signal) code {
	switch {
	case signal.in.number != nil:
		return code{number: signal.in.read}
	case signal.in.boolean != nil:
		at := signal.in.boolean
		return code{boolean: func(in *Inputs) bool { return *at(in) }}
	}
	at := signal.in.word
	return code{word: func(in *Inputs) string { return *at(in) }}
}

// check types an expression and its units, remembers the names it uses, and
// reports all that is wrong with it. want is the required kind, KindUnknown for any.
// The kind stays unknown if something is wrong, here or with a name used here.
func (s *scope) check(e *Expr, want Kind) []*ExprError {
	walk(e.Node, func(n ast.Node) {
		if name, ok := n.(*ast.IdentifierNode); ok {
			s.used[name.Value] = true
		}
	})
	c := checker{scope: s}
	e.Kind = c.kind(e.Node)
	if want != KindUnknown && e.Kind != KindUnknown && e.Kind != want {
		c.report(e.Node, "%s is a %s; must be a %s", e.Text, e.Kind, want)
		e.Kind = KindUnknown
	}
	if len(c.problems) > 0 || c.reported {
		e.Kind = KindUnknown
		return c.problems
	}
	e.Unit = c.measure(e.Node).unit
	if len(c.problems) > 0 {
		e.Kind = KindUnknown
	}
	return c.problems
}

// checker collects what is wrong with one expression.
type checker struct {
	scope    *scope
	problems []*ExprError
	reported bool // a name was already reported elsewhere
}

func (c *checker) report(node ast.Node, format string, args ...any) {
	c.problems = append(c.problems, at(node, format, args...))
}

// kind is what a node yields; KindUnknown once something below it was reported.
func (c *checker) kind(node ast.Node) Kind {
	switch n := node.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		return KindNumber
	case *ast.BoolNode:
		return KindBoolean
	case *ast.StringNode:
		return KindWord
	case *ast.IdentifierNode:
		return c.nameKind(n)
	case *ast.UnaryNode:
		return c.unaryKind(n)
	case *ast.BinaryNode:
		return c.binaryKind(n)
	case *ast.ConditionalNode:
		return c.ternaryKind(n)
	}
	name, arguments, _ := call(node)
	if name == fnPrevious {
		return c.previousKind(arguments[0])
	}
	for _, argument := range arguments {
		c.operand(argument, KindNumber, name)
	}
	return KindNumber
}

// previousKind is the kind of an input: nothing else has a scan before.
func (c *checker) previousKind(argument ast.Node) Kind {
	name, ok := argument.(*ast.IdentifierNode)
	if ok && c.scope.symbols[name.Value].input || ok && c.scope.symbols[name.Value].kind == KindUnknown {
		return c.kind(argument)
	}
	c.report(argument, "previous needs an input of its own, such as previous(torque_nm); %s is none", argument)
	return KindUnknown
}

func (c *checker) nameKind(n *ast.IdentifierNode) Kind {
	what, ok := c.scope.symbols[n.Value]
	if !ok {
		c.report(n, "there is no input or parameter %q; %s", n.Value, Suggest(n.Value, c.scope.names))
	}
	c.reported = c.reported || what.kind == KindUnknown
	return what.kind
}

func (c *checker) unaryKind(n *ast.UnaryNode) Kind {
	if n.Operator == "-" {
		return c.operand(n.Node, KindNumber, n.Operator)
	}
	return c.operand(n.Node, KindBoolean, n.Operator)
}

// operand checks an operand against the kind that its operator needs.
func (c *checker) operand(node ast.Node, want Kind, operator string) Kind {
	got := c.kind(node)
	if got != want && got != KindUnknown {
		c.report(node, "%s is a %s; %s needs a %s", node, got, operator, want)
	}
	return want
}

func (c *checker) binaryKind(n *ast.BinaryNode) Kind {
	switch n.Operator {
	case "+", "-", "*", "/":
		c.operand(n.Left, KindNumber, n.Operator)
		return c.operand(n.Right, KindNumber, n.Operator)
	case opAnd, opOr, "&&", "||":
		c.operand(n.Left, KindBoolean, n.Operator)
		return c.operand(n.Right, KindBoolean, n.Operator)
	case "==", "!=":
		c.sameKind(n, n.Left, n.Right, n.Operator)
		c.vocabulary(n.Left, n.Right)
		c.vocabulary(n.Right, n.Left)
	default:
		c.operand(n.Left, KindNumber, n.Operator)
		c.operand(n.Right, KindNumber, n.Operator)
	}
	return KindBoolean
}

func (c *checker) sameKind(n, left, right ast.Node, operator string) Kind {
	l, r := c.kind(left), c.kind(right)
	if l == KindUnknown || r == KindUnknown {
		return KindUnknown
	}
	if l != r {
		c.report(n, "%s is a %s, %s a %s; %s needs the same kind on both sides", left, l, right, r, operator)
		return KindUnknown
	}
	return l
}

// vocabulary reports a word that the signal it is compared with never has.
func (c *checker) vocabulary(name, word ast.Node) {
	n, isName := name.(*ast.IdentifierNode)
	w, isWord := word.(*ast.StringNode)
	if !isName || !isWord {
		return
	}
	words := c.scope.symbols[n.Value].words
	if words != nil && indexOf(words, w.Value) < 0 {
		c.report(w, "%s is never %q; %s", n.Value, w.Value, Suggest(w.Value, words))
	}
}

func (c *checker) ternaryKind(n *ast.ConditionalNode) Kind {
	c.operand(n.Cond, KindBoolean, "?")
	return c.sameKind(n, n.Exp1, n.Exp2, "? :")
}

// walk visits a node and all below it.
func walk(node ast.Node, visit func(ast.Node)) {
	visit(node)
	children, err := childrenAllowed(node)
	if err != nil {
		return
	}
	for _, child := range children {
		walk(child, visit)
	}
}

// unitText is a unit in a sentence.
func unitText(u Unit) string {
	if u == (Unit{}) {
		return "a plain number"
	}
	return fmt.Sprintf("in %s", u)
}

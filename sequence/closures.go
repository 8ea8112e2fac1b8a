package sequence

import (
	"math"

	"github.com/expr-lang/expr/ast"

	"holdbench/plant/portable"
)

// code is a compiled part of an expression; one of the three is set, by kind.
// Running it allocates nothing.
type code struct {
	number  func(*Inputs) float64
	boolean func(*Inputs) bool
	word    func(*Inputs) string
	fixed   bool // the same for all inputs
}

func fixedNumber(v float64) code {
	return code{number: func(*Inputs) float64 { return v }, fixed: true}
}

func fixedBoolean(v bool) code {
	return code{boolean: func(*Inputs) bool { return v }, fixed: true}
}

// compile turns a checked tree into closures. What depends on no input is
// computed once, here.
func (s *scope) compile(node ast.Node) code {
	c := s.compileNode(node)
	if !c.fixed {
		return c
	}
	var none Inputs
	switch {
	case c.number != nil:
		return fixedNumber(c.number(&none))
	case c.boolean != nil:
		return fixedBoolean(c.boolean(&none))
	}
	return c
}

func (s *scope) compileNode(node ast.Node) code {
	switch n := node.(type) {
	case *ast.IntegerNode:
		return fixedNumber(float64(n.Value))
	case *ast.FloatNode:
		return fixedNumber(n.Value)
	case *ast.BoolNode:
		return fixedBoolean(n.Value)
	case *ast.StringNode:
		word := n.Value
		return code{word: func(*Inputs) string { return word }, fixed: true}
	case *ast.IdentifierNode:
		return s.symbols[n.Value].code
	case *ast.UnaryNode:
		return compileUnary(s.compile(n.Node))
	case *ast.BinaryNode:
		return compileBinary(n.Operator, s.compile(n.Left), s.compile(n.Right))
	case *ast.ConditionalNode:
		return compileTernary(s.compile(n.Cond), s.compile(n.Exp1), s.compile(n.Exp2))
	}
	name, arguments, _ := call(node)
	return s.compileCall(name, arguments)
}

func compileUnary(x code) code {
	if yes := x.boolean; yes != nil {
		return code{boolean: func(in *Inputs) bool { return !yes(in) }, fixed: x.fixed}
	}
	num := x.number
	return code{number: func(in *Inputs) float64 { return -num(in) }, fixed: x.fixed}
}

func compileBinary(operator string, l, r code) code {
	c := code{fixed: l.fixed && r.fixed}
	switch {
	case l.number != nil:
		c.number, c.boolean = arithmetic(operator, l.number, r.number), compare(operator, l.number, r.number)
		if r.fixed {
			c.boolean = compareWith(operator, l.number, r.number(&Inputs{}))
		}
	case l.boolean != nil:
		return compileLogic(operator, l, r)
	default:
		c.boolean = sameWord(operator, l.word, r.word)
	}
	return c
}

// compileLogic is constant where one side alone decides.
func compileLogic(operator string, l, r code) code {
	switch joining(operator, false) {
	case opAnd:
		if l.always(false) || r.always(false) {
			return fixedBoolean(false)
		}
	case opOr:
		if l.always(true) || r.always(true) {
			return fixedBoolean(true)
		}
	}
	return code{boolean: logic(operator, l.boolean, r.boolean), fixed: l.fixed && r.fixed}
}

// always reports whether a boolean is v whatever the inputs are.
func (c code) always(v bool) bool {
	return c.fixed && c.boolean(&Inputs{}) == v
}

// arithmetic follows Go's floats: a division by zero yields an infinity or NaN.
// It is nil for another operator.
func arithmetic(operator string, l, r func(*Inputs) float64) func(*Inputs) float64 {
	switch operator {
	case "+":
		return func(in *Inputs) float64 { return l(in) + r(in) }
	case "-":
		return func(in *Inputs) float64 { return l(in) - r(in) }
	case "*":
		return func(in *Inputs) float64 { return l(in) * r(in) }
	case "/":
		return func(in *Inputs) float64 { return l(in) / r(in) }
	}
	return nil
}

// compare is false for NaN, but for !=, which is true. It is nil for another
// operator.
func compare(operator string, l, r func(*Inputs) float64) func(*Inputs) bool {
	switch operator {
	case "<":
		return func(in *Inputs) bool { return l(in) < r(in) }
	case "<=":
		return func(in *Inputs) bool { return l(in) <= r(in) }
	case ">":
		return func(in *Inputs) bool { return l(in) > r(in) }
	case ">=":
		return func(in *Inputs) bool { return l(in) >= r(in) }
	case "==":
		return func(in *Inputs) bool { return l(in) == r(in) }
	case "!=":
		return func(in *Inputs) bool { return l(in) != r(in) }
	}
	return nil
}

// compareWith is compare with a number that is the same for all inputs, which needs no call.
func compareWith(operator string, l func(*Inputs) float64, r float64) func(*Inputs) bool {
	switch operator {
	case "<":
		return func(in *Inputs) bool { return l(in) < r }
	case "<=":
		return func(in *Inputs) bool { return l(in) <= r }
	case ">":
		return func(in *Inputs) bool { return l(in) > r }
	case ">=":
		return func(in *Inputs) bool { return l(in) >= r }
	}
	return compare(operator, l, func(*Inputs) float64 { return r })
}

func logic(operator string, l, r func(*Inputs) bool) func(*Inputs) bool {
	switch operator {
	case opAnd, "&&":
		return func(in *Inputs) bool { return l(in) && r(in) }
	case opOr, "||":
		return func(in *Inputs) bool { return l(in) || r(in) }
	case "==":
		return func(in *Inputs) bool { return l(in) == r(in) }
	}
	return func(in *Inputs) bool { return l(in) != r(in) }
}

func sameWord(operator string, l, r func(*Inputs) string) func(*Inputs) bool {
	if operator == "==" {
		return func(in *Inputs) bool { return l(in) == r(in) }
	}
	return func(in *Inputs) bool { return l(in) != r(in) }
}

func compileTernary(cond, a, b code) code {
	switch {
	case cond.always(true):
		return a
	case cond.always(false):
		return b
	}
	var c code
	switch yes := cond.boolean; {
	case a.number != nil:
		c.number = either(yes, a.number, b.number)
	case a.boolean != nil:
		c.boolean = either(yes, a.boolean, b.boolean)
	default:
		c.word = either(yes, a.word, b.word)
	}
	return c
}

func either[T any](cond func(*Inputs) bool, a, b func(*Inputs) T) func(*Inputs) T {
	return func(in *Inputs) T {
		if cond(in) {
			return a(in)
		}
		return b(in)
	}
}

func (s *scope) compileCall(name string, arguments []ast.Node) code {
	x := s.compile(arguments[0])
	if name == fnPrevious {
		return x.before()
	}
	if name == fnAbs {
		num := x.number
		return code{number: func(in *Inputs) float64 { return math.Abs(num(in)) }, fixed: x.fixed}
	}
	if len(arguments) == 1 {
		f, num := unaryFunction(name), x.number
		return code{number: func(in *Inputs) float64 { return f(num(in)) }, fixed: x.fixed}
	}
	pick := minimum
	if name == fnMax {
		pick = maximum
	}
	for _, argument := range arguments[1:] {
		y := s.compile(argument)
		l, r := x.number, y.number
		x = code{number: func(in *Inputs) float64 { return pick(l(in), r(in)) }, fixed: x.fixed && y.fixed}
	}
	return x
}

// before is an input as it was in the scan before; in the first scan it is the present one.
func (c code) before() code {
	switch {
	case c.number != nil:
		at := c.number
		return code{number: func(in *Inputs) float64 { return at(in.scanBefore()) }}
	case c.boolean != nil:
		at := c.boolean
		return code{boolean: func(in *Inputs) bool { return at(in.scanBefore()) }}
	}
	at := c.word
	return code{word: func(in *Inputs) string { return at(in.scanBefore()) }}
}

func minimum(a, b float64) float64 { return min(a, b) }
func maximum(a, b float64) float64 { return max(a, b) }

func unaryFunction(name string) func(float64) float64 {
	switch name {
	case fnSqrt:
		return math.Sqrt
	case fnSign:
		return sign
	case fnAmplitude:
		return func(rms float64) float64 { return rms * math.Sqrt2 }
	case fnRMS:
		return func(amplitude float64) float64 { return amplitude / math.Sqrt2 }
	case fnCosDeg:
		return func(deg float64) float64 { return portable.Cos(deg * math.Pi / 180) }
	}
	return math.Abs
}

// sign is -1, 0 or 1; NaN stays NaN.
func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	case x == 0:
		return 0
	}
	return x
}

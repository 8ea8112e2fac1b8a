package sequence

import (
	"math"
	"testing"

	"github.com/expr-lang/expr/ast"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The closures and an interpreter of the tree yield the same value. Units are not
// checked here.
func TestExprTwoRoutes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := drawNumber(t, 4)
		if rapid.Bool().Draw(t, "boolean") {
			text = drawBoolean(t, 4)
		}
		in := drawInputs(t)
		e, err := ParseExpr(text)
		require.NoError(t, err, text)
		s := newScope()
		c := checker{scope: s}
		kind := c.kind(e.Node)
		require.Empty(t, c.problems, text)
		want, code := interpret(e.Node, &in), s.compile(e.Node)
		if kind == KindBoolean {
			require.Equal(t, want, code.boolean(&in), text)
			return
		}
		got, number := code.number(&in), want.(float64)
		if got != number && !(math.IsNaN(got) && math.IsNaN(number)) {
			t.Fatalf("%s: %v, not %v", text, got, want)
		}
	})
}

func drawInputs(t *rapid.T) Inputs {
	number := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-10, 10))
	return Inputs{
		Trigger: rapid.Bool().Draw(t, "trigger"), Proof: rapid.Bool().Draw(t, "proof"),
		PositionMM: number.Draw(t, "position"), JudgeCause: rapid.SampledFrom(JudgeCauses()).Draw(t, "cause"),
	}
}

func drawNumber(t *rapid.T, depth int) string {
	if depth == 0 {
		return rapid.SampledFrom([]string{"0", "1", "2.5", "1e3", "position_mm", "7"}).Draw(t, "number")
	}
	sub := func() string { return drawNumber(t, depth-1) }
	switch rapid.IntRange(0, 4).Draw(t, "form") {
	case 0:
		return "-(" + sub() + ")"
	case 1:
		return rapid.SampledFrom([]string{"abs", "sqrt", "sign"}).Draw(t, "function") + "(" + sub() + ")"
	case 2:
		return rapid.SampledFrom([]string{"min", "max"}).Draw(t, "function") + "(" + sub() + ", " + sub() + ", 3)"
	case 3:
		return "(" + drawBoolean(t, depth-1) + " ? " + sub() + " : " + sub() + ")"
	}
	return "(" + sub() + " " + rapid.SampledFrom([]string{"+", "-", "*", "/"}).Draw(t, "operator") + " " + sub() + ")"
}

func drawBoolean(t *rapid.T, depth int) string {
	if depth == 0 {
		return rapid.SampledFrom([]string{"true", "false", "trigger", "proof", `judge_cause == "moved"`}).Draw(t, "boolean")
	}
	sub := func() string { return drawBoolean(t, depth-1) }
	switch rapid.IntRange(0, 3).Draw(t, "form") {
	case 0:
		return "not (" + sub() + ")"
	case 1:
		op := rapid.SampledFrom([]string{"<", "<=", ">", ">=", "==", "!="}).Draw(t, "comparison")
		return "((" + drawNumber(t, depth-1) + ") " + op + " (" + drawNumber(t, depth-1) + "))"
	case 2:
		return "(" + sub() + " ? " + sub() + " : " + sub() + ")"
	}
	op := rapid.SampledFrom([]string{"and", "or", "&&", "||", "==", "!="}).Draw(t, "operator")
	return "((" + sub() + ") " + op + " (" + sub() + "))"
}

// interpret evaluates the tree without closures.
func interpret(node ast.Node, in *Inputs) any {
	switch n := node.(type) {
	case *ast.IntegerNode:
		return float64(n.Value)
	case *ast.FloatNode:
		return n.Value
	case *ast.BoolNode:
		return n.Value
	case *ast.StringNode:
		return n.Value
	case *ast.IdentifierNode:
		return map[string]any{
			"trigger": in.Trigger, "proof": in.Proof, "position_mm": in.PositionMM, "judge_cause": in.JudgeCause,
		}[n.Value]
	case *ast.UnaryNode:
		if yes, ok := interpret(n.Node, in).(bool); ok {
			return !yes
		}
		return -interpret(n.Node, in).(float64)
	case *ast.ConditionalNode:
		if interpret(n.Cond, in).(bool) {
			return interpret(n.Exp1, in)
		}
		return interpret(n.Exp2, in)
	case *ast.BinaryNode:
		return interpretBinary(n.Operator, interpret(n.Left, in), interpret(n.Right, in))
	}
	name, arguments, _ := call(node)
	values := make([]float64, len(arguments))
	for i := range arguments {
		values[i] = interpret(arguments[i], in).(float64)
	}
	return interpretCall(name, values)
}

func interpretBinary(operator string, l, r any) any {
	switch operator {
	case "==":
		return l == r
	case "!=":
		return l != r
	case "and", "&&":
		return l.(bool) && r.(bool)
	case "or", "||":
		return l.(bool) || r.(bool)
	}
	a, b := l.(float64), r.(float64)
	return map[string]any{
		"+": a + b, "-": a - b, "*": a * b, "/": a / b, "<": a < b, "<=": a <= b, ">": a > b, ">=": a >= b,
	}[operator]
}

func interpretCall(name string, v []float64) float64 {
	result := v[0]
	switch name {
	case "abs":
		return math.Abs(result)
	case "sqrt":
		return math.Sqrt(result)
	case "sign":
		if result != 0 && !math.IsNaN(result) {
			return math.Copysign(1, result)
		}
		return math.Abs(result)
	}
	for _, other := range v[1:] {
		if name == "min" {
			result = min(result, other)
		} else {
			result = max(result, other)
		}
	}
	return result
}

// Whatever the text, it is read or refused; what is read also compiles or is
// reported, and running it never panics.
func FuzzExpression(f *testing.F) {
	for _, text := range []string{
		"abs(position_mm - 420) <= 0.05 and standstill", "-(1.3 * 2.8 - 2.8)", `judge_cause == "moved"`,
		"trigger ? 1 : 2", "a < b < c", "x ?: y", "min(1, 2, 3)", "1 / 0", "not (not trigger)", "((((1))))",
		"[1][0]", "let a = 1; a", "{a: 1}.a", "'\\u00e9' == judge_cause", "// note", "1 | abs()", "::abs(1)", "1 ?. 2",
		"not (trigger and (proof || speed<3)) // x", "!trigger&&(\"(\" != judge_cause)", "((trigger) or ((proof)))", ".5 < speed and not(not proof)",
	} {
		f.Add(text)
	}
	in := Inputs{Trigger: true, PositionMM: 3, JudgeCause: CauseMoved}
	f.Fuzz(func(t *testing.T, text string) {
		e, err := new(analysis).parse(text)
		if err != nil {
			require.NotEmpty(t, err.Message)
			require.GreaterOrEqual(t, err.Column, 0)
			return
		}
		s := newScope()
		problems := s.check(e, KindUnknown)
		if len(problems) > 0 {
			require.Equal(t, KindUnknown, e.Kind)
			return
		}
		c := s.compile(e.Node)
		set := 0
		for _, has := range []bool{c.number != nil && e.Kind == KindNumber, c.boolean != nil && e.Kind == KindBoolean, c.word != nil && e.Kind == KindWord} {
			if has {
				set++
			}
		}
		require.Equal(t, 1, set, text)
		_, _ = evaluate(text, &in)
		if e.Kind == KindBoolean {
			e.terms = func() []term { return s.terms(e) }
			require.Equal(t, c.boolean(&in), together(t, e.live(&in)), text)
		}
	})
}

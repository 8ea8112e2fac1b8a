package st_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// grower makes random expressions together with their values, which it computes in Go. A variable
// is written as the form of the day: a plain variable, an element of an array, a literal.
type grower struct {
	random *rand.Rand
	form   func(kind string, i int) string
	bools  []bool
	ints   []int32
	reals  []float64
}

const ofEach = 4

func newGrower(seed uint64) *grower {
	g := &grower{random: rand.New(rand.NewPCG(seed, 9))}
	for range ofEach {
		g.bools = append(g.bools, g.random.IntN(2) == 0)
		g.ints = append(g.ints, []int32{0, 1, -1, 5, math.MaxInt32, math.MinInt32, 1000}[g.random.IntN(7)])
		g.reals = append(g.reals, []float64{0, 1, -1, 2.5, 1e-3, -400}[g.random.IntN(6)])
	}
	return g
}

func (g *grower) boolean(depth int) (string, bool) {
	if depth == 0 {
		i := g.random.IntN(ofEach)
		return g.form("b", i), g.bools[i]
	}
	switch g.random.IntN(6) {
	case 0:
		x, v := g.boolean(depth - 1)
		return "NOT " + x, !v
	case 1, 2:
		x, v := g.boolean(depth - 1)
		y, w := g.boolean(depth - 1)
		op := []string{"AND", "OR", "XOR", "=", "<>", "<"}[g.random.IntN(6)]
		return fmt.Sprintf("(%s %s %s)", x, op, y), map[string]bool{
			"AND": v && w, "OR": v || w, "XOR": v != w, "=": v == w, "<>": v != w, "<": !v && w,
		}[op]
	case 3, 4:
		x, v := g.integer(g.random.IntN(depth))
		y, w := g.integer(g.random.IntN(depth))
		return g.compared(x, y, v < w, v == w)
	}
	x, v := g.real(g.random.IntN(depth))
	y, w := g.real(g.random.IntN(depth))
	return g.compared(x, y, v < w, v == w)
}

func (g *grower) compared(x, y string, less, equal bool) (string, bool) {
	op := []string{"<", "<=", ">", ">=", "=", "<>"}[g.random.IntN(6)]
	return fmt.Sprintf("(%s %s %s)", x, op, y), map[string]bool{
		"<": less, "<=": less || equal, ">": !less && !equal, ">=": !less, "=": equal, "<>": !equal,
	}[op]
}

func (g *grower) integer(depth int) (string, int32) {
	if depth == 0 {
		i := g.random.IntN(ofEach)
		return g.form("i", i), g.ints[i]
	}
	x, v := g.integer(depth - 1)
	y, w := g.integer(depth - 1)
	switch g.random.IntN(7) {
	case 0:
		return fmt.Sprintf("(%s + %s)", x, y), v + w
	case 1:
		return fmt.Sprintf("(%s - %s)", x, y), v - w
	case 2:
		return fmt.Sprintf("(%s * %s)", x, y), v * w
	case 3:
		return fmt.Sprintf("(%s / 7 + %s MOD DINT#-3)", x, y), v/7 + w%-3
	case 4:
		return fmt.Sprintf("MAX(%s, %s)", x, y), max(v, w)
	case 5:
		b, is := g.boolean(depth - 1)
		if is {
			v = w
		}
		return fmt.Sprintf("SEL(%s, %s, %s)", b, x, y), v
	}
	return "(-" + x + ")", -v
}

func (g *grower) real(depth int) (string, float64) {
	if depth == 0 {
		i := g.random.IntN(ofEach)
		return g.form("r", i), g.reals[i]
	}
	x, v := g.real(depth - 1)
	y, w := g.real(depth - 1)
	switch g.random.IntN(6) {
	case 0:
		return fmt.Sprintf("(%s + %s)", x, y), v + w
	case 1:
		return fmt.Sprintf("(%s - %s)", x, y), v - w
	case 2:
		return fmt.Sprintf("(%s * %s)", x, y), v * w
	case 3:
		return fmt.Sprintf("(%s / (ABS(%s) + 1.0))", x, y), v / (math.Abs(w) + 1)
	case 4:
		i, n := g.integer(depth - 1)
		return fmt.Sprintf("(%s + %s)", x, i), v + float64(n) // DINT widens to LREAL
	}
	return fmt.Sprintf("LIMIT(-1.0E3, %s, 1.0E3)", x), min(max(v, -1e3), 1e3)
}

// A random expression has the value that Go computes: with variables, with elements of an array,
// with literals that are computed before the run, with a FUNCTION around each variable, and with all
// of these mixed. They take different ways through the compiler.
func TestRandomExpressions(t *testing.T) {
	t.Parallel()
	for seed := range uint64(150) {
		g := newGrower(seed)
		var text strings.Builder
		text.WriteString("VAR n : INT := 1;")
		for i := range ofEach {
			fmt.Fprintf(&text, " b%d : BOOL := %s; i%d : DINT := %d; r%d : LREAL := %s;", i, g.literal("b", i), i, g.ints[i], i, g.literal("r", i))
		}
		for _, kind := range []string{"b", "i", "r"} {
			fmt.Fprintf(&text, " %sa : ARRAY [0..3] OF %s := [%s, %s, %s, %s];", kind, map[string]string{"b": "BOOL", "i": "DINT", "r": "LREAL"}[kind],
				g.literal(kind, 0), g.literal(kind, 1), g.literal(kind, 2), g.literal(kind, 3))
		}
		forms := []func(kind string, i int) string{
			func(kind string, i int) string { return fmt.Sprint(kind, i) },
			func(kind string, i int) string { return fmt.Sprintf("%sa[n + %d]", kind, i-1) },
			g.literal,
			func(kind string, i int) string { return fmt.Sprintf("F%s(%s%d)", kind, kind, i) },
		}
		plain := forms
		forms = append(forms, func(kind string, i int) string { return plain[g.random.IntN(len(plain))](kind, i) })
		for n, form := range forms {
			g = newGrower(seed)
			g.form = form
			b, wantB := g.boolean(4)
			i, wantI := g.integer(3)
			r, wantR := g.real(3)
			program := fmt.Sprintf(`FUNCTION Fb : BOOL VAR_INPUT x : BOOL; END_VAR Fb := x; END_FUNCTION
FUNCTION Fi : DINT VAR_INPUT x : DINT; END_VAR Fi := x; END_FUNCTION
FUNCTION Fr : LREAL VAR_INPUT x : LREAL; END_VAR Fr := x; END_FUNCTION
PROGRAM p %s b, c : BOOL; i : DINT; r : LREAL; END_VAR
b := %s; IF %s THEN c := TRUE; ELSE c := FALSE; END_IF; i := %s; r := %s;
END_PROGRAM`, text.String(), b, b, i, r)
			m := machine(t, program)
			m.scan()
			require.Equal(t, wantB, m.Bool(m.ref("b")), "form %d: %s", n, b)
			require.Equal(t, wantB, m.Bool(m.ref("c")), "form %d: %s", n, b)
			require.Equal(t, int64(wantI), m.Int(m.ref("i")), "form %d: %s", n, i)
			require.Equal(t, wantR, m.Real(m.ref("r")), "form %d: %s", n, r)
		}
	}
}

// literal is the value of a variable, with its type.
func (g *grower) literal(kind string, i int) string {
	switch kind {
	case "b":
		return map[bool]string{true: "TRUE", false: "FALSE"}[g.bools[i]]
	case "i":
		return fmt.Sprintf("DINT#%d", g.ints[i])
	}
	return "LREAL#" + strconv.FormatFloat(g.reals[i], 'f', 4, 64)
}

package st_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A number without a type takes the type that its place needs: a power of it is a REAL where a REAL
// is wanted and an LREAL where an LREAL is wanted. The values of 2.0 ** 0.5 tell which: √2 is
// 1.41421356237309505 (OEIS A002193), of which a REAL keeps 1.4142135.
func TestUntypedNumbersTakeTheTypeOfTheirPlace(t *testing.T) {
	t.Parallel()
	const vars = "VAR n : INT := 3; half : REAL := 0.5; long : LREAL := 0.5; b : BOOL := TRUE; END_VAR"
	for _, c := range []struct{ kind, expression, want string }{
		{"REAL", "2.0 ** 3.0", "8.0"},
		{"REAL", "EXPT(2.0, 3.0)", "8.0"},
		{"REAL", "EXPT(2, 3)", "8.0"},
		{"REAL", "2.0 ** 0.5", "1.4142135"},
		{"LREAL", "2.0 ** 0.5", "1.4142135623730951"},
		{"REAL", "2.0 ** half", "1.4142135"},
		{"LREAL", "2.0 ** half", "1.4142135623730951"},
		{"REAL", "2.0 ** long", "1.4142135"},
		{"LREAL", "2.0 ** long", "1.4142135623730951"},
		{"REAL", "2.0 ** n", "8.0"},
		{"REAL", "-2.0 ** n", "-8.0"},
		{"REAL", "-(2.0 ** n)", "-8.0"},
		{"REAL", "half + 2.0 ** n * 3.0", "24.5"},
		{"REAL", "half + 10.0 ** n", "1000.5"},
		{"REAL", "n + 2.0 ** n", "11.0"},
		{"REAL", "SQRT(2.0 ** 0.5 * 2.0 ** 0.5)", "1.4142135"},
		{"REAL", "SQRT(2.0 ** n)", "2.828427"},
		{"LREAL", "SQRT(2.0 ** n)", "2.8284271247461903"},
		{"REAL", "ABS(-2.0 ** n)", "8.0"},
		{"REAL", "MAX(half, 2.0 ** n)", "8.0"},
		{"REAL", "SEL(b, 1.0, 2.0 ** n)", "8.0"},
		{"REAL", "(2.0 ** n) ** 2", "64.0"},
		{"INT", "REAL_TO_INT(2.0 ** n)", "8"},
		{"BOOL", "half < 2.0 ** n", "TRUE"},
		{"TIME", "T#1s * 2.0 ** n", "T#8s"},
	} {
		t.Run(c.kind+" "+c.expression, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, value(t, vars, c.kind, c.expression))
		})
	}
}

// A REAL stands in a message with the fewest digits that give it back, as a literal: 1.0E30, not
// the 1.0000000150474662e+30 of its 64-bit neighbour.
func TestRealsInMessages(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"i := REAL_TO_INT(r);":             "1.0E30 does not fit into INT",
		"i := REAL_TRUNC_INT(r);":          "1.0E30 does not fit into INT",
		"i := LREAL_TO_INT(lr);":           "1.0E30 does not fit into INT",
		"r := -0.1; r := SQRT(r);":         "SQRT of a negative number: -0.1",
		"r := 1.1; r := ASIN(r);":          "ASIN of a number outside -1..1: 1.1",
		"lr := REAL#-0.1; r := LN(r - r);": "LN of a number that is not above zero: 0.0",
	} {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			err := fails(t, "PROGRAM p VAR i : INT; r : REAL := 1.0E30; lr : LREAL := 1.0E30; END_VAR "+text+" END_PROGRAM")
			require.ErrorContains(t, err, want)
		})
	}
}

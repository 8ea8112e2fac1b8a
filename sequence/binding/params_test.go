package binding_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/binding"
)

// A parameter that takes its value from a REAL is written with the fewest digits that give the REAL
// back, in the unit of the bench.
func TestParamsOfRealVariablesAreWrittenShort(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ initial, tie, want string }{
		{"1.0E30", "high", "1e+30"},
		{"0.1", "high", "0.1"},
		{"16777216.0", "high", "1.6777216e+07"},
		{"12.3", "{variable: high, scale: 1000}", "0.0123"},
	} {
		t.Run(c.initial+" "+c.tie, func(t *testing.T) {
			t.Parallel()
			program := "PROGRAM p VAR_INPUT go : BOOL; END_VAR VAR high : REAL := " + c.initial + "; shut, moves : BOOL; step : (A, B); END_VAR " +
				"CASE step OF A: shut := high > 0.0 AND go; moves := TRUE; step := B; B: step := A; END_CASE; END_PROGRAM"
			doc := "binding: p\nprogram: p.st\nblock: p\ninputs: {trigger: go}\n" +
				"outputs: {brake: {variable: shut, words: {open: false, closed: true}}, drive: {variable: moves, words: {off: false, move: true}}}\n" +
				"state: {variable: step, values: {A: a, B: b}}\nparams: {high_nm: " + c.tie + "}\n"
			l, _, err := binding.New(parsed(t, doc), "p.st", []byte(program))
			require.NoError(t, err)
			p, ok := l.About().Param("high_nm")
			require.True(t, ok)
			require.Equal(t, c.want, p.Written())
		})
	}
}

package binding_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/binding"
)

// FuzzBound is a program with any text behind a binding of its own: one that is drafted, else one with the signals
// of the test. What is taken is run, and its values are written; nothing panics.
func FuzzBound(f *testing.F) {
	files, err := filepath.Glob("testdata/*.st")
	require.NoError(f, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(string(text))
	}
	f.Add("PROGRAM p VAR_INPUT proof, estop: BOOL; END_VAR VAR_OUTPUT drive: INT; alarm: STRING; END_VAR VAR state: INT; END_VAR\nCASE state OF 0: drive := 1; IF proof THEN state := 1; END_IF; 1: drive := 0; END_CASE; END_PROGRAM")
	f.Add("FUNCTION_BLOCK b VAR_INPUT trigger: BOOL; position_mm: LREAL; END_VAR VAR_OUTPUT target_mm: LREAL; brake: BOOL; END_VAR target_mm := 1.0 / position_mm; brake := trigger; END_FUNCTION_BLOCK")
	f.Fuzz(func(t *testing.T, text string) {
		draft, _, err := binding.Draft("p.st", []byte(text), "")
		if err != nil {
			return
		}
		var d binding.Document
		if err := yaml.Unmarshal([]byte(draft), &d); err != nil {
			return // a first draft may hold what its writer has to fill in
		}
		l, _, err := binding.New(d, "p.st", []byte(text))
		if err != nil {
			return
		}
		_ = l.Review()
		c := l.New(time.Millisecond)
		in, out := sequence.Inputs{}, sequence.DefaultOutputs()
		for range 5 {
			if _, err := c.Scan(&in, &out); err != nil {
				return
			}
			in.Proof, in.PositionMM = true, in.PositionMM+1
			require.GreaterOrEqual(t, c.StateIndex(), 0)
			_ = c.Waiting()
		}
		c.PowerUp()
		_, _ = c.Scan(&in, &out)
	})
}

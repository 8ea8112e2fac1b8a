package identifycmd

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func invoke(ctx context.Context, args ...string) clitest.Outcome {
	return program().Invoke(ctx, args...)
}

// recorder writes what a recorder of the axis sees of a run.
type recorder struct{ text strings.Builder }

func (r *recorder) Row(row *sim.Row) error {
	for i, x := range []float64{row.TS, row.In.PositionMM, row.In.CurrentRMSA} {
		if i > 0 {
			r.text.WriteByte(';')
		}
		r.text.WriteString(strings.Replace(strconv.FormatFloat(x, 'f', 5, 64), ".", ",", 1))
	}
	r.text.WriteByte(';')
	r.text.WriteString([]string{"open", "closed"}[row.Out.Brake])
	r.text.WriteByte(';')
	r.text.WriteString(strconv.FormatBool(row.In.BrakeClosed))
	r.text.WriteByte('\n')
	return nil
}

// measured is a recording of the manoeuvres on a rig, made up by the bench, with a decimal comma.
func measured(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "manoeuvres.yaml"))
	require.NoError(t, err)
	var document *sequence.Document
	document, _, err = scenarios.ParseSequence("manoeuvres", text)
	require.NoError(t, err)
	rig, _, err := scenarios.LoadRig("pane-hoist")
	require.NoError(t, err)
	c, _, err := sim.NewCase(sim.Scenario{Scenario: "manoeuvres", Title: "manoeuvres", Seed: 2}, *rig, *document)
	require.NoError(t, err)
	r := &recorder{}
	r.text.WriteString("t_s;position_mm;current_rms_a;brake;brake_closed\n")
	_, err = sim.Run(c, r)
	require.NoError(t, err)
	return r.text.String()
}

// write puts a file into a folder of its own and returns its path.
func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

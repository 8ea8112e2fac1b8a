package scenarios_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/bits"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// digestTracer sums up every value of a trace, numbers by their bits. The sum is a quick one, as emulated
// processors calculate it too.
type digestTracer struct {
	columns []sim.Column
	sum     uint64
	text    []byte
}

func (d *digestTracer) add(word uint64) {
	d.sum = (bits.RotateLeft64(d.sum, 5) ^ word) * 0x9e3779b97f4a7c15
}

func (d *digestTracer) addText(text []byte) {
	for _, b := range text {
		d.add(uint64(b))
	}
}

func (d *digestTracer) Row(r *sim.Row) error {
	d.add(math.Float64bits(r.TS))
	for i := range d.columns {
		c := &d.columns[i]
		if x := c.Number(r); !math.IsNaN(x) {
			d.add(math.Float64bits(x))
		} else {
			d.text = c.AppendText(d.text[:0], r)
			d.addText(d.text)
		}
	}
	return nil
}

// digestOf sums up the trace and the result of a run.
func digestOf(t *testing.T, name string) string {
	t.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
	require.NoError(t, err)
	d := digestTracer{columns: sim.Columns(c.Sequence)}
	result, err := sim.RunUntil(t.Context(), c, &d)
	require.NoError(t, err)
	text, err := json.Marshal(result)
	require.NoError(t, err)
	d.addText(text)
	return fmt.Sprintf("%016x %s", d.sum, name)
}

// TestWriteDigests writes the sums of all traces and results of the built-in scenarios to the file that
// HOLDBENCH_DIGESTS names. .ci/run compares those of several processors.
func TestWriteDigests(t *testing.T) {
	path := os.Getenv("HOLDBENCH_DIGESTS")
	if path == "" {
		t.Skip("HOLDBENCH_DIGESTS names no file")
	}
	names := scenarios.Names(scenarios.ScenarioKind)
	lines := make([]string, len(names))
	t.Run("Scenarios", func(t *testing.T) {
		for i, name := range names {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				lines[i] = digestOf(t, name)
			})
		}
	})
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(lines, "\n")+"\n"), 0o600))
}

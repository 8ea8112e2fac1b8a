package clitest

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// recorder writes what a recorder of the axis would have seen of a run, every 4 ms.
type recorder struct {
	columns []sim.Column
	text    strings.Builder
	rows    int
}

func (r *recorder) Row(row *sim.Row) error {
	if r.rows++; r.rows%2 == 0 {
		return nil
	}
	r.text.WriteString(strconv.FormatFloat(row.TS, 'f', 3, 64))
	for i := range r.columns {
		r.text.WriteByte(',')
		if r.columns[i].Kind != sequence.KindNumber {
			r.text.Write(r.columns[i].AppendText(nil, row))
			continue
		}
		r.text.WriteString(strconv.FormatFloat(r.columns[i].Number(row), 'f', 5, 64))
	}
	r.text.WriteByte('\n')
	return nil
}

// Measured is a recording of a scenario with some columns, made up by the bench.
func Measured(t *testing.T, scenario, columns string) string {
	t.Helper()
	c, _, err := scenarios.LoadCase(scenario, scenarios.Overrides{})
	require.NoError(t, err)
	r := &recorder{}
	r.text.WriteString("t_s," + columns + "\n")
	all := sim.Columns(c.Sequence)
	for name := range strings.SplitSeq(columns, ",") {
		i := slices.IndexFunc(all, func(column sim.Column) bool { return column.Name == name })
		r.columns = append(r.columns, all[i])
	}
	_, err = sim.Run(c, r)
	require.NoError(t, err)
	return r.text.String()
}

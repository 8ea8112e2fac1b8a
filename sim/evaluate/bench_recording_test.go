package evaluate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// recorder makes a recording of what is measured in a run: nothing of the truth.
type recorder struct {
	columns []sim.Column
	out     recording.Recording
}

// measured are the signals that a recorder has beside what the judge reads.
var measured = map[string]bool{
	"position_mm": true, "speed": true, "torque_nm": true, "current_rms_a": true, "brake_closed": true, "brake_2_closed": true,
	"brake": true, "drive": true, "ask": true, "required_current_a": true, "target_mm": true, "safe_stop": true, "operation": true,
	"judge_failed": true, "acknowledge": true, "judge_current_amp_a": true,
}

func record(t *testing.T, c *sim.Case, without ...string) (*recording.Recording, *sim.Result) {
	t.Helper()
	r := &recorder{}
	left := map[string]bool{}
	for _, name := range without {
		left[name] = true
	}
	for _, column := range sim.Columns(c.Sequence) {
		if !measured[column.Name] || left[column.Name] {
			continue
		}
		r.columns = append(r.columns, column)
		r.out.Channels = append(r.out.Channels, recording.Channel{Signal: column.Name, Words: column.Words})
	}
	result, err := sim.Run(c, r)
	require.NoError(t, err)
	r.out.Source = c.Scenario.Scenario + ".csv"
	return &r.out, result
}

func (r *recorder) Row(row *sim.Row) error {
	r.out.Time = append(r.out.Time, row.TS)
	for i := range r.columns {
		column, channel := &r.columns[i], &r.out.Channels[i]
		x := math.NaN()
		if column.Kind == sequence.KindWord {
			text := string(column.AppendText(nil, row))
			for k, word := range column.Words {
				if word == text {
					x = float64(k)
				}
			}
		} else {
			x = column.Number(row)
		}
		channel.Values = append(channel.Values, x)
	}
	return nil
}

func load(t *testing.T, scenario string, set map[string]string) *sim.Case {
	t.Helper()
	c, _, err := scenarios.LoadCase(scenario, scenarios.Overrides{Set: set})
	require.NoError(t, err)
	return c
}

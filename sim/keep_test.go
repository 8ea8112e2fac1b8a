package sim_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// measured is a case whose sequence keeps the torque that holds the load before the brake closes,
// and relaxes to it after the press.
func measured(t *testing.T, name string) *sim.Case {
	t.Helper()
	base := coarse(t, demo)
	s := base.Nominal().Scenario
	s.Expect = sim.Expect{}
	d := base.Sequence.Source.(sequence.Document).Clone()
	at := func(state string) *sequence.State {
		i := slices.IndexFunc(d.States, func(s sequence.State) bool { return s.Name == state })
		return &d.States[i]
	}
	closing := at("close_brake")
	closing.Keep = append(closing.Keep, sequence.Keep{Name: name, Value: "torque_nm"}, sequence.Keep{Name: "settled", Value: "standstill"})
	load := at("transfer_load")
	for i := range load.Set {
		if load.Set[i].Output == "press_torque_nm" {
			load.Set[i].Value = sequence.Text(name)
		}
	}
	load.Go = append(load.Go, sequence.Transition{To: "secure_axis", When: "not settled", Cause: "not-settled"})
	n, _, err := base.With(s)
	require.NoError(t, err)
	c, _, err := n.WithSequence(d)
	if err != nil {
		require.ErrorContains(t, err, "which is a column of every trace")
		return nil
	}
	return c
}

// A kept value is a column of the trace, and constant from the state that keeps it; the event of
// that state says it.
func TestKeptValueInTrace(t *testing.T) {
	c := measured(t, "held_nm")
	var out bytes.Buffer
	trace, err := sim.NewCSVTrace(&out, c.Sequence)
	require.NoError(t, err)
	r, err := sim.Run(c, trace)
	require.NoError(t, err)
	require.Equal(t, "pass", r.End, r.Cause)
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	held, settled, angle := slices.Index(rows[0], "held_nm"), slices.Index(rows[0], "settled"), slices.Index(rows[0], "angle_rad")
	require.Equal(t, held+1, settled)
	require.True(t, slices.Index(rows[0], "alarm") < held && settled < angle, "behind the outputs")
	var values []string
	for _, row := range rows[1:] {
		values = append(values, row[held])
	}
	values = slices.Compact(values)
	require.Len(t, values, 2)
	require.Equal(t, "0", values[0])
	nm, err := strconv.ParseFloat(values[1], 64)
	require.NoError(t, err)
	require.InDelta(t, 2.81, nm, 0.15*2.81, "the load of the rig, as closely as settle demands with the friction of the guide")
	require.Equal(t, "true", rows[len(rows)-1][settled])
	i := slices.IndexFunc(r.Events, func(e sim.Event) bool { return e.Snapshot.State == "close_brake" && e.EntersState() })
	require.Regexp(t, `^settle → close_brake, .*held_nm = 2\.\d+ N·m, settled = true$`, r.Events[i].What)
	require.Regexp(t, `^close_brake, .*held_nm = `, r.Events[i].Entered())
}

// The event of a state says only those values that it has changed.
func TestKeptValueUnchanged(t *testing.T) {
	r, err := sim.Run(coarse(t, demo), nil)
	require.NoError(t, err)
	last, said := map[string]string{}, 0
	for _, e := range r.Events {
		for _, part := range strings.Split(strings.TrimPrefix(e.Kept, ", "), ", ") {
			name, value, ok := strings.Cut(part, " = ")
			if !ok {
				continue
			}
			require.NotEqual(t, last[name], value, "%s of %s", name, e.Snapshot.State)
			last[name] = value
			said++
		}
	}
	require.Greater(t, said, 5)
	require.NotContains(t, last, "failed", "false from the start to the end")
}

// A copy of a run remembers what the run has kept.
func TestKeptValueInClone(t *testing.T) {
	c := measured(t, "held_nm")
	b := sim.NewBench(c, nil)
	for c.Sequence.States[b.StateIndex()].Name != "press_down" {
		require.True(t, b.Tick())
	}
	twin := b.Clone()
	finish := func(b *sim.Bench) *sim.Result {
		for b.Tick() {
		}
		r, err := b.Result()
		require.NoError(t, err)
		return r
	}
	held := c.Sequence.Kept[0]
	require.Equal(t, held.InputText(&b.View().In), held.InputText(&twin.View().In))
	require.Equal(t, finish(b), finish(twin))
}

// A trace has one column of a name.
func TestKeptValueNamedAsATruth(t *testing.T) {
	require.Nil(t, measured(t, "capacity_nm"))
}

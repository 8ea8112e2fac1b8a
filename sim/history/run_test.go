package history_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

const beyond = int64(1) << 40

func load(tb testing.TB, name string) *sim.Case {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
	require.NoError(tb, err)
	return c
}

func result(tb rapid.TB, r *history.Run) string {
	tb.Helper()
	got, err := r.Result()
	require.NoError(tb, err)
	text, err := json.Marshal(got)
	require.NoError(tb, err)
	return string(text)
}

func TestAdvanceStopsWhereItIsTold(t *testing.T) {
	r := history.New(load(t, "lining-worn-thin"))
	require.False(t, r.Advance(400, nil))
	require.EqualValues(t, 400, r.Ticks())
	require.Len(t, r.Samples(), 50, "one for each functional scan of eight ticks")
	require.True(t, r.Advance(beyond, func(b *sim.Bench) bool {
		return b.Case().Sequence.States[b.StateIndex()].Name == "close_brake"
	}))
	last := r.Events()[len(r.Events())-1]
	require.Contains(t, last.What, "settle → close_brake, load_nm = ")
	require.False(t, r.Advance(beyond, nil))
	require.True(t, r.Done())
	want, err := sim.Run(load(t, "lining-worn-thin"), nil)
	require.NoError(t, err)
	got, err := r.Result()
	require.NoError(t, err)
	require.Equal(t, want, got, "to be recorded changes nothing")
}

// Each moment of the past is what it was when it was the newest, also after changes.
func TestAtIsWhatItWas(t *testing.T) {
	c := load(t, "healthy-down-and-up")
	rapid.Check(t, func(rt *rapid.T) {
		r := history.New(c)
		views := map[int64]*sim.View{}
		for range rapid.IntRange(1, 8).Draw(rt, "steps") {
			if r.Done() {
				break
			}
			r.Advance(r.Ticks()+rapid.Int64Range(1, 9000).Draw(rt, "ticks"), nil)
			switch rapid.IntRange(0, 3).Draw(rt, "edit") {
			case 0:
				_ = r.Change(push("cancel")) // refused once the run is over
			case 1:
				_ = r.Change(condition("0.4"))
			case 2:
				_ = r.Change(func(b *sim.Bench) error { return b.RemoveFault(0) })
			}
			views[r.Ticks()] = r.View()
		}
		for at, want := range views {
			require.Equal(rt, want, r.At(at).View(), "after %d ticks", at)
		}
	})
}

// A branch shares the past and nothing else; without a change it comes to the same end.
func TestBranch(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("oil-on-the-lining", scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "1ms", "rig.clock.functional_scan": "4ms"}})
	require.NoError(t, err)
	whole := history.New(c)
	whole.Advance(beyond, nil)
	want := result(t, whole)
	samples := fmt.Sprint(whole.Samples())
	rapid.Check(t, func(rt *rapid.T) {
		at := rapid.Int64Range(0, whole.Ticks()-1).Draw(rt, "at")
		same, other := whole.Branch(at), whole.Branch(at)
		require.Equal(rt, at, same.Ticks())
		require.NoError(rt, other.Change(push("estop")))
		other.Advance(beyond, nil)
		same.Advance(beyond, nil)
		require.Equal(rt, want, result(rt, same))
		require.Equal(rt, samples, fmt.Sprint(same.Samples()), "as text, since no NaN equals another")
		require.Equal(rt, want, result(rt, whole), "the run that was branched stays")
	})
}

// Going back past a change finds the run without it, going on from there too.
func TestBranchBeforeAChange(t *testing.T) {
	r := history.New(load(t, "healthy-down-and-up"))
	r.Advance(4000, nil)
	require.NoError(t, r.Change(inject(sim.Fault{Set: map[string]string{"encoder.lost": "true"}})))
	r.Advance(8000, nil)
	before := r.Branch(3999)
	before.Advance(8000, nil)
	assert.Empty(t, before.PlayedScenario().Faults)
	after := r.Branch(4000)
	after.Advance(8000, nil)
	assert.Len(t, after.PlayedScenario().Faults, 1)
}

func TestSamplesDoNotChange(t *testing.T) {
	r := history.New(load(t, "healthy-down"))
	r.Advance(4000, nil)
	early := r.Samples()
	kept := append([]history.Sample(nil), early...)
	r.Advance(beyond, nil)
	_ = r.Branch(100)
	require.InDelta(t, kept[len(kept)-1].TS, early[len(early)-1].TS, 0)
	require.Len(t, early, len(kept))
	require.Greater(t, len(r.Samples()), len(kept))
	last := r.Samples()[len(r.Samples())-1]
	require.Equal(t, r.View().State, last.State)
}

// BenchmarkRecord is a nominal run with its past kept, BenchmarkAt one look back.
func BenchmarkRecord(b *testing.B) {
	c := load(b, "healthy-down")
	b.ReportAllocs()
	var simulated float64
	for b.Loop() {
		r := history.New(c)
		r.Advance(beyond, nil)
		simulated += r.View().TS
	}
	b.ReportMetric(simulated/b.Elapsed().Seconds(), "sim-s/s")
}

func BenchmarkAt(b *testing.B) {
	r := history.New(load(b, "healthy-down"))
	r.Advance(beyond, nil)
	n := int64(0)
	for b.Loop() {
		n = (n + 7919) % r.Ticks()
		r.At(n)
	}
}

// A long run keeps few copies, and what was changed on the way stays reachable.
func TestLongRunKeepsFewMarks(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Set: map[string]string{"rig.clock.run_limit": "15m"}})
	require.NoError(t, err)
	s := c.Scenario
	s.Script = []sim.Action{{At: 10 * time.Minute, Set: map[string]bool{"trigger": true}}}
	c, _, err = c.With(s)
	require.NoError(t, err)
	r := history.New(c)
	views := map[int64]*sim.View{}
	for range 28 {
		r.Advance(r.Ticks()+83_000, nil)
		require.NoError(t, r.Change(inject(sim.Fault{Set: map[string]string{"encoder.noise_deg": "0.01"}, For: 3 * time.Second})))
		views[r.Ticks()] = r.View()
	}
	for at, want := range views {
		require.Equal(t, want, r.At(at).View(), "after %d ticks", at)
	}
	require.Less(t, history.Marks(r), 260)
}

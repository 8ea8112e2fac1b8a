package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/internal/uncopied"
)

// change is something done to a run at one of its moments.
type change struct {
	tick int64
	do   func(b *sim.Bench) error
}

func pushes(tick int64, button string, on bool) change {
	return change{tick, func(b *sim.Bench) error { return b.SetButton(button, on) }}
}

func injects(tick int64, f sim.Fault) change {
	return change{tick, func(b *sim.Bench) error { return b.Inject(f) }}
}

func sets(tick int64, target, value string) change {
	return injects(tick, sim.Fault{Set: map[string]string{target: value}})
}

func lifts(tick int64, fault int) change {
	return change{tick, func(b *sim.Bench) error { return b.RemoveFault(fault) }}
}

// play does what is to be done up to a tick.
func play(t *testing.T, b *sim.Bench, ticks int64, deeds []change) {
	t.Helper()
	from := b.Ticks()
	for _, d := range deeds {
		if d.tick >= from && d.tick < ticks {
			ticked(b, d.tick)
			require.NoError(t, d.do(b))
		}
	}
	ticked(b, ticks)
}

// requireAsAlone lets the original and two copies go on side by side, each with deeds of
// its own, and holds each against a run that was never copied.
func requireAsAlone(t *testing.T, c *sim.Case, at int64, before []change, after [3][]change) {
	t.Helper()
	b := sim.NewBench(c, nil)
	play(t, b, at, before)
	side := [3]*sim.Bench{b, b.Clone(), b.Clone()}
	for ticks := at; ticks < at+24_000; ticks += 500 {
		for i, one := range side {
			play(t, one, ticks, after[i])
		}
	}
	for i, one := range side {
		alone := sim.NewBench(c, nil)
		play(t, alone, at, before)
		play(t, alone, at+24_000, after[i])
		want := finished(t, alone)
		require.Equal(t, want, finished(t, one), "number %d", i)
		require.Equal(t, alone.PlayedScenario(), one.PlayedScenario(), "number %d", i)
		require.Equal(t, alone.Events(), one.Events(), "number %d", i)
		require.Equal(t, alone.View().Rig, one.View().Rig, "number %d", i)
	}
}

// Copies of a run share nothing that one of them changes: events, buttons that were
// pushed and are to come, faults that are on, wait or were lifted, states that were
// entered, the judge's data.
func TestCopiesGoOnEachByItself(t *testing.T) {
	t.Parallel()
	t.Run("a controller that cannot be copied", func(t *testing.T) {
		c := uncopied.Case(load(t, demo, nil))
		requireAsAlone(t, c, 9000, []change{
			injects(8000, sim.Fault{Set: map[string]string{"brake.condition": "0.8"}}), pushes(8500, "cancel", false), lifts(8700, 0),
		}, [3][]change{{pushes(9100, "cancel", true)}, {pushes(9050, "power_loss", true), pushes(11_000, "power_loss", false)}, nil})
		b := ticked(sim.NewBench(c, nil), 700)
		require.Zero(t, b.RunAgain())
		require.EqualValues(t, 700, b.Clone().RunAgain(), "from the beginning to the present moment")
		require.EqualValues(t, 700, b.Clone().Clone().RunAgain(), "that of this copy alone")
		require.EqualValues(t, 700, b.Keep().Clone().RunAgain(), "what is kept costs nothing before it is copied")
	})
	t.Run("buttons", func(t *testing.T) {
		requireAsAlone(t, load(t, demo, nil), 9000, []change{
			// three, so that the list has room for a fourth
			pushes(100, "trigger", false), pushes(1000, "trigger", true), pushes(1000, "trigger", false),
		}, [3][]change{
			{pushes(9100, "trigger", true), pushes(12_000, "cancel", true)},
			{pushes(9050, "power_loss", true), pushes(11_000, "power_loss", false)},
			{pushes(9200, "estop", true)},
		})
	})
	t.Run("buttons that are to come", func(t *testing.T) {
		s := load(t, demo, nil).Scenario
		s.Script = []sim.Action{ // three edges, so that the list has room for a fourth
			{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}},
			{At: 4 * time.Second, Set: map[string]bool{"cancel": true}},
			{At: 5 * time.Second, Set: map[string]bool{"cancel": false}},
		}
		c, _, err := load(t, demo, nil).With(s)
		require.NoError(t, err)
		requireAsAlone(t, c, 9000, nil, [3][]change{{pushes(9100, "estop", true)}, {pushes(9200, "cancel", true)}, nil})
	})
	t.Run("faults on one target", func(t *testing.T) {
		oil := sim.Fault{Set: map[string]string{"brake.condition": "0.5"}, For: 200 * time.Millisecond}
		requireAsAlone(t, load(t, demo, nil), 9000, []change{
			injects(8000, sim.Fault{Set: map[string]string{"brake.condition": "0.8"}}), sets(8500, "load.mass_kg", "185"),
		}, [3][]change{
			{injects(9100, oil), lifts(9600, 0), sets(12_000, "load.mass_kg", "150")},
			{lifts(9050, 0), sets(9100, "brake.condition", "0.3"), lifts(13_000, 1)},
			{sets(9500, "load.mass_kg", "200"), injects(13_000, oil), lifts(13_100, 2)},
		})
	})
	t.Run("data of the judge", func(t *testing.T) {
		requireAsAlone(t, load(t, demo, nil), 14_000, nil, [3][]change{
			{sets(14_100, "judge.dwell", "3s")},
			{sets(14_200, "judge.window_deg", "0.001")},
			{sets(14_050, "judge.interval", "4h")},
		})
	})
	t.Run("faults that wait", func(t *testing.T) {
		waits := sim.Fault{When: &sim.Moment{State: "press_down", After: 50 * time.Millisecond}, Set: map[string]string{"brake.condition": "0.35"}}
		requireAsAlone(t, load(t, demo, nil), 9000, []change{injects(8000, waits)}, [3][]change{
			{lifts(9100, 0)},
			{injects(9200, waits), lifts(9300, 0)},
			nil,
		})
	})
}

// A state that the copy has entered meanwhile is still to come in the original, and the
// other way round.
func TestCopiesEnterStatesEachByItself(t *testing.T) {
	waits := sim.Fault{When: &sim.Moment{State: "press_up"}, Set: map[string]string{"encoder.lost": "true"}}
	b := ticked(sim.NewBench(load(t, demo, nil), nil), 9000)
	copied, other := b.Clone(), b.Clone()
	finished(t, copied)
	require.NoError(t, b.Inject(waits), "only the copy has been there")
	finished(t, b)
	require.NoError(t, other.Inject(waits))
	finished(t, other)
	for _, one := range []*sim.Bench{b, other} {
		require.Equal(t, 1, countText(one.Events(), "encoder.lost = true"))
	}
	require.Zero(t, countText(copied.Events(), "encoder.lost"))
}

// A copy writes nothing into the trace of the original.
func TestCopyIsNotTraced(t *testing.T) {
	kept := new(rows)
	b := ticked(sim.NewBench(load(t, demo, nil), kept), 80)
	require.Len(t, *kept, 10)
	ticked(b.Clone(), 800)
	require.Len(t, *kept, 10)
	ticked(b, 88)
	require.Len(t, *kept, 11)
}

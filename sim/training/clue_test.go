package training_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/training"
)

// coarseOn is a case for what holds on any clock: with a longer tick it takes a third of the time.
func coarseOn(t require.TestingT, rig string) *sim.Case {
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Rig: rig, Set: map[string]string{"rig.clock.tick": "1ms"}})
	require.NoError(t, err)
	return c
}

func onRig(t require.TestingT, rig string) *sim.Case {
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Rig: rig})
	require.NoError(t, err)
	return c
}

func record(t *testing.T, c *sim.Case) *training.Recording {
	t.Helper()
	r, err := training.Record(c)
	require.NoError(t, err)
	return r
}

func fault(t *testing.T, name string) catalogue.Entry {
	t.Helper()
	for _, f := range catalogue.Entries() {
		if f.Name == name {
			return f
		}
	}
	t.Fatalf("there is no fault %q in the catalogue", name)
	return catalogue.Entry{}
}

// cluesOf runs a fault of the catalogue at its severe or its usual end.
func cluesOf(t *testing.T, rig, name string, severe bool, when sim.Moment) []training.Clue {
	t.Helper()
	c := onRig(t, rig)
	f := fault(t, name)
	number := f.Usual()
	if severe {
		number = f.Scale.Severe
	}
	faulted := *c
	faulted.Scenario.Faults = []sim.Fault{{When: &when, Set: f.Values(&c.Rig, number)}}
	return training.Clues(record(t, c), record(t, &faulted))
}

// leading are the signals that differed before the sequences parted.
func leading(clues []training.Clue) []string {
	var names []string
	for _, c := range clues {
		if !c.AfterDivergence {
			names = append(names, c.Signal)
		}
	}
	return names
}

func at(state string, after time.Duration) sim.Moment { return sim.Moment{State: state, After: after} }

// The clues of a fault are those that an engineer would look at.
func TestCluesOfKnownFaults(t *testing.T) {
	start := sim.Moment{}
	judged := at("verdict_down", 300*time.Millisecond)
	for _, k := range []struct {
		rig, fault string
		severe     bool
		when       sim.Moment
		first      []string // one of these comes first
		among      []string // all of these before the sequences part
	}{
		{"pane-hoist", "feedback-stuck-closed", false, start, []string{"brake_closed"}, nil},
		{"pane-hoist", "feedback-stuck-closed", false, judged, []string{"brake_closed"}, nil},
		{"pane-hoist", "feedback-stuck-open", false, start, []string{"brake_closed"}, nil},
		{"pane-hoist", "encoder-frozen", false, start, []string{"position_mm"}, nil},
		{"pane-hoist", "encoder-frozen", false, judged, []string{"position_mm"}, nil},
		{"pane-hoist", "encoder-jumps", false, judged, []string{"position_mm"}, []string{"judge_failed", "judge_cause"}},
		{"pane-hoist", "encoder-lost", false, judged, []string{"position_mm", "drive_fault", "drive_ready"}, nil},
		{"pane-hoist", "lining-worn", false, start, []string{"speed", "position_mm"}, []string{"position_mm"}}, // the sequence is as fast as the judge
		{"kiln-gate", "lining-worn", true, start, []string{"speed", "position_mm"}, []string{"position_mm"}},
		{"pane-hoist", "oil-on-lining", false, judged, []string{"standstill", "speed", "position_mm"}, []string{"position_mm", "judge_failed"}},
		{"pane-hoist", "brake-stays-open", false, start, []string{"brake_closed"}, nil},
		{"pane-hoist", "air-gap-grown", false, start, []string{"brake_closed"}, nil},
		{"pane-hoist", "current-limit-low", false, start, []string{"torque_nm"}, []string{"torque_nm", "current_rms_a"}},
		{"tilt-arm", "current-limit-low", true, start, []string{"torque_nm", "position_mm", "position_deg", "speed"}, []string{"torque_nm"}},
		{"pane-hoist", "torque-sign-reversed", false, start, []string{"torque_nm"}, nil},
		{"pane-hoist", "load-heavier", false, start, []string{"torque_nm"}, nil},
		{"pane-hoist", "drive-trips", false, judged, []string{"drive_ready", "drive_fault"}, []string{"drive_fault"}},
		{"pane-hoist", "drive-not-ready", false, judged, []string{"drive_ready"}, nil}, // at which the sequence leaves in the same scan
		{"pane-hoist", "link-down", false, start, []string{"proof"}, []string{"judge_busy"}},
		{"pane-hoist", "interval-wrong", false, start, []string{"proof_left_s"}, nil},
		{"pane-hoist", "ceiling-too-low", false, start, []string{"judge_busy"}, nil}, // the check has ended with the stop; the drive is ready until its torque goes
		{"twin-lift", "coupling-stuck", false, start, []string{"partner_coupled"}, nil},
		{"twin-lift", "coupling-feedback-wrong", false, start, []string{"partner_coupled"}, nil},
	} {
		clues := cluesOf(t, k.rig, k.fault, k.severe, k.when)
		require.NotEmpty(t, clues, "%s on %s", k.fault, k.rig)
		assert.Contains(t, k.first, clues[0].Signal, "%s on %s: %s", k.fault, k.rig, clues[0].Text)
		assert.Subset(t, leading(clues), k.among, "%s on %s", k.fault, k.rig)
		for i, c := range clues {
			assert.NotEmpty(t, c.State)
			assert.Contains(t, c.Text, c.State)
			assert.False(t, i > 0 && c.AtS < clues[i-1].AtS, "%s: clue %d is out of its time", k.fault, i)
		}
	}
}

// What a brake that is not pressed beyond its strength does not show, no clue may claim.
func TestHarmlessFaultsGiveNoClue(t *testing.T) {
	for _, name := range []string{"sense-by-magnitude", "window-too-wide", "drive-switches-on-late"} {
		require.Empty(t, cluesOf(t, "pane-hoist", name, false, sim.Moment{}), name)
	}
}

func TestClueOfTheJudgeSaysWhy(t *testing.T) {
	for _, c := range cluesOf(t, "pane-hoist", "encoder-jumps", false, at("verdict_down", 300*time.Millisecond)) {
		if c.Signal == "judge_failed" {
			require.Contains(t, c.Text, "the judge fails the brake: moved.")
			return
		}
	}
	t.Fatal("no clue of judge_failed")
}

// A frozen position differs from a true one by no more than noise; that it no longer
// changes is all there is to be seen.
func TestClueOfAFrozenSignalAtRest(t *testing.T) {
	clues := cluesOf(t, "pane-hoist", "encoder-frozen", false, at("verdict_down", 300*time.Millisecond))
	require.Contains(t, clues[0].Text, "no longer changes")
	require.InDelta(t, 3.614, clues[0].AtS, 0.01, "when it froze")
}

// Noise alone leads to no clue: on the way to the first transition that comes at another
// time, a run with another seed looks the same.
func TestNoiseIsNoClue(t *testing.T) {
	for _, rig := range scenarios.Names(scenarios.RigKind) {
		c := onRig(t, rig)
		nominal := record(t, c)
		require.Empty(t, training.Clues(nominal, nominal))
		for seed := uint64(2); seed <= 4; seed++ {
			other := *c
			other.Seed = seed
			require.Empty(t, leading(training.Clues(nominal, record(t, &other))), "%s with seed %d", rig, seed)
		}
	}
}

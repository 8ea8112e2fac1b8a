package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

func caseExpecting(t *testing.T, e sim.Expect, faults ...sim.Fault) *sim.Case {
	t.Helper()
	base := load(t, demo, nil)
	s := base.Scenario
	s.Expect, s.Faults = e, faults
	c, _, err := base.With(s)
	require.NoError(t, err)
	return c
}

func broken(names ...string) sim.Broken {
	var list sim.Broken
	for _, n := range names {
		list = append(list, sim.BrokenObligation{Broken: n, Why: "a test"})
	}
	return list
}

func number(x float64) *float64 { return &x }

// Expectations that no run meets together are found in the document alone, the fewest of them.
func TestExpectationsThatExcludeEachOther(t *testing.T) {
	t.Parallel()
	for name, x := range map[string]struct {
		expect     sim.Expect
		path, text string
	}{
		"CaughtAndPassed": {
			sim.Expect{End: "pass", Class: sim.Caught}, "expect.class",
			"no run has end pass and class caught with obligation fresh-proof kept; caught is not released on a proof of the run, with insufficient torque",
		},
		"CaughtAndAllowedOnAProof": {
			sim.Expect{Verdict: "proven", Operation: "allowed", Class: sim.Caught}, "expect.class",
			"no run has verdict proven, operation allowed and class caught; caught is not released on a proof of the run, with insufficient torque",
		},
		"SoundPassAndFailed": {
			sim.Expect{Verdict: "failed", Class: sim.SoundPass}, "expect.class",
			"no run has verdict failed and class sound-pass; sound-pass is released on a proof of the run, with sufficient torque and the load held",
		},
		"SoundPassAndDropped": {
			sim.Expect{Class: sim.SoundPass, Obligations: broken(sim.NoDrop)}, "expect.class",
			"no run has class sound-pass with obligation no-drop broken; sound-pass is released on a proof of the run, with sufficient torque and the load held",
		},
		"FalseAlarmAndDropped": {
			sim.Expect{Class: sim.FalseAlarm, Obligations: broken(sim.NoDrop)}, "expect.class",
			"no run has class false-alarm with obligation no-drop broken; false-alarm is not released, with sufficient torque, the load held and no other fault",
		},
		"SoundPassAndLockedOut": {
			sim.Expect{End: "fail", Operation: "inhibited", Class: sim.SoundPass}, "expect.class",
			"no run has end fail, operation inhibited and class sound-pass; sound-pass is released on a proof of the run, with sufficient torque and the load held",
		},
		"PassWithoutAVerdict": {
			sim.Expect{End: "pass", Verdict: "none"}, "expect.verdict",
			"no run has end pass and verdict none with obligation fresh-proof kept",
		},
		"NoEndInTime": {
			sim.Expect{End: "none"}, "expect.end",
			"no run has end none with obligation bounded kept",
		},
		"EndedAndUnbounded": {
			sim.Expect{End: "stop", Obligations: broken(sim.Bounded)}, "expect.end",
			"no run has end stop with obligation bounded broken",
		},
		"FailedAndStale": {
			sim.Expect{End: "fail", Obligations: broken(sim.FreshProof)}, "expect.end",
			"no run has end fail with obligation fresh-proof broken",
		},
		"DropWithinTheLimit": {
			sim.Expect{LoadDropMM: &sim.Bounds{AtMost: number(5)}, Obligations: broken(sim.NoDrop)}, "expect.load_drop_mm",
			"load_drop_mm is at most 5 mm and no-drop is expected to be broken, which takes more than test.drop_limit_mm, 5 mm: no run is both",
		},
		"DropBeyondTheLimit": {
			sim.Expect{LoadDropMM: &sim.Bounds{AtLeast: number(6)}}, "expect.load_drop_mm",
			"load_drop_mm is at least 6 mm, which breaks no-drop above test.drop_limit_mm, 5 mm, and no-drop is not among the broken obligations: no run is both",
		},
		"TorqueBelowTheCeiling": {
			sim.Expect{PeakNM: &sim.Bounds{AtMost: number(8)}, Obligations: broken(sim.BelowCeiling)}, "expect.peak_torque_nm",
			"peak_torque_nm is at most 8 N·m and below-ceiling is expected to be broken, which takes more than judge.ceiling_nm, 8.5 N·m: no run is both",
		},
		"PathEndsOtherwise": {
			sim.Expect{End: "fail", Path: []string{"...", "passed"}}, "expect.path[1]",
			"path ends in passed, with which the end is pass, and end is fail: no run is both",
		},
		"StepWithoutATransition": {
			sim.Expect{Path: []string{"...", "close_brake", "press_up", "..."}}, "expect.path[2]",
			"sequence reference has no transition from close_brake to press_up: no run takes this path",
		},
		"TimeBesideThePath": {
			sim.Expect{Path: []string{"ready"}, Took: map[string]sim.DurationBounds{"travel": {AtMost: at(time.Second)}}}, "expect.took.'travel'",
			"a time is expected in travel, which is not on expect.path, and that names every state which the run enters: no run is both",
		},
		"OutputsBesideThePath": {
			sim.Expect{Path: []string{"ready"}, Outputs: map[string]map[string]string{"travel": {"brake": "open"}}}, "expect.outputs.'travel'",
			"outputs are expected in travel, which is not on expect.path, and that names every state which the run enters: no run is both",
		},
		"StayLongerThanTheRun": {
			sim.Expect{Within: 5 * time.Second, Took: map[string]sim.DurationBounds{"travel": {AtLeast: at(6 * time.Second)}}}, "expect.took.'travel'",
			"travel takes at least 6s and within is 5s: no run is both",
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			found := caseExpecting(t, x.expect).Contradictions()
			require.Len(t, found, 1)
			require.Equal(t, x.path, found[0].Path)
			require.Equal(t, x.text, found[0].Message)
			require.False(t, found[0].Warning)
		})
	}
}

// What some run meets is no contradiction: a pass that the safety side withholds, a run without an end whose power is
// off, a path that begins anew with the power, and a state off the path that leaves states open.
func TestExpectationsThatSomeRunMeets(t *testing.T) {
	t.Parallel()
	lapsed := sim.Fault{When: &sim.Moment{State: "passed"}, Set: set("judge.proof_left", "0s")}
	dark := sim.Fault{At: at(time.Second), Set: set("operator.power_loss", "true")}
	for name, c := range map[string]*sim.Case{
		"PassWithheld":   caseExpecting(t, sim.Expect{End: "pass", Class: sim.Caught}, lapsed),
		"NoEndUnpowered": caseExpecting(t, sim.Expect{End: "none"}, dark),
		"BeginsAnew":     caseExpecting(t, sim.Expect{Path: []string{"ready", "permissives", "power_up", "..."}}, dark),
		"OpenPath":       caseExpecting(t, sim.Expect{Path: []string{"ready", "...", "passed"}, Took: map[string]sim.DurationBounds{"travel": {AtMost: at(time.Second)}}}),
		"MissedByDrop":   caseExpecting(t, sim.Expect{End: "pass", Class: sim.Missed, Obligations: broken(sim.NoDrop)}),
		"HighPeak":       caseExpecting(t, sim.Expect{PeakNM: &sim.Bounds{AtMost: number(8)}, Obligations: broken(sim.BelowCeiling)}, sim.Fault{At: at(0), Set: set("judge.ceiling_nm", "5")}),
	} {
		require.Empty(t, c.Contradictions(), name)
	}
}

// Whatever comes of a run with a fault of the catalogue at its usual severity, it does not exclude itself: what is
// called impossible is so.
func TestNoRunExcludesItself(t *testing.T) {
	t.Parallel()
	base := coarse(t, demo)
	states := []string{"travel", "press_down", "verdict_up", "open_brake", "passed"}
	for i, entry := range catalogue.Entries() {
		if entry.Settings != nil || !entry.FitsCase(base) || i%5 != 0 && testing.Short() {
			continue
		}
		when := sim.Moment{State: states[i%len(states)]}
		if entry.WholeRun() {
			when = sim.Moment{}
		}
		s := base.Scenario
		s.Faults = []sim.Fault{entry.At(&base.Rig, entry.Usual(), when)}
		c, _, err := base.With(s)
		require.NoError(t, err, entry.Name)
		r, err := sim.Run(c, nil)
		require.NoError(t, err)
		c.Scenario.Expect = sim.Expected(r)
		c.Scenario.Expect.Operation = r.Operation
		for _, v := range r.Visits {
			c.Scenario.Expect.Path = append(c.Scenario.Expect.Path, v.State)
		}
		require.Empty(t, c.Contradictions(), "%s in %s", entry.Name, when.State)
	}
}

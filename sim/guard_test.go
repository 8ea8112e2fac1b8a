package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// guarded is a run of a rig with a guard that only waits, after a script.
func guarded(t *testing.T, set map[string]string, script ...sim.Action) *sim.Bench {
	t.Helper()
	own := map[string]string{"safety.guard": "locked"}
	for k, v := range set {
		own[k] = v
	}
	base := load(t, demo, nil)
	s := base.Scenario
	s.Lesson, s.Expect, s.Set, s.Script = nil, sim.Expect{}, own, script
	c, _, err := base.With(s)
	require.NoError(t, err)
	return sim.NewBench(c, nil)
}

func press(at time.Duration, buttons ...string) sim.Action {
	set := map[string]bool{}
	for _, b := range buttons {
		set[b] = true
	}
	return sim.Action{At: at, Set: set}
}

// A guard with guard locking opens only where the safety side has unlocked it, and by its escape release
// at any time (ISO 14119, 4.3 and 5.7, from memory).
func TestGuardOpensOnlyWhereItIsUnlocked(t *testing.T) {
	closedAt := func(b *sim.Bench, s float64) bool {
		for b.View().TS < s && b.Tick() {
			continue
		}
		return b.View().In.GuardClosed
	}
	b := guarded(t, nil, press(100*time.Millisecond, "guard_open"))
	require.True(t, closedAt(b, 1), "nobody has unlocked it")

	b = guarded(t, map[string]string{"safety.guard_forced": "true"}, press(100*time.Millisecond, "guard_open"))
	require.False(t, closedAt(b, 0.2), "forced")

	b = guarded(t, nil, press(100*time.Millisecond, "guard_open", "access"))
	require.True(t, closedAt(b, 0.5), "the torque is still on")
	require.False(t, closedAt(b, 1.5))
	require.Equal(t, "STO", b.View().Judge.Stop)
	require.Equal(t, "guard", b.View().In.StopCause)

	b = guarded(t, map[string]string{"safety.guard": "none"}, press(100*time.Millisecond, "guard_open", "access"))
	require.True(t, closedAt(b, 1.5), "there is none")
	require.Empty(t, b.View().Judge.Stop)
}

// A failure and the counter outlast a loss of power, as the sequence reads them, and a button that is
// held meanwhile acknowledges nothing (ISO 13849-1, 5.2.2 and 6.2.5, from memory).
func TestPowerLossKeepsFailureAndCounterOfTheJudge(t *testing.T) {
	c := load(t, "lining-worn-thin", nil)
	b := runUntilEvent(t, sim.NewBench(c, nil), "failed: moved")
	count := b.View().Judge.Verdict.TestCount
	require.Equal(t, 1, count)
	require.NoError(t, b.SetButton("acknowledge", true))
	losePower(t, b, 2000)
	ticked(b, b.Ticks()+4000)
	require.NoError(t, b.SetButton("acknowledge", false))
	ticked(b, b.Ticks()+1000)
	in := b.View().In
	require.True(t, in.JudgeFailed)
	require.Equal(t, "moved", in.JudgeCause)
	require.InDelta(t, count, in.TestCount, 0)
	require.False(t, in.Proof)
	require.True(t, in.OperationInhibited)
}

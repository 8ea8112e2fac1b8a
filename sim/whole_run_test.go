package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

func runOf(t *testing.T, scenario string, set map[string]string) *sim.Result {
	t.Helper()
	r, err := sim.Run(load(t, scenario, set), nil)
	require.NoError(t, err)
	return r
}

// A brake that fades after the verdict is released with 3.16 of 3.65 N·m: the judge was right, and
// the run as a whole has missed it. Capacity: 9 N·m · (1 − 0.005/K · (189.8 − 60) K) = 3.16 N·m.
func TestClassLooksAtTheEnd(t *testing.T) {
	r := runOf(t, "fading-lining-tested-cold", nil)
	require.InDelta(t, 9, r.BrakeCapacityNM, 1e-9)
	require.InDelta(t, 9*(1-0.005*(r.BrakeTempC-60)), r.BrakeCapacityAtEndNM, 1e-9)
	require.Less(t, r.BrakeCapacityAtEndNM, r.RequiredAtEndNM)
	require.True(t, r.Released)
	require.True(t, *r.VerdictRight)
	require.Equal(t, sim.Missed, r.Class)
}

// What the sequence locks out is not released, whatever the judge has said of it.
func TestSequenceCatchesBesideAProof(t *testing.T) {
	for _, c := range []struct {
		scenario string
		right    bool
		class    sim.Class
	}{
		{"dwell-too-short", false, sim.Caught},           // proven with 3.33 of 3.65 N·m
		{"oil-after-the-last-verdict", true, sim.Caught}, // sufficient when it was proven
		{"brake-does-not-open", true, sim.Refused},       // sufficient throughout
		{"link-lost-before-the-end", true, sim.Refused},  // and the proof that is read is not live
		{"transmission-severed", true, sim.Refused},      // the load fell
	} {
		r := runOf(t, c.scenario, nil)
		require.Equal(t, "proven", r.Verdict, c.scenario)
		require.False(t, r.Released, c.scenario)
		require.Equal(t, c.right, *r.VerdictRight, c.scenario)
		require.Equal(t, c.class, r.Class, c.scenario)
	}
	require.False(t, runOf(t, "transmission-severed", nil).LoadHeld)
}

// A pass on an old proof is not one of this run. With an insufficient brake nothing has caught it.
func TestStalePassIsMissed(t *testing.T) {
	r := runOf(t, "old-proof-accepted", nil)
	require.Equal(t, "none", r.Verdict)
	require.True(t, r.Released)
	require.Equal(t, "allowed", r.Operation)
	require.Equal(t, sim.Missed, r.Class)
}

// Operation is what the sequence releases and the safety side does not withhold: a pass of the sequence
// beside a failure that stands is no release (ISO 13849-1, 6.2.5, from memory).
func TestWithheldOperationIsNoRelease(t *testing.T) {
	r := runOf(t, "stale-verdict-accepted", nil)
	require.Equal(t, "pass", r.End)
	require.Equal(t, "failed", r.Verdict)
	require.True(t, *r.VerdictRight)
	require.True(t, r.Withheld)
	require.False(t, r.Released)
	require.Equal(t, "inhibited", r.Operation)
	require.Equal(t, sim.Caught, r.Class)
}

// Without a verdict there is nothing to be right about.
func TestNoVerdictIsNeitherRightNorWrong(t *testing.T) {
	r := runOf(t, "severed-while-the-first-brake-is-tested", nil)
	require.Equal(t, "none", r.Verdict)
	require.Nil(t, r.VerdictRight)
	require.False(t, r.LoadHeld)
}

// A load that has left the motor is held by the brake behind the gear alone, and that one must be
// sufficient: neither the drive nor the brake on the motor counts. The load takes 10 N·m at the
// motor shaft and the test 13 N·m; the second brake has 31 N·m, of which 0.36 are 11.2 N·m: it holds
// the load and does not meet the requirement.
func TestSeveredLoadOnAWeakSecondBrake(t *testing.T) {
	for _, c := range []struct {
		condition string
		kept      bool
	}{{"1", true}, {"0.45", true}, {"0.36", false}} {
		r := runOf(t, "severed-held-by-the-second-brake", map[string]string{"rig.brake_2.condition": c.condition})
		require.Equal(t, "fail", r.End, c.condition)
		require.True(t, obligation(t, r, sim.NoDrop).Kept, c.condition)
		lockout := obligation(t, r, sim.LockedOut)
		require.Equal(t, c.kept, lockout.Kept, "condition %s: %s", c.condition, lockout.Detail)
		if !c.kept {
			require.Contains(t, lockout.Detail, "the drive cannot hold a severed load, and brake 2 has 11.2 N·m of 13 N·m required")
		}
	}
}

// A severed load that has fallen onto its support is supported, however weak the brakes are.
func TestSeveredLoadOnItsSupport(t *testing.T) {
	r := runOf(t, "severed-with-both-on-the-motor", nil)
	require.InDelta(t, 1, r.SupportShare, 1e-9)
	require.True(t, obligation(t, r, sim.LockedOut).Kept)
}

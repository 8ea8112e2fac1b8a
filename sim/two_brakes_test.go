package sim_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// reference is the reference sequence on an axis that moves at up to 250 mm/s.
func reference() string {
	return strings.Replace(string(sequence.Reference()), "jump_mm_s: 225", "jump_mm_s: 375", 1)
}

func runOnTheLift(t *testing.T, text string, set map[string]string) *sim.Result {
	t.Helper()
	return ranWithSequence(t, "healthy-two-brakes", text, set)
}

func obligation(t *testing.T, r *sim.Result, name string) sim.Obligation {
	t.Helper()
	for _, o := range r.Obligations {
		if o.Name == name {
			return o
		}
	}
	t.Fatalf("no obligation %s", name)
	return sim.Obligation{}
}

// A test of one brake alone proves nothing of the other: there is no proof, no verdict of the run
// as a whole, and no pass. The reference with the second brake left open is such a test.
func TestOneBrakeTestedIsNotBoth(t *testing.T) {
	text := strings.Replace(reference(), "set: {drive: hold, brake: open, operation", "set: {drive: hold, brake: open, brake_2: open, operation", 1)
	r := runOnTheLift(t, text, nil)
	require.Equal(t, "fail", r.End)
	require.Equal(t, "no-verdict", r.Cause)
	require.Equal(t, "none", r.Verdict)
	require.Equal(t, sim.FalseAlarm, r.Class)
}

// A sequence that passes on the proof of one brake has no fresh proof of each, whatever an earlier test
// has left of the other.
func TestFreshProofOfEachBrake(t *testing.T) {
	text := strings.Replace(reference(), "set: {drive: hold, brake: open, operation", "set: {drive: hold, brake: open, brake_2: open, operation", 1)
	text = strings.NewReplacer("and proof and proof_left_s > left_before_s", "").Replace(text)
	r := runOnTheLift(t, text, nil)
	require.Equal(t, "pass", r.End)
	broken := obligation(t, r, sim.FreshProof)
	require.False(t, broken.Kept)
	require.Contains(t, broken.Detail, "passed without a proof of each brake newer than the ask")
}

// Truth asks each brake alone, whatever both together hold and the judge says of them.
func TestTruthOfEachBrake(t *testing.T) {
	for _, c := range []struct {
		first, second string
		class         sim.Class
		weakest       float64
	}{
		{"1", "1", sim.SoundPass, 30}, {"0.4", "1", sim.Missed, 12}, {"1", "0.4", sim.Missed, 12.4},
	} {
		r := runOnTheLift(t, reference(), map[string]string{
			"rig.brake.condition": c.first, "rig.brake_2.condition": c.second, "judge.one_brake_at_a_time": "false",
		})
		require.Equal(t, c.class, r.Class, "conditions %s and %s", c.first, c.second)
		require.InDelta(t, c.weakest, r.WeakestNM(), 1e-9)
	}
}

// unloading puts the load on both brakes, and opens the first one with the drive off.
const unloading = `
sequence: unloading
start: ready
params: {load_torque_nm: 9.99}
states:
  ready: {go: [{to: closing, when: trigger}]}
  closing: {set: {brake: closed, brake_2: closed, operation: inhibited}, go: [{to: off, after: 300ms}]}
  off: {set: {drive: "off"}, go: [{to: open_one, after: 300ms}]}
  open_one: {set: {brake: open}, go: [{to: close_again, after: 200ms}]}
  close_again: {set: {brake: closed}, go: [{to: locked, after: 300ms}]}
  locked: {}
ends: {locked: fail}
`

// Carried: one brake may open with the drive off while the other holds the load, and not if that
// one is too weak for it.
func TestTheOtherBrakeCarries(t *testing.T) {
	r := runOnTheLift(t, unloading, nil)
	for _, o := range r.Obligations {
		require.True(t, o.Kept, "%s: %s", o.Name, o.Detail)
	}
	r = runOnTheLift(t, unloading, map[string]string{"rig.brake_2.condition": "0.3"})
	require.False(t, obligation(t, r, sim.Carried).Kept)
}

// Locked-out: one sufficient brake that is closed supports the load.
func TestEitherBrakeSupports(t *testing.T) {
	for _, c := range []struct {
		first, second string
		kept          bool
	}{{"0.2", "1", true}, {"1", "0.2", true}, {"0.4", "0.4", false}} {
		r := runOnTheLift(t, unloading, map[string]string{"rig.brake.condition": c.first, "rig.brake_2.condition": c.second})
		require.Equal(t, c.kept, obligation(t, r, sim.LockedOut).Kept, "conditions %s and %s", c.first, c.second)
	}
}

// The safety side has the last word over both brakes: above the ceiling it closes both.
func TestStopClosesBothBrakes(t *testing.T) {
	c := load(t, "healthy-two-brakes", map[string]string{"judge.ceiling_nm": "20"})
	b := sim.NewBench(c, nil)
	for b.Tick() {
		if v := b.View(); v.Judge.Stop != "" {
			ticked(b, b.Ticks()+int64(200*time.Millisecond/c.Rig.Clock.Tick))
			v = b.View()
			require.Equal(t, 1.0, v.Truth.Engagement)
			require.Equal(t, 1.0, v.Brake2.Engagement)
			return
		}
	}
	t.Fatal("no stop")
}

// The result names the second brake only where there is one.
func TestResultOfTwoBrakes(t *testing.T) {
	r := run(t, "healthy-two-brakes", nil)
	require.InDelta(t, 31, *r.Brake2CapacityNM, 1e-9)
	require.InDelta(t, 30, r.WeakestNM(), 1e-9)
	r = run(t, demo, nil)
	require.Nil(t, r.Brake2CapacityNM)
	require.InDelta(t, 9, r.WeakestNM(), 1e-9)
}

// A sequence for two brakes does not fit a rig with one.
func TestSequenceOfTwoBrakesNeedsThem(t *testing.T) {
	_, _, err := scenarios.LoadCase(demo, scenarios.Overrides{Sequence: "two-brakes"})
	require.ErrorContains(t, err, "sequence two-brakes uses brake_2 and rig pane-hoist has one brake")
}

package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// This sequence sets the load down: it moves to below where the load touches its support, takes the
// torque away, opens the brake and locks the axis out.
const setsDown = `
sequence: sets-down
start: ready
params: {load_torque_nm: 1.85, test_position_mm: 600}
states:
  ready:
    go: [{to: lower, when: trigger}]
  lower:
    set: {drive: move, target_mm: 18, torque_limit_nm: 4, operation: inhibited}
    go: [{to: unload, when: position_mm < 18.3, for: 300ms}]
  unload:
    set: {drive: press, press_torque_nm: 0, press_rate_nm_s: 10}
    go: [{to: clamp, after: 500ms}]
  clamp:
    set: {drive: off, brake: closed}
    go: [{to: release, after: 500ms}]
  release:
    set: {brake: open}
    go: [{to: down, after: 500ms}]
  down:
    note: set down and locked out
ends: {down: fail}
`

// liftWith is a run of a sequence on the lift with a support, with values set.
func liftWith(t *testing.T, sequence string, set map[string]string) *sim.Result {
	t.Helper()
	return ranWithSequence(t, "healthy-with-payload", sequence, set)
}

// A load that is set down needs no torque and no brake: the brake may open with the drive off, and it
// stays supported. Truth says what the support carries: (160 kg · 9.80665 m/s² − 698 N) = 871 N, all of
// the load, where the gas spring helps with 698 N. Source: statics.
func TestLoadThatIsSetDown(t *testing.T) {
	r := liftWith(t, setsDown, nil)
	require.Equal(t, "down", r.EndedIn)
	require.Empty(t, brokenNames(r))
	require.InDelta(t, 1, r.SupportShare, 0.15, "the guide holds up to 0.2 N·m of 1.75")
	require.InDelta(t, 160*9.80665-(700-0.1*18.7), r.SupportN, 0.2/1.75*871)
	require.Less(t, r.LoadDropMM, 1.5)
}

// Without its support the same sequence drops the load onto the lower stop.
func TestLoadThatIsSetDownBesideItsSupport(t *testing.T) {
	r := liftWith(t, setsDown, map[string]string{"rig.support.removed": "true"})
	require.Subset(t, brokenNames(r), []string{sim.NoDrop, sim.Carried})
	require.Zero(t, r.SupportShare)
	require.Greater(t, r.LoadDropMM, 15.0)
}

// What hangs on the axis today changes nothing of what the brake must hold: the class of the same brake is
// the same with any payload. Of 5.43 N·m required, 5 N·m are not sufficient and 6 are.
func TestClassFollowsTheMostPayload(t *testing.T) {
	for _, payload := range []struct{ kg, torque string }{{"0", "1.07"}, {"40", "1.85"}, {"150", "3.99"}} {
		for _, brake := range []struct {
			condition  string
			sufficient bool
		}{{"0.41666", false}, {"0.5", true}} {
			set := map[string]string{
				"rig.load.payload_kg": payload.kg, "sequence.load_torque_nm": payload.torque, "rig.brake.condition": brake.condition,
				"rig.judge.ceiling_nm": "20", "rig.drive.current_limit_rms_a": "20",
			}
			c, _, err := scenarios.LoadCase("healthy-with-payload", scenarios.Overrides{Set: set})
			require.NoError(t, err)
			r, err := sim.Run(c, nil)
			require.NoError(t, err)
			require.InDelta(t, 5.4255, r.RequiredTorqueNM, 1e-4)
			require.Equal(t, brake.sufficient, r.BrakeCapacityNM >= r.RequiredTorqueNM, payload.kg)
			require.NotEqual(t, sim.Missed, r.Class)
		}
	}
}

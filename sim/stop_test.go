package sim_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// deaf is a sequence that takes no notice of a stop: it commands the open brake and a press or a
// hold, whatever happens.
const deaf = `
sequence: deaf
start: ready
states:
  ready: {set: {drive: hold, brake: open}, go: [{to: stay, when: trigger}]}
  stay: {set: {drive: %s, press_torque_nm: 2.81, press_rate_nm_s: 0, brake: open}, go: [{to: over, after: 6s}]}
  over: {}
ends: {over: stop}
`

// stopScript presses the emergency stop at 1 s for some time, and resets 3 s after it if asked to.
func stopScript(lasts time.Duration, reset bool) []sim.Action {
	script := []sim.Action{
		{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}},
		{At: time.Second, For: lasts, Set: map[string]bool{"estop": true}},
	}
	if reset {
		script = append(script, sim.Action{At: 4 * time.Second, For: 100 * time.Millisecond, Set: map[string]bool{"reset": true}})
	}
	return script
}

// stopRun runs a sequence of the demo's rig with a script and faults.
func stopRun(t *testing.T, text string, script []sim.Action, faults ...sim.Fault) *sim.Result {
	t.Helper()
	c := caseOf(t, text)
	s := c.Scenario
	s.Script, s.Faults = script, faults
	c, _, err := c.With(s)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	return r
}

// timesOf are the times in s at which events of a type happened.
func timesOf(r *sim.Result, of sim.EventType) []float64 {
	var list []float64
	for _, e := range r.Events {
		if e.Type == of {
			list = append(list, e.TS)
		}
	}
	return list
}

// A stop needs no sequence: whatever it commands, the brake is closed before the torque goes, the
// torque is gone a second after the button and a safety scan, and stays away though the button was
// released (IEC 60204-1, 9.2.5.4; ISO 13850, 4.1; from memory).
func TestStopOverridesTheSequence(t *testing.T) {
	for _, drive := range []string{"hold", "press", "move", `"off"`} {
		r := stopRun(t, fmt.Sprintf(deaf, drive), stopScript(500*time.Millisecond, false))
		off, closed := timesOf(r, sim.EventDriveTorqueOff), timesOf(r, sim.EventBrakeClosed)
		require.Len(t, off, 1, drive)
		require.Len(t, closed, 1, drive)
		require.Empty(t, timesOf(r, sim.EventDriveTorqueOn), drive)
		require.NotContains(t, brokenNames(r), sim.TorqueOff, drive)
		require.InDelta(t, 1.8, closed[0]-0.045, 0.009, "%s: brake_time before the end, and 45 ms to close", drive)
		if drive == `"off"` {
			require.InDelta(t, 0.5, off[0], 0.001, "that was the sequence, and the stop does not switch the drive on")
			continue
		}
		require.InDelta(t, 2.0, off[0], 0.009, drive)
		require.NotContains(t, brokenNames(r), sim.NoDrop, drive)
	}
}

// The reset gives drive and brake back to the sequence, with what it commands at that moment: one
// that has not taken notice of the stop drops the load. The torque comes back after the reset only.
func TestResetStartsWhatIsCommanded(t *testing.T) {
	r := stopRun(t, fmt.Sprintf(deaf, "hold"), stopScript(500*time.Millisecond, true))
	require.Equal(t, []float64{4.104}, timesOf(r, sim.EventStopReset), "in the scan that reads the release")
	on := timesOf(r, sim.EventDriveTorqueOn)
	require.Len(t, on, 1)
	require.Greater(t, on[0], 4.1)
	require.NotContains(t, brokenNames(r), sim.TorqueOff)
	require.Contains(t, brokenNames(r), sim.Carried, "the brake opens before the drive has torque")
}

// The obligation goes by the demand and by the time of the rig as it was built, not by what the
// safety side makes of them.
func TestTorqueOffIsBrokenByALongerStop(t *testing.T) {
	longer := sim.Fault{When: &sim.Moment{}, Set: map[string]string{"safety.stop_time": "1100ms"}}
	r := stopRun(t, fmt.Sprintf(deaf, "hold"), stopScript(500*time.Millisecond, false), longer)
	require.Contains(t, brokenNames(r), sim.TorqueOff)
	for _, o := range r.Obligations {
		if o.Name == sim.TorqueOff {
			require.InDelta(t, 2.0, *o.AtS, 0.02)
			require.Contains(t, o.Detail, "safety.stop_time, 1s")
		}
	}
}

// A brake that is open when the stop begins and closed by the sequence while the drive still stops
// closes at once, as that is the safe direction; one that is closed does not open.
func TestNoBrakeOpensInAStop(t *testing.T) {
	const late = `
sequence: late
start: ready
states:
  ready: {set: {drive: hold, brake: open}, go: [{to: wait, when: safe_stop}]}
  wait: {go: [{to: closes, after: 100ms}]}
  closes: {set: {brake: closed}, go: [{to: opens, after: 200ms}]}
  opens: {set: {brake: open}, go: [{to: over, after: 3s}]}
  over: {}
ends: {over: stop}
`
	r := stopRun(t, late, stopScript(500*time.Millisecond, false))
	closed := timesOf(r, sim.EventBrakeClosed)
	require.Len(t, closed, 1)
	require.InDelta(t, 1.15, closed[0], 0.02)
	require.Empty(t, timesOf(r, sim.EventBrakeOpened))
}

package scenarios_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// torqueFrom keeps the extremes of the motor torque from the first entry of a state on.
type torqueFrom struct {
	state     string
	entered   bool
	low, high float64 // N·m
	drive     sequence.DriveMode
}

func (k *torqueFrom) Row(r *sim.Row) error {
	if k.entered = k.entered || r.State == k.state; k.entered {
		k.low, k.high = min(k.low, r.Truth.MotorTorqueNM), max(k.high, r.Truth.MotorTorqueNM)
		k.drive = r.Out.Drive
	}
	return nil
}

// A drive in position control that is closed in between two brakes beside its setpoint integrates the
// deviation until its torque is at the limit. In a lockout that lasts, the motor torque must stay where
// it was: at 0 with the load on its support, at the load torque where there is none. Here a start that
// does nothing keeps the run in the lockout for 20 s and more, in which the integral of the ladle lift ran
// from −4 N·m to its limit of 27 N·m.
func TestNoTorqueBuildsUpInALockout(t *testing.T) {
	t.Parallel()
	const ladleNM, paneNM, storeNM = 9.99, 2.81, 1.73 // that hold the load
	for _, test := range []struct {
		name, scenario, support string
		drive                   sequence.DriveMode
		torqueNM, loadNM        float64
	}{
		{"set down, second brake worn", "second-brake-worn", "true", sequence.DriveOff, 0, ladleNM},
		{"set down, first brake worn", "first-brake-worn", "true", sequence.DriveOff, 0, ladleNM},
		{"no support", "second-brake-worn", "false", sequence.DrivePress, ladleNM, ladleNM},
		{"before the travel", "second-brake-stays-closed", "true", sequence.DrivePress, ladleNM, ladleNM},
		{"at the test position", "switches-swapped", "true", sequence.DrivePress, ladleNM, ladleNM},
		{"one brake, no support", "lining-worn-thin", "false", sequence.DrivePress, paneNM, paneNM},
		{"one brake, set down", "support-carries-the-load", "true", sequence.DriveOff, 0, storeNM},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			c, _, err := scenarios.LoadCase(test.scenario, scenarios.Overrides{Set: map[string]string{"sequence.support": test.support, "rig.clock.run_limit": "90s"}})
			require.NoError(t, err)
			s := c.Nominal().Scenario
			press := map[string]bool{"trigger": true}
			s.Faults, s.Script = c.Scenario.Faults, []sim.Action{{At: time.Second / 2, For: time.Second, Set: press}, {At: lasting, For: time.Second, Set: press}}
			s.Lesson, s.Expect = nil, sim.Expect{}
			c, _, err = c.With(s)
			require.NoError(t, err)
			kept := &torqueFrom{state: "locked_out", low: math.Inf(1), high: math.Inf(-1)}
			r, err := sim.Run(c, kept)
			require.NoError(t, err)
			require.Equal(t, "locked_out", r.EndedIn)
			require.Less(t, r.DurationS, (lasting - 20*time.Second).Seconds(), "until the lockout")
			require.Equal(t, test.drive, kept.drive)
			require.InDelta(t, test.torqueNM, kept.low, 0.05*test.loadNM)
			require.InDelta(t, test.torqueNM, kept.high, 0.05*test.loadNM)
		})
	}
}

// lasting is the time at which a start is pressed in vain.
const lasting = 60 * time.Second

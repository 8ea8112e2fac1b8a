package scenarios_test

import (
	"math"
	"os"
	"strings"
	"testing"

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
// it was: at 0 with the load on its support, at the load torque where there is none. Here the lockout
// goes on for 20 s, in which the integral of the ladle lift ran from −4 N·m to its limit of 27 N·m.
func TestNoTorqueBuildsUpInALockout(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("sequences/two-brakes.yaml")
	require.NoError(t, err)
	lasting := strings.NewReplacer(
		"locked_out:\n    note: operation stays inhibited; drive and brakes stay as they are\n",
		"locked_out: {go: [{to: inspected, after: 20s}], opt_out: [drive_loss_close, stop_in_motion, cancel_stop]}\n  inspected: {}\n",
		"locked_out: fail", "inspected: fail").Replace(string(text))
	document, _, err := scenarios.ParseSequence("lasting.yaml", []byte(lasting))
	require.NoError(t, err)
	const loadNM, toleranceNM = 9.99, 0.05 * 9.99 // load_torque_nm and transfer_tolerance_nm
	for _, test := range []struct {
		name, scenario, support string
		drive                   sequence.DriveMode
		torqueNM                float64
	}{
		{"set down, second brake worn", "second-brake-worn", "true", sequence.DriveOff, 0},
		{"set down, first brake worn", "first-brake-worn", "true", sequence.DriveOff, 0},
		{"no support", "second-brake-worn", "false", sequence.DrivePress, loadNM},
		{"before the travel", "second-brake-stays-closed", "true", sequence.DrivePress, loadNM},
		{"at the test position", "switches-swapped", "true", sequence.DrivePress, loadNM},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			c, _, err := scenarios.LoadCase(test.scenario, scenarios.Overrides{Set: map[string]string{"sequence.support": test.support}})
			require.NoError(t, err)
			c.Scenario.Lesson, c.Scenario.Expect = nil, sim.Expect{}
			c, _, err = c.WithSequence(*document)
			require.NoError(t, err)
			kept := &torqueFrom{state: "locked_out", low: math.Inf(1), high: math.Inf(-1)}
			r, err := sim.Run(c, kept)
			require.NoError(t, err)
			require.Equal(t, "inspected", r.EndedIn)
			require.Equal(t, test.drive, kept.drive)
			require.InDelta(t, test.torqueNM, kept.low, toleranceNM)
			require.InDelta(t, test.torqueNM, kept.high, toleranceNM)
		})
	}
}

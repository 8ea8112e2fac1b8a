package binding

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/sequence"
)

// What a controls engineer calls a thing is found under the name that the bench has for it, and under no
// other.
func TestSimilarity(t *testing.T) {
	t.Parallel()
	about := referenceNames()
	signals := func(list []sequence.Signal) []string {
		var names []string
		for _, s := range list {
			names = append(names, s.Name)
		}
		return names
	}
	inputs, outputs := signals(sequence.InputSignals()), signals(sequence.OutputSignals())
	for _, c := range []struct {
		among     []string
		own, want string
	}{
		{inputs, "bStart", "trigger"},
		{inputs, "i_xStartTest", "trigger"},
		{inputs, "bBrakeShut", "brake_closed"},
		{inputs, "xBrakeClosedFb", "brake_closed"},
		{inputs, "rPosition", "position_mm"},
		{inputs, "axis.rActPos", "position_mm"},
		{inputs, "axis.pos", "position_mm"},
		{inputs, "rTorque", "torque_nm"},
		{inputs, "bBusy", "judge_busy"},
		{inputs, "bOk", "proof"},
		{inputs, "bNotOk", "judge_failed"},
		{inputs, "bDriveOk", "drive_ready"},
		{inputs, "bSafeStop", "safe_stop"},
		{inputs, "bDoorClosed", "guard_closed"},
		{inputs, "bNotClosed", ""},
		{inputs, "xLamp", ""},
		{inputs, "xBremseZu", "brake_closed"},
		{inputs, "bNotHalt", "estop"},
		{inputs, "rLageIst", "position_mm"},
		{inputs, "rPositionIst", "position_mm"},
		{inputs, "rMomentIst", "torque_nm"},
		{inputs, "rDrehmoment", "torque_nm"},
		{inputs, "rStromIst", "current_rms_a"},
		{inputs, "rGeschwindigkeit", "speed"},
		{inputs, "xStillstand", "standstill"},
		{inputs, "xAntriebBereit", "drive_ready"},
		{inputs, "xAntriebEin", "drive_on"},
		{inputs, "xAntriebStoerung", "drive_fault"},
		{inputs, "xSchutztuerZu", "guard_closed"},
		{inputs, "xQuittierung", "acknowledge"},
		{inputs, "xPruefungLaeuft", "judge_busy"},
		{inputs, "xPruefOK", "proof"},
		{inputs, "xStart", "trigger"},
		{inputs, "tRestzeit", "proof_left_s"},
		{outputs, "xBremseAuf", "brake"},
		{outputs, "rLageSoll", "target_mm"},
		{outputs, "rMomentSoll", "press_torque_nm"},
		{outputs, "rRampe", "press_rate_nm_s"},
		{outputs, "xFreigabe", "operation"},
		{outputs, "xAnforderung", "ask"},
		{about.StateNames(), "fahren", "travel"},
		{about.StateNames(), "bremse_schliessen", "close_brake"},
		{about.StateNames(), "bestanden", "passed"},
		{about.StateNames(), "stoerung", "locked_out"},
		{about.Causes, "bremse_nicht_zu", "brake-not-closed"},
		{about.ParamNames(), "rPruefposition", "test_position_mm"},
		{outputs, "eCmd", "drive"},
		{outputs, "bShutBrake", "brake"},
		{outputs, "rTargetPos", "target_mm"},
		{outputs, "rRamp", "press_rate_nm_s"},
		{outputs, "rReqCurrent", "required_current_a"},
		{outputs, "bRelease", "operation"},
		{outputs, "sMessage", "alarm"},
		{about.StateNames(), "press", "press_down"},
		{about.StateNames(), "press_up", "press_up"},
		{about.StateNames(), "ask", "verdict_down"},
		{about.StateNames(), "close", "close_brake"},
		{about.StateNames(), "open", "open_brake"},
		{about.StateNames(), "move", "travel"},
		{about.StateNames(), "failed", "locked_out"},
		{about.StateNames(), "done", "passed"},
		{about.StateNames(), "lubricate", ""},
		{about.Causes, "slip", "slipped"},
		{about.Causes, "not_closed", "brake-not-closed"},
		{about.Causes, "not_ok", ""},
		{about.ParamNames(), "stPar.rLoadTorque", "load_torque_nm"},
		{about.ParamNames(), "rTestPos", "test_position_mm"},
		{about.ParamNames(), "tTravelMax", "travel_time_s"},
		{about.ParamNames(), "rTorqueConst", "torque_constant_nm_per_rms_a"},
		{about.ParamNames(), "rSlipMax", "slip_alarm_mm"},
		{about.ParamNames(), "tDwell", ""},
	} {
		best, score := "", 0.0
		for _, name := range c.among {
			if s := similarity(name, c.own); s >= alike && s > score {
				best, score = name, s
			}
		}
		assert.Equal(t, c.want, best, "%s, %.2f", c.own, score)
	}
}

// A table of other names that names nothing would do nothing.
func TestAliasesAreOfWhatThereIs(t *testing.T) {
	t.Parallel()
	about := referenceNames()
	var signals []string
	for _, s := range append(sequence.InputSignals(), sequence.OutputSignals()...) {
		signals = append(signals, s.Name)
	}
	for _, c := range []struct {
		table map[string][]string
		names []string
	}{{signalAliases(), signals}, {stateAliases(), about.StateNames()}, {paramAliases(), about.ParamNames()}, {causeAliases(), about.Causes}} {
		for name := range c.table {
			assert.Contains(t, c.names, name)
		}
	}
	for name := range germanAliases() {
		assert.Contains(t, slices.Concat(signals, about.StateNames(), about.ParamNames(), about.Causes), name)
	}
}

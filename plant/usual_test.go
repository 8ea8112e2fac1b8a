package plant

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A usual range lies within the permitted one, and the defaults lie within it.
func TestUsualRangesFitTheTable(t *testing.T) {
	defaults := Defaults()
	for _, u := range usualRanges() {
		f, ok := FindField(u.path)
		require.True(t, ok, u.path)
		require.NotEmpty(t, u.source, u.path)
		require.Less(t, u.low, u.high, u.path)
		require.GreaterOrEqual(t, u.low, f.Min, u.path)
		require.LessOrEqual(t, u.high, f.Max, u.path)
		if x, _ := f.Number(&defaults); x != 0 {
			require.GreaterOrEqual(t, x, u.low, u.path)
			require.LessOrEqual(t, x, u.high, u.path)
		}
	}
}

func TestImplausible(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(r *Rig)
		path   string
		says   string
	}{
		{"none", func(*Rig) {}, "", ""},
		{"lowering better than raising", func(r *Rig) { r.Transmission.Efficiency, r.Transmission.EfficiencyLowering = 0.8, 0.9 }, "transmission.efficiency_lowering", "here 0.75"},
		{"support as soft as a spring", func(r *Rig) { r.Support.AtMM, r.Support.StiffnessNPerMM = 20, 1 }, "support.stiffness_n_per_mm", "usual is 10 to"},
		{"noise of degrees", func(r *Rig) { r.Encoder.NoiseDeg = 2 }, "encoder.noise_deg", "usual is 0 to 0.05 deg (common practice)"},
		{"response delay of seconds", func(r *Rig) { r.Brake.ResponseDelay = 2 * time.Second }, "brake.response_delay", "brake.response_delay is 2s; usual is 2ms to 150ms"},
		{"ceiling that is not known yet", func(r *Rig) { r.Judge.CeilingNM = 0 }, "judge.ceiling_nm", "the rig can be sized and not run"},
		{"ceiling below the load", func(r *Rig) { r.Judge.CeilingNM = 2 }, "judge.ceiling_nm", "below the load torque"},
		{"ceiling that never acts", func(r *Rig) { r.Judge.CeilingNM = 80 }, "judge.ceiling_nm", "it never acts"},
		{"requirement that holding meets", func(r *Rig) {
			r.Judge.Requirement, r.Judge.RequiredA = RequirementFixed, 1.1
		}, "judge.required_a", "must be negative for a press down"},
		{"weak requirement", func(r *Rig) {
			r.Judge.Requirement, r.Judge.RequiredA = RequirementFixed, -0.2
		}, "judge.required_a", "below the test torque"},
		{"no requirement of a judge that owns it", func(r *Rig) { r.Judge.Kind = JudgeTorque }, "judge.required_up_nm", "a requirement of 0 is never met"},
		{"required torque of the wrong sign", func(r *Rig) {
			r.Judge.Kind, r.Judge.RequiredDownNM, r.Judge.RequiredUpNM = JudgeTorque, 0.9, -6.5
		}, "judge.required_down_nm", "must be negative, the motor presses down"},
		{"required torque of the wrong sign upwards", func(r *Rig) {
			r.Judge.Kind, r.Judge.RequiredDownNM, r.Judge.RequiredUpNM = JudgeTorque, -0.9, -6.5
		}, "judge.required_up_nm", "must be positive, the motor presses up"},
		{"required torque below the test torque", func(r *Rig) {
			r.Judge.Kind, r.Judge.RequiredDownNM, r.Judge.RequiredUpNM = JudgeTorque, -0.3, 6.5
		}, "judge.required_down_nm", "below the test torque"},
		{"torque constant of another motor", func(r *Rig) { r.Judge.TorqueConstant = 1.43 }, "judge.torque_constant_nm_per_rms_a", "+30 % of the torque"},
		{"proof that is always due", func(r *Rig) { r.Judge.WarningTime = r.Judge.Interval }, "judge.warning_time", "always due"},
		{"torque off before the brake carries", func(r *Rig) { r.Safety.BrakeTime = 40 * time.Millisecond }, "safety.brake_time", "before the brake carries the load"},
		{"stop before the drive is at rest", func(r *Rig) { r.Safety.StopTime = 300 * time.Millisecond }, "safety.stop_time", "close on a moving axis"},
		{"window within the noise", func(r *Rig) { r.Encoder.NoiseDeg, r.Judge.WindowDeg = 0.04, 0.15 }, "judge.window_deg", "noise alone fails a sound brake"},
		{"oversized brake", func(r *Rig) { r.Brake.StaticNM = 90 }, "brake.static_nm", "times the load torque"},
		{"metres in place of millimetres", func(r *Rig) { r.Drive.SpeedMMS = 0.15 }, "drive.speed_mm_s", "turns the motor at"},
		{"no feedback of the brake", func(r *Rig) { r.Brake.Feedback = FeedbackNone }, "brake.feedback", "found only when the load follows"},
		{"payload without its most", func(r *Rig) { r.Load.PayloadKG = 20 }, "load.payload_kg", "the required test torque is that of the present payload"},
		{"efficiency of a self-locking screw", func(r *Rig) { r.Transmission.EfficiencyLowering = 0.0001 }, "transmission.efficiency_lowering", "usual is 0.3 to 1"},
		{"noisy current", func(r *Rig) { r.Drive.CurrentNoiseRMSA = 1 }, "drive.current_noise_rms_a", "2 %"},
		{"peak below the limit", func(r *Rig) { r.Drive.PeakCurrentRMSA = 8 }, "drive.peak_current_rms_a", "below drive.current_limit_rms_a, which is 8.5 A and counts"},
		{"residual engagement", func(r *Rig) { r.Brake.OpensTo = 0.1 }, "brake.closes_to", "a sound brake has 1 and 0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := plausibleRig()
			c.change(&r)
			found := Implausible(&r)
			if c.path == "" {
				require.Empty(t, found)
				return
			}
			require.NotEmpty(t, found)
			var texts []string
			for _, p := range found {
				require.True(t, p.Warning)
				if p.Path == c.path {
					texts = append(texts, p.Message)
				}
			}
			require.Contains(t, strings.Join(texts, "\n"), c.says)
		})
	}
}

// plausibleRig is a vertical screw axis with believable values.
func plausibleRig() Rig {
	r := Defaults()
	r.Load.MassKG = 180
	r.Transmission.FeedConstantMMPerTurn = 10
	r.Stops.HighMM = 1200
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 0.0012, 1.1
	r.Drive.CurrentLimitRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 8.5, 150, 600
	r.Brake.StaticNM, r.Brake.SlidingNM = 9, 7.5
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.ReleaseTime = 25*time.Millisecond, 20*time.Millisecond, 35*time.Millisecond
	r.Judge.CeilingNM, r.Judge.WindowDeg = 8.5, 1.5
	return r
}

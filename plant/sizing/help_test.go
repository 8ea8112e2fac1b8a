package sizing_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/sizing"
)

// screwRig is a vertical screw: 180 kg at 10 mm lead, a load torque of 2.809 N·m.
func screwRig() plant.Rig {
	r := plant.Defaults()
	r.Rig, r.Title = "screw", "a screw"
	r.Load.MassKG, r.Load.StartMM = 180, 200
	r.Transmission.FeedConstantMMPerTurn = 10
	r.Stops.HighMM = 1200
	r.Guide.SlidingNM, r.Guide.BreakawayNM = 0.08, 0.12
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 1.2e-3, 1.1
	r.Drive.CurrentLimitRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 8.5, 150, 600
	r.Drive.CurrentNoiseRMSA = 0.005
	r.Brake.StaticNM = 9
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.ReleaseTime = 25*time.Millisecond, 20*time.Millisecond, 35*time.Millisecond
	r.Encoder.NoiseDeg = 0.005
	r.Judge.CeilingNM = 8.5
	return r
}

// quickBrake closes so soon that the screw rig meets its drop limit in any state.
func quickBrake(r *plant.Rig) {
	r.Brake.ResponseDelay, r.Brake.RiseTime = 5*time.Millisecond, 5*time.Millisecond
}

// armRig is an arm of 60 kg and 0.8 m behind 80 to 1, level at 139.6 mm of its arc.
func armRig() plant.Rig {
	r := screwRig()
	r.Load.MassKG, r.Load.ArmMM, r.Load.ArmAngleDeg = 60, 800, -10
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.GearRatio = 0, 80
	r.Brake.StaticNM, r.Drive.CurrentLimitRMSA = 18, 18
	return r
}

// referenceParams are some parameters as the built-in reference sequence has them.
func referenceParams() sizing.Params {
	return sizing.Params{
		"test_position": {"test_position_mm", 420}, "support_position": {"support_position_mm", 20}, "test_torque": {"test_torque_nm", 3.653}, "required_down": {"required_down_nm", -0.843}, "required_up": {"required_up_nm", 6.463},
		"press_margin": {"press_margin", 1.08}, "press_rate": {"press_rate_nm_s", 10}, "slip_alarm": {"slip_alarm_mm", 2}, "suspect_slip": {"suspect_slip_mm", 0.04}, "test_up": {"test_up", 1}, "press_time": {"press_time_s", 4},
		"signal_slack": {"signal_slack_s", 0.15}, "ask_gap": {"ask_gap_s", 0.2}, "travel_torque": {"travel_torque_nm", 1.1}, "interval": {"interval_s", 28800},
	}
}

// compute sizes a rig with assumptions by name, without problems.
func compute(t *testing.T, r *plant.Rig, assumptions map[string]string) sizing.Sizing {
	t.Helper()
	_, err := plant.Validate(r)
	require.NoError(t, err)
	w := sizing.DefaultAssumptions(r, referenceParams())
	for name, text := range assumptions {
		require.NoError(t, w.Set(name, text), name)
	}
	s, err := sizing.Compute(r, referenceParams(), w)
	require.NoError(t, err)
	return s
}

func line(t *testing.T, s *sizing.Sizing, id string) sizing.Line {
	t.Helper()
	l, ok := s.Line(id)
	require.True(t, ok, id)
	return l
}

func value(t *testing.T, s *sizing.Sizing, id string) float64 {
	t.Helper()
	return line(t, s, id).Value
}

// pressed is a plant at rest under a press torque against its closed brake.
func pressed(r *plant.Rig, torques ...float64) *plant.Plant {
	p := plant.New(*r, 1)
	for _, torque := range torques {
		c := plant.Command{Mode: plant.Press, PressTorqueNM: torque, PressRateNMS: 5, CloseBrake: true}
		for range int(5 * time.Second / r.Clock.Tick) {
			p.Observe()
			p.Step(c)
		}
	}
	return p
}

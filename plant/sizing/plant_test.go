package sizing_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/plant"
)

// The unsafe side of the tolerances, on the plant: magnets that are weak and a current
// that is measured too high. The drive regulates what it measures, so that the judge sees just
// what it requires. Then the brake must carry the test torque, whatever the friction of the guide
// takes. Source: torque balance at rest, τ_brake = τ_m + τ_L − τ_guide; the guide takes at
// most what is covered.
func TestRequiredTorqueIsAssuredAtTheBrake(t *testing.T) {
	for name, base := range map[string]plant.Rig{"Screw": screwRig(), "Arm": armRig()} {
		for _, direction := range []string{"required_down_nm", "required_up_nm"} {
			t.Run(name+direction, func(t *testing.T) {
				s := compute(t, &base, nil)
				r := base
				r.Motor.TorqueFactor, r.Drive.CurrentGain = 0.95, 1.02
				r.Load.StartMM = value(t, &s, "test_position_mm")
				atBrake := math.Abs(pressed(&r, value(t, &s, direction)).State().BrakeTorqueNM)
				test := value(t, &s, "required_test_torque_nm")
				assert.GreaterOrEqual(t, atBrake, test-1e-6)
				// and is not much more than it: what the guide does not take at rest
				assert.LessOrEqual(t, atBrake, test+2*value(t, &s, "friction_allowance_nm"))
			})
		}
	}
}

// Without the tolerances the same motor brings the brake too little, by the stated shortfall;
// a high torque constant brings it too much, which is no danger to the proof.
func TestShortfallWithoutTolerances(t *testing.T) {
	base := screwRig()
	base.Guide.SlidingNM, base.Guide.BreakawayNM = 0, 0
	with := compute(t, &base, nil)
	without := compute(t, &base, map[string]string{"torque-constant-tolerance": "0", "current-tolerance": "0"})
	test := value(t, &without, "required_test_torque_nm")
	lost := line(t, &with, "shortfall_nm")
	for _, c := range []struct {
		direction    string
		magnets, got float64
		measured     float64
	}{
		{"required_up_nm", 0.95, test - lost.Value, 1.02},
		{"required_down_nm", 0.95, test - lost.Also[1].Value, 1.02},
		{"required_up_nm", 1.05, test + 0.05*value(t, &without, "true_up_nm"), 1},
	} {
		r := base
		r.Motor.TorqueFactor, r.Drive.CurrentGain = c.magnets, c.measured
		atBrake := math.Abs(pressed(&r, value(t, &without, c.direction)).State().BrakeTorqueNM)
		assert.InDelta(t, c.got, atBrake, 1e-6, "%+v", c)
	}
}

// A high torque constant and a current measured too low load the brake with the stated maximum:
// up with the lightest load on the axis. With friction the brake carries between the maximum
// without the guide, less the breakaway friction, and the upper bound, whatever press came
// before; and one that has gone too high and come back leaves it above the maximum without the
// guide, which is therefore no bound.
func TestMaximumAtTheBrake(t *testing.T) {
	for _, friction := range []float64{0, 0.12} {
		base := screwRig()
		base.Guide.SlidingNM, base.Guide.BreakawayNM, base.Guide.WindUpDeg = friction, friction, 0.001
		s := compute(t, &base, map[string]string{"minimum-load-kg": "150"})
		without, bound := line(t, &s, "maximum_brake_nm").Also[1].Value, value(t, &s, "maximum_brake_nm")
		assert.InDelta(t, without+friction, bound, 1e-12)
		r := base
		r.Load.MassKG, r.Motor.TorqueFactor, r.Drive.CurrentGain = 150, 1.05, 0.98
		r.Brake.StaticNM *= 2
		press := value(t, &s, "press_up_nm")
		straight := math.Abs(pressed(&r, press).State().BrakeTorqueNM)
		r.Drive.CurrentLimitRMSA *= 2
		back := math.Abs(pressed(&r, 2*press, press).State().BrakeTorqueNM)
		if friction == 0 {
			assert.InDelta(t, without, straight, 1e-6)
			continue
		}
		assert.Less(t, straight, without)
		assert.Greater(t, straight, without-friction-1e-6)
		assert.Greater(t, back, without)
		assert.LessOrEqual(t, back, bound+1e-6)
	}
}

// By hand, on the pane hoist's screw: 180 kg of 9.80665 m/s² on 10 mm lead are 2.8094 N·m; the
// press up is (2.3 · 2.8094 + 0.12) · 1.02/0.95 · 1.08 = 7.632 N·m, and a true current of 1/0.98
// with a torque constant of 1.05 makes 8.177 N·m of it, of which the load takes 2.809.
func TestMaximumAtTheBrakeByHand(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, nil)
	assert.InDelta(t, 5.368, line(t, &s, "maximum_brake_nm").Also[1].Value, 5e-4)
	assert.InDelta(t, 5.488, value(t, &s, "maximum_brake_nm"), 5e-4)
}

// The closed brake deflects by torque over stiffness, and the play comes on top (linear
// spring). Press up with a high torque constant from a balanced shaft, and look how far it turns;
// the guide's own spring, which is neglected, contributes and makes it a little less.
func TestWindUp(t *testing.T) {
	for _, c := range []struct{ guide, less float64 }{{0, 1e-4}, {0.12, 0.02}} {
		base := screwRig()
		base.Brake.PlayDeg = 0.1
		base.Guide.SlidingNM, base.Guide.BreakawayNM = c.guide, c.guide
		s := compute(t, &base, nil)
		r := base
		r.Motor.TorqueFactor = 1.05
		low := r // and a current that is measured too low
		low.Drive.CurrentGain = 0.98
		balanced := value(t, &s, "nominal_load_nm") * 0.98 / 1.05
		least, most := pressed(&low, balanced, 0), pressed(&low, balanced, 0, value(t, &s, "press_up_nm"))
		up := pressed(&r, value(t, &s, "nominal_load_nm")/1.05, 0, value(t, &s, "press_up_nm")) // the load winds the brake down first, then up, through the play
		latch := value(t, &s, "required_up_nm") / 1.02                                          // where the judge latches at the soonest
		from := pressed(&r, value(t, &s, "nominal_load_nm")/1.05, 0, latch)                     // the same motor there
		deg := func(a, b *plant.Plant) float64 { return (a.State().AngleRad - b.State().AngleRad) * 180 / math.Pi }
		load := value(t, &s, "nominal_load_nm") / line(t, &s, "wind_up_deg").Inputs[1].Value * 180 / math.Pi
		assert.InEpsilon(t, value(t, &s, "wind_up_deg")+load, deg(most, least), c.less+1e-3)
		assert.LessOrEqual(t, deg(up, from), value(t, &s, "wind_up_after_latch_deg")*(1+1e-6))
		assert.InEpsilon(t, value(t, &s, "wind_up_after_latch_deg"), deg(up, from), c.less+1e-3)
	}
}

// What the page says is credited is what a weak brake gains: pressed to the requirement that
// leaves the friction of the guide out, a brake that is weaker by less than it holds, and
// one that is weaker by more slips (torque balance: brake and guide hold together).
func TestCreditedFriction(t *testing.T) {
	base := screwRig()
	base.Guide.SlidingNM, base.Guide.BreakawayNM = 0.5, 0.5
	s := compute(t, &base, map[string]string{"credit-friction": "true", "torque-constant-tolerance": "0", "current-tolerance": "0"})
	credited := value(t, &s, "credited_friction_nm")
	assert.InDelta(t, 0.5, credited, 1e-12)
	for _, direction := range []string{"required_down_nm", "required_up_nm"} {
		for share, slips := range map[float64]bool{0.95: false, 1.05: true} {
			r := base
			r.Brake.StaticNM = value(t, &s, "required_test_torque_nm") - share*credited
			slip := pressed(&r, value(t, &s, "nominal_load_nm"), value(t, &s, direction)).State().SlipRad
			assert.Equal(t, slips, slip > 0.01, "%s, weaker by %g of the credited friction: %g rad", direction, share, slip)
		}
	}
}

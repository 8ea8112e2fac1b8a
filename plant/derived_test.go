package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// screwRig is the example of every motion-sizing handbook: a vertical screw.
func screwRig() Rig {
	r := paneRig()
	r.Load.MassKG, r.Load.GravityMS2 = 50, 9.81
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.Efficiency = 10, 0.9
	r.Guide.SlidingNM, r.Guide.BreakawayNM = 0, 0
	return r
}

// The handbook formulae for a screw of lead p and efficiency η, with η only in lifting
// (motion-sizing handbooks; statics), by hand to six digits, which are the tolerance:
//
//	lossless τ = m g p/2π = 50 · 9.81 · 0.01/6.283185 = 4.905/6.283185 = 0.780655 N·m
//	lifting  τ = 0.780655/0.9 = 0.867394 N·m
//	J = m (p/2π)² = 50 · (0.01/6.283185)² = 50 · 2.533030e-6 = 1.266515e-4 kg·m²
func TestScrew(t *testing.T) {
	r := screwRig()
	d := Derive(&r)
	require.InDelta(t, 0.780655, d.LoadTorqueNM, 5e-7)
	require.InDelta(t, 0.867394, d.LiftingTorqueNM, 5e-7)
	require.InDelta(t, 1.266515e-4, d.LoadInertiaKGM2, 5e-11)
	// the loss is friction, so lowering needs less by as much: 0.780655 − 0.086739
	require.InDelta(t, 0.693916, d.LoweringTorqueNM, 1e-6) // two roundings
	require.InDelta(t, 0.086739, d.GuideSlidingNM, 5e-7)
	require.InDelta(t, 1.2e-3+1.266515e-4, d.InertiaKGM2, 5e-11)
	require.InDelta(t, 10/6.283185, d.MMPerRad, 5e-7)
}

// The motor raises the load at the lifting torque and no less: the model does what
// the formula says. 2 % either way is well off breakaway and far from rounding.
func TestLiftingTorqueLifts(t *testing.T) {
	for _, c := range []struct {
		share float64
		moves bool
	}{{0.98, false}, {1.02, true}} {
		r := screwRig()
		p := New(r, 1)
		d := Derive(&r)
		run(p, Command{Mode: Press, PressTorqueNM: c.share * d.LiftingTorqueNM, PressRateNMS: 1}, time.Second)
		require.Equal(t, c.moves, p.State().SpeedRadS > 1, "share %g", c.share)
	}
}

// What the worst static load torque depends on, by statics.
func TestLoadTorque(t *testing.T) {
	const screw = 0.780655 // N·m, as above
	for _, c := range []struct {
		name   string
		change func(*Rig)
		torque float64
		j      float64
	}{
		{"incline 30°", func(r *Rig) { r.Load.InclineDeg = 30 }, screw / 2, 1.266515e-4}, // sin 30° = ½
		{"level", func(r *Rig) { r.Load.InclineDeg = 0 }, 0, 1.266515e-4},
		// 50 − 40 kg hang on the screw, 50 + 40 kg move: 1/5 and 9/5
		{"counterbalance", func(r *Rig) { r.Load.CounterbalanceKG = 40 }, screw / 5, 1.266515e-4 * 9 / 5},
		{"balanced over", func(r *Rig) { r.Load.CounterbalanceKG = 60 }, screw / 5, 1.266515e-4 * 11 / 5},
		// two motor turns a turn: half the torque, a quarter of the inertia
		{"gear", func(r *Rig) { r.Transmission.GearRatio = 2 }, screw / 2, 1.266515e-4 / 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := screwRig()
			c.change(&r)
			d := Derive(&r)
			require.InDelta(t, c.torque, d.LoadTorqueNM, 5e-7)
			require.InDelta(t, c.j, d.LoadInertiaKGM2, 5e-10) // six digits, times 9/5
		})
	}
}

// Stiffness and damping of the linear oscillator, k = T/φ and c = 2ζ√(kJ) (any text on
// mechanical vibration), for bareRig with J = 0.01 kg·m², by hand:
//
//	brake: 20/(0.1·π/180) = 20/1.745329e-3 = 11459.16; 2·0.3·√(114.5916) = 0.6·10.70474 = 6.422847
//	guide, breakaway 1 N·m: 1/1.745329e-3 = 572.9578; 2·0.5·√5.729578 = 2.393654
//	stops: 20000 N/mm · (0.01 m)² = 2e7·1e-4 = 2000; 2·0.5·√20 = 4.472136
//	speed loop: 2π·60·0.01 = 3.769911
func TestElasticity(t *testing.T) {
	r := bareRig()
	r.Guide.SlidingNM, r.Guide.BreakawayNM = 0.5, 1
	d := Derive(&r)
	const digits = 5e-7 // seven printed
	require.InEpsilon(t, 11459.16, d.BrakeStiffness, digits)
	require.InEpsilon(t, 6.422847, d.BrakeDamping, digits)
	require.InEpsilon(t, 572.9578, d.GuideStiffness, digits)
	require.InEpsilon(t, 2.393654, d.GuideDamping, digits)
	require.InEpsilon(t, 2000, d.StopStiffness, 1e-12)
	require.InEpsilon(t, 4.472136, d.StopDamping, digits)
	require.InEpsilon(t, 3.769911, d.SpeedGain, digits)
}

// The test torque is 1.3 times the load's, 6.5 N·m against 5 N·m. Torque balance of the
// shaft at rest: pressing down the motor adds 1.5 N·m, pressing up it needs 11.5 N·m.
// With k_t = 0.5 N·m per A rms, the amplitudes are √2 · 1.5/0.5 and √2 · 11.5/0.5, and
// holding takes √2 · 10: more than pressing down, the trap of a judge without a sign.
func TestPressTorqueAndCurrent(t *testing.T) {
	r := bareRig()
	r.Motor.TorqueConstant = 0.5
	d := Derive(&r)
	const rounding = 1e-12
	require.InEpsilon(t, bareLoad, d.LoadTorqueNM, rounding)
	require.InEpsilon(t, bareInertia, d.InertiaKGM2, rounding)
	require.InEpsilon(t, 6.5, d.RequiredTestNM, rounding)
	require.InEpsilon(t, -1.5, d.PressDownNM, rounding)
	require.InEpsilon(t, 11.5, d.PressUpNM, rounding)
	require.InEpsilon(t, -3*math.Sqrt2, d.RequiredDownAmpA, rounding)
	require.InEpsilon(t, 23*math.Sqrt2, d.RequiredUpAmpA, rounding)
	require.InEpsilon(t, 10.0, d.HoldingCurrentRMSA, rounding)
	require.InEpsilon(t, 10*math.Sqrt2, d.HoldingCurrentAmpA, rounding)
	require.Greater(t, d.HoldingCurrentAmpA, math.Abs(d.RequiredDownAmpA))
	require.InEpsilon(t, 50, d.DriveTorqueLimitNM, rounding) // 100 A · 0.5 N·m/A
	require.InEpsilon(t, 360.0/16384, d.IncrementDeg, rounding)
}

// Both presses load the closed brake with the required test torque, seen at the brake.
// At rest the motor's lag and the ringing are over: 1e-6 N·m.
func TestPressLoadsTheBrakeWithTheTestTorque(t *testing.T) {
	r := bareRig()
	d := Derive(&r)
	for _, torque := range []float64{d.PressDownNM, d.PressUpNM} {
		p := New(r, 1)
		press(p, torque)
		require.InDelta(t, d.RequiredTestNM, math.Abs(p.State().BrakeTorqueNM), 1e-6)
	}
}

// What the rig's brake is good for is its rating times what is left of it.
func TestBrakeCapacity(t *testing.T) {
	r := bareRig()
	r.Brake.Condition, r.Brake.ClosesTo = 0.8, 0.5
	d := Derive(&r)
	require.InEpsilon(t, 8.0, d.BrakeCapacityNM, 1e-12) // 20 · 0.8 · 0.5
	p := New(r, 1)
	require.InEpsilon(t, 8.0, p.StaticCapacityNM(), 1e-12)
	require.InEpsilon(t, d.RequiredTestNM, p.RequiredTestNM(), 1e-12)
}

package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Nothing holds the load: ω = −(τ_L/J) t and θ = −½(τ_L/J) t². Source: uniformly
// accelerated motion, any mechanics text. The midpoint rule is exact for constant
// torque, so that only rounding is left: 2000 ticks, a few 1e-16 each, below 1e-11.
func TestFreeFall(t *testing.T) {
	p := unpowered(New(bareRig(), 1))
	for range 4 {
		run(p, Command{Mode: Off}, 125*time.Millisecond)
	}
	// α = 5/0.01 = 500 rad/s², t = 0.5 s: ω = −250 rad/s, θ = −½·500·0.25 = −62.5 rad
	require.InEpsilon(t, -250, p.State().SpeedRadS, 1e-11)
	require.InEpsilon(t, -62.5, p.State().AngleRad, 1e-11)
	// on the load: 500 rad/s² · 0.01 m = 5 m/s², half of g as half of J is the rotor
	d := Derive(p.Rig())
	require.InEpsilon(t, 5, d.FreeFallMS2, 1e-12)
	require.Zero(t, p.State().SlipWorkJ)
}

// The brake alone stops a turning axis. With constant brake torque and ω = 3000/min
// = 314.159265 rad/s:
//
//	t = Jω/(T_b ∓ T_L), φ = ωt/2, W = T_b φ = ½Jω² T_b/(T_b ∓ T_L)
//
// minus when lowering, plus when raising, where the load helps. ½Jω² = 493.480 J.
// Lowering: t = 3.14159265/15, raising: t = 3.14159265/25. Source: VDI 2241-1
// (stopping time and friction work of a brake; from memory), and every clutch and
// brake handbook.
//
// The element must hold 1e-3 at a tick of 250 µs, so that is the tolerance.
// The slip is compared, not the angle of the shaft: the friction disc is elastic and unwinds
// after the stop, from T_b to T_L, and that part is no slip. The wind-up itself is
// 0.1° = 0.00175 rad, 5e-5 of the lowering path, 9e-5 of the raising one.
func TestBrakeAloneStopsATurningAxis(t *testing.T) {
	const tolerance = 1e-3
	for _, c := range []struct {
		name               string
		rpm                float64
		time, angle, workJ float64
	}{
		{"lowering", -3000, 0.209440, 32.8987, 657.974},
		{"raising", 3000, 0.125664, 19.7392, 394.784},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := unpowered(New(bareRig(), 1))
			p.state.SpeedRadS = radS(c.rpm)
			stopped := stoppingTime(p)
			run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
			s := p.State()
			require.InEpsilon(t, c.time, stopped, tolerance)
			require.InEpsilon(t, c.angle, s.SlipRad, tolerance)
			require.InEpsilon(t, c.workJ, s.SlipWorkJ, tolerance)
			// at rest the brake carries the load: statics; 1e-6 as the ringing has died out
			require.InDelta(t, bareLoad, s.BrakeTorqueNM, 1e-6)
			require.InDelta(t, 0, s.SpeedRadS, 1e-6)
		})
	}
}

// A rig that gives no torque for the slipping brake means the one at rest.
func TestSlidingTorqueLeftOut(t *testing.T) {
	slip := func(sliding float64) float64 {
		r := bareRig()
		r.Brake.SlidingNM = sliding
		p := unpowered(New(r, 1))
		p.state.SpeedRadS = radS(-3000)
		run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
		return p.State().SlipRad
	}
	require.Zero(t, slip(0)-slip(bareBrake)) // to the bit
}

// stoppingTime closes the brake and returns the time in s at which the speed goes
// through zero, between two ticks on a straight line.
func stoppingTime(p *Plant) float64 {
	h := p.rig.Clock.Tick.Seconds()
	for n := range 4000 {
		before := p.state.SpeedRadS
		p.Sample()
		p.Step(Command{Mode: Off, CloseBrake: true})
		if after := p.state.SpeedRadS; before*after <= 0 {
			return (float64(n) + before/(before-after)) * h
		}
	}
	return math.Inf(1)
}

// The slip work heats the brake and leaves through the thermal resistance: a short
// stop warms it by W/C_th, and then the excess falls as exp(−t/(R_th C_th)). Source:
// lumped capacitance, Incropera and DeWitt, ch. 5.1 (from memory).
func TestBrakeWarmsBySlipWork(t *testing.T) {
	r := bareRig()
	r.Brake.HeatCapacity, r.Brake.ThermalResistance, r.Brake.AmbientC = 100, 1, 20 // 100 s
	p := unpowered(New(r, 1))
	p.state.SpeedRadS = radS(-3000)
	run(p, Command{Mode: Off, CloseBrake: true}, 300*time.Millisecond)
	s := p.State()
	// 657.974 J / 100 J/K = 6.580 K; in 0.3 s no more than 0.3 % of it has left.
	require.InEpsilon(t, s.SlipWorkJ/100, s.BrakeTempC-20, 3e-3)
	hot := s.BrakeTempC - 20
	run(p, Command{Mode: Off, CloseBrake: true}, 10*time.Second)
	// solved exactly, so rounding alone: 40000 ticks
	require.InEpsilon(t, hot*math.Exp(-0.1), s.BrakeTempC-20, 1e-9)
}

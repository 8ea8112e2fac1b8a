package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// hotRig is a level axis whose brake warms with a time constant of 100 J/K · 0.05 K/W =
// 5 s, starting at 0.5 m/s / (0.01 m/rad) = 50 rad/s.
func hotRig() Rig {
	r := bareRig()
	r.Load.InclineDeg, r.Load.StartSpeedMMS = 0, 500
	r.Brake.HeatCapacity, r.Brake.ThermalResistance, r.Brake.AmbientC = 100, 0.05, 20
	return r
}

// A brake that slips at constant power P goes to T_amb + P R along an exponential, with
// 1 − e⁻¹ = 0.632121 of what is missing after one time constant R C and 1 − e⁻³ =
// 0.950213 after three. Source: lumped capacitance, C dT/dt = P − (T − T_amb)/R, e.g.
// Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5 (from memory).
//
// The motor gives just what the brake takes, 20 N·m, so that the shaft keeps its speed;
// 0.1 s, or 100 of its current's time constants, is left for that to come true. P is
// 20 N·m times the speed. The tick solves its equation exactly: rounding alone, 1e-9 as in
// [TestBrakeWarmsBySlipWork], and 5e-7 for the digits of the shares.
func TestBrakeWarmsAtConstantPower(t *testing.T) {
	p := New(hotRig(), 1)
	slipping := Command{Mode: Press, PressTorqueNM: bareBrake, CloseBrake: true}
	run(p, slipping, 100*time.Millisecond)
	start := *p.State()
	power := bareBrake * start.SpeedRadS
	require.Greater(t, power, 900.0) // 20 N·m · 50 rad/s, less what the first milliseconds took
	settled := 20 + power*0.05
	elapsed := 0.0
	for _, c := range []struct {
		lasts time.Duration
		share float64
	}{{5 * time.Second, 0.632121}, {10 * time.Second, 0.950213}} {
		run(p, slipping, c.lasts)
		elapsed += c.lasts.Seconds()
		s := p.State()
		require.InEpsilon(t, start.SpeedRadS, s.SpeedRadS, 1e-9)
		require.InEpsilon(t, power*elapsed, s.SlipWorkJ-start.SlipWorkJ, 1e-9)
		exact := settled + (start.BrakeTempC-settled)*math.Exp(-elapsed/5)
		require.InEpsilon(t, exact, s.BrakeTempC, 1e-9)
		require.InDelta(t, c.share, (s.BrakeTempC-start.BrakeTempC)/(settled-start.BrakeTempC), 5e-7)
	}
}

// Whatever the power does, heat is what came in less what flowed off:
//
//	C (T − T_amb) = W_slip − ∫ (T − T_amb)/R dt
//
// Source: first law. A stop from 50 rad/s, a run against the closed brake and a rest.
// The integral is taken by the trapezoid rule, which for an exponential is off by
// (h/RC)²/12 = 2e-10 of what flowed off; a tick in which the power jumps, by no more than
// that of its own. With rounding, 1e-9 of the work.
func TestBrakeKeepsItsHeatAccount(t *testing.T) {
	p := New(hotRig(), 1)
	h := p.Rig().Clock.Tick.Seconds()
	flowed := 0.0
	for n := range 40000 { // 10 s
		c := Command{Mode: Press, CloseBrake: true}
		if n >= 4000 && n < 20000 {
			c.PressTorqueNM, c.PressRateNMS = 1.05*bareBrake, 50
		}
		before := p.State().BrakeTempC
		p.Sample()
		p.Step(c)
		flowed += h * ((before+p.State().BrakeTempC)/2 - 20) / 0.05
	}
	s := p.State()
	require.Greater(t, s.SlipWorkJ, 1000.0)
	require.Greater(t, flowed, 0.3*s.SlipWorkJ)
	require.InDelta(t, s.SlipWorkJ-flowed, 100*(s.BrakeTempC-20), 1e-9*s.SlipWorkJ)
}

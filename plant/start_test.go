package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// glidingRig has a guide of 0.4 N·m sliding and 0.6 N·m at breakaway with a Stribeck speed of
// 10/min = 1.047 rad/s, 0.1° of deflection and 0.002 N·m·s.
func glidingRig(mmPerS float64) Rig {
	r := bareRig()
	r.Guide = Guide{SlidingNM: 0.4, BreakawayNM: 0.6, StribeckRPM: 10, ViscousNMS: 0.002, WindUpDeg: 0.1, DampingRatio: 0.5}
	r.Load.StartSpeedMMS = mmPerS
	return r
}

// A start in motion is one of steady motion: at 30 rad/s the motor has to give load, sliding
// friction and 0.002 · 30 N·m, minus while lowering, and the spring of the guide is deflected by
// τ/σ₀ = 0.1° · 0.4/0.6. Source: torque balance at constant speed.
func TestStartInMotionIsSteady(t *testing.T) {
	for _, c := range []struct{ mmPerS, friction float64 }{{300, 0.4 + 0.06}, {-300, -0.4 - 0.06}, {0, 0}} {
		p := New(glidingRig(c.mmPerS), 1)
		s := p.State()
		require.InEpsilon(t, bareLoad+c.friction, s.MotorTorqueNM, 1e-9)
		require.InEpsilon(t, bareLoad+c.friction, s.CurrentRMSA, 1e-9)
		require.InDelta(t, math.Copysign(rad(0.1*0.4/0.6), c.mmPerS)*math.Abs(sign(c.mmPerS)), s.GuideDeflectionRad, 1e-12)
	}
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// Under the torque of the start nothing changes: a press of that torque keeps speed and
// deflection, to the rounding of 400 ticks. So it does at the slow end of the Stribeck curve,
// where friction is between the two: f(1 rad/s) = 0.4 + 0.2 exp(−(1/1.047)²) = 0.4804 N·m.
func TestSteadyStartStaysSteady(t *testing.T) {
	for _, mmPerS := range []float64{-300, 300, -10} {
		p := New(glidingRig(mmPerS), 1)
		torque, deflection := p.State().MotorTorqueNM, p.State().GuideDeflectionRad
		run(p, Command{Mode: Press, PressTorqueNM: torque}, 100*time.Millisecond)
		require.InEpsilon(t, mmPerS/10, p.State().SpeedRadS, 1e-6)
		require.InEpsilon(t, deflection, p.State().GuideDeflectionRad, 1e-6)
	}
	f := 0.4 + 0.2*math.Exp(-math.Pow(1/radS(10), 2))
	require.InEpsilon(t, bareLoad-f-0.002, New(glidingRig(-10), 1).State().MotorTorqueNM, 1e-9)
}

// A drive that is commanded to hold stops with its deceleration, as after a move that is cut short:
// 300 mm/s at 600 mm/s² take 75 mm and 0.5 s. The path of the load is that of the setpoint but for
// the lag of the controller, under 1 % of it.
func TestHoldDeceleratesFromTheStart(t *testing.T) {
	p := New(glidingRig(-300), 1)
	run(p, Command{Mode: Hold}, 2*time.Second)
	require.InEpsilon(t, -75, p.LoadMM(), 1e-2)
	require.True(t, p.Sample().Standstill)
}

// A power failure in steady lowering without a brake accelerates the load from the first tick by
// what the drive no longer gives: dω/dt = −(τ_m − friction's change)/J, with the friction as it
// was. A guide that began unloaded would carry the load for the time of its deflection first.
// After 10 ms with a current that is gone at once: −(5 − 0.4 − 0.06)/0.01 = −454 rad/s², less a
// viscous torque that grows by 0.002 · 4.5 N·m, 0.1 % on the mean.
func TestPowerFailureWhileLowering(t *testing.T) {
	p := unpowered(New(glidingRig(-300), 1))
	run(p, Command{Mode: Off}, 10*time.Millisecond)
	require.InEpsilon(t, -4.54, p.State().SpeedRadS+30, 1.5e-3)
}

// A coupled partner is drawn along: its guide's friction comes through the coupling, which is
// twisted by T/k_c beyond half of its backlash, and the axis carries it. Source: torque balance.
func TestPartnerIsDrawnAlongFromTheStart(t *testing.T) {
	r := glidingRig(-300)
	r.Partner.InertiaKGM2, r.Partner.BacklashDeg, r.Partner.CouplingStiffness = 0.005, 1, 400
	r.Partner.Guide, r.Partner.Brake = r.Guide, r.Brake
	p := New(r, 1)
	const friction = 0.46
	require.InEpsilon(t, bareLoad-2*friction, p.State().MotorTorqueNM, 1e-9)
	require.InEpsilon(t, -friction, p.State().CouplingNM, 1e-9)
	require.InEpsilon(t, -(friction/400 + rad(0.5)), p.State().AngleRad-p.PartnerState().AngleRad, 1e-9)
	run(p, Command{Mode: Press, PressTorqueNM: p.State().MotorTorqueNM}, 100*time.Millisecond)
	require.InEpsilon(t, -30, p.State().SpeedRadS, 1e-6)
	require.InEpsilon(t, -30, p.PartnerState().SpeedRadS, 1e-6)
}

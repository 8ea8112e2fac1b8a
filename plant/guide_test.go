package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// guideRig is level, so that the guide is all there is: 1.5 N·m to break it away, 0.5 N·m
// while it slides.
func guideRig() Rig {
	r := bareRig()
	r.Load.InclineDeg = 0
	r.Guide.BreakawayNM, r.Guide.SlidingNM = 1.5, 0.5
	return r
}

// The guide holds up to its breakaway torque, either way. Source: Coulomb's law.
// 0.999 and 1.001 of it, pressed slowly: 2 N·m/s and half a second of rest.
func TestGuideBreaksAway(t *testing.T) {
	for _, torque := range []float64{1.5, -1.5} {
		p := New(guideRig(), 1)
		openPress(p, 0.999*torque)
		require.InDelta(t, 0, p.State().SpeedRadS, 1e-6) // the ringing has died out
		openPress(p, 1.001*torque)
		require.Greater(t, p.State().SpeedRadS*torque, 10.0)
	}
}

func openPress(p *Plant, torque float64) {
	run(p, Command{Mode: Press, PressTorqueNM: torque, PressRateNMS: 2}, 1300*time.Millisecond)
}

// Once it slides fast, it takes its sliding torque and no more: α = (τ − τ_f)/J =
// (2 − 0.5)/0.01 = 150 rad/s². Measured from 0.5 s to 1 s, far above the Stribeck speed of
// 10/min; rounding alone, a few thousand ticks of it.
func TestGuideSlides(t *testing.T) {
	p := New(guideRig(), 1)
	c := Command{Mode: Press, PressTorqueNM: 2}
	run(p, c, 500*time.Millisecond)
	before := p.State().SpeedRadS
	run(p, c, 500*time.Millisecond)
	require.InDelta(t, 75, p.State().SpeedRadS-before, 1e-9)
	require.InDelta(t, -0.5, p.State().GuideTorqueNM, 1e-12)
}

// With viscous friction the speed ends where all torques balance, ω = (τ − τ_f)/b =
// 1.5/0.02 = 75 rad/s, with the time constant J/b = 0.5 s: after 10 s, exp(−20) of it is
// missing, 75 · 2.1e-9. Source: first-order lag.
func TestTerminalSpeed(t *testing.T) {
	r := guideRig()
	r.Guide.ViscousNMS = 0.02
	p := New(r, 1)
	run(p, Command{Mode: Press, PressTorqueNM: 2}, 10*time.Second)
	require.InDelta(t, 75, p.State().SpeedRadS, 1e-6)
}

// Breakaway left out means as sliding; the loss of the transmission counts in both:
// 5 N·m (1/0.5 − 1) = 5 N·m on top of 0.5 N·m.
func TestBreakawayLeftOut(t *testing.T) {
	r := bareRig()
	r.Guide.SlidingNM, r.Transmission.Efficiency = 0.5, 0.5
	d := Derive(&r)
	require.InEpsilon(t, 5.5, d.GuideBreakawayNM, 1e-12)
	require.InEpsilon(t, 5.5, d.GuideSlidingNM, 1e-12)
}

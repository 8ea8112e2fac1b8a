package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// stopRig has hard stops 10 mm above and below the start.
func stopRig() Rig {
	r := bareRig()
	r.Stops.LowMM, r.Stops.HighMM = -10, 10
	return r
}

// A load at rest on a stop presses it in by τ_L/k: Hooke's law. k = 2000 N·m/rad (20000
// N/mm · (0.01 m)²), so 5/2000 = 2.5e-3 rad = 0.025 mm. After 2 s the damped ringing is
// over: 1e-12 rad.
func TestStaticPenetration(t *testing.T) {
	p := unpowered(New(stopRig(), 1))
	run(p, Command{Mode: Off}, 2*time.Second)
	require.InDelta(t, -1-2.5e-3, p.State().AngleRad, 1e-12)
	require.InDelta(t, bareLoad, p.State().StopTorqueNM, 1e-9)
	require.InDelta(t, 0, p.State().SpeedRadS, 1e-9)
}

// A load that weighs less than its counterbalance rests on the upper stop likewise.
func TestStaticPenetrationOfTheUpperStop(t *testing.T) {
	r := stopRig()
	r.Load.MassKG, r.Load.CounterbalanceKG = 0.001, 50.001
	p := unpowered(New(r, 1))
	run(p, Command{Mode: Off}, 2*time.Second)
	require.InDelta(t, 1+2.5e-3, p.State().AngleRad, 1e-12)
	require.InDelta(t, -bareLoad, p.State().StopTorqueNM, 1e-9)
}

// A stop pushes the load back into the travel and never pulls it, and a bounce gives
// no energy: each peak is at most as high as the one before. Source: one-sided contact
// is passive. Any stop, any speed at the start. Rounding: 1e-12 of the energies.
func TestStopsPushAndGiveNoEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := stopRig()
		r.Stops.StiffnessNPerMM = logRange(10, 1e6).Draw(t, "stiffness")
		r.Stops.DampingRatio = rapid.Float64Range(0, 5).Draw(t, "damping")
		p := unpowered(New(r, 1))
		p.state.SpeedRadS = rapid.Float64Range(-300, 300).Draw(t, "speed")
		rounding := 1e-12 * (stored(p) + 100) // J; the spring takes all of it in turn
		wrong, gained := 0.0, 0.0
		for range 2000 {
			before, angle := stored(p), p.state.AngleRad
			p.Step(Command{Mode: Off})
			gained = max(gained, stored(p)-before)
			if middle := angle + p.state.AngleRad; p.state.StopTorqueNM*middle > 0 {
				wrong = max(wrong, math.Abs(p.state.StopTorqueNM))
			}
		}
		require.LessOrEqual(t, gained, rounding)
		require.Zero(t, wrong)
	})
}

// Without damping a bounce loses little: the load comes back to 5 rad/s short of
// nothing. The step is implicit, so that it loses some energy, never gains: the share
// is of the order of h ω₀ = 250e-6 · √(2000/0.01) = 0.11. Source: an undamped spring
// returns the speed; the bound is the first order of the method.
func TestUndampedBounceReturnsTheSpeed(t *testing.T) {
	r := stopRig()
	r.Load.GravityMS2, r.Stops.DampingRatio = 0, 0
	p := unpowered(New(r, 1))
	p.state.SpeedRadS = -20
	run(p, Command{Mode: Off}, 80*time.Millisecond)
	back := p.State().SpeedRadS
	require.LessOrEqual(t, back, 20*(1+1e-12))
	require.Greater(t, back, 20*(1-math.Pi/2*0.11)) // half a period is π/(h ω₀) ticks
	require.Zero(t, p.State().StopTorqueNM)
}

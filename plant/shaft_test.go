package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The mean speed that a tick finds solves its equation: the torques shown are those
// that the elements have at that speed. Source: the equation above [Plant.Step]; the
// definition of an implicit step. Stiff elements on little inertia are drawn often, as
// there Newton's method alone jumps between two pieces for ever: at slopes of more than
// 2J/h.
//
// Tolerance: the solver's 1e-12 of the speed (at least 1e-12 rad/s), twice, in the slope
// of all elements; and rounding, 1e-12 of the torques themselves.
func TestMeanSpeedSolvesTheTick(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := unpowered(New(drawRig(t), 1))
		p.state.SpeedRadS = rapid.Float64Range(-200, 200).Draw(t, "speed")
		k, s := &p.k, &p.state
		closed := true
		for range 100 {
			closed = closed == (rapid.IntRange(0, 20).Draw(t, "turn") != 0)
			// closed may turn round before the tick looks at it: step the armature by hand
			p.brake.command(&s.BrakeState, closed)
			before := *s
			ahead := before.accelerationRS * k.tick
			held := before.BrakeState
			brakeC, creep := p.brake.prepare(&held, before.SpeedRadS, ahead, k.tick)
			p.Step(Command{Mode: Off, CloseBrake: closed})
			w := (before.SpeedRadS + s.SpeedRadS) / 2
			want := 0.0
			if brakeC > 0 {
				want, _ = p.brake.friction.torque(before.BrakeDeflectionRad, w-creep, k.tick, brakeC)
			}
			slope := p.brake.friction.stiffness*k.tick + p.brake.friction.damping
			size := p.brake.friction.stiffness*(math.Abs(before.BrakeDeflectionRad)+p.brake.friction.halfPlay) + slope*math.Abs(w)
			require.InDelta(t, -want, s.BrakeTorqueNM, 2e-12*slope*(1+math.Abs(w))+1e-12*size)
		}
	})
}

// The slip speed in the middle of the tick, by which the capacity is taken: an element that
// sticks stays stuck, and one that comes to rest on the way is taken at rest, not
// sliding the other way, where it would have lost its grip at rest (the Stribeck curve is
// that of a speed, whatever its sign).
func TestPredict(t *testing.T) {
	for _, c := range []struct{ slip, change, want float64 }{
		{0, -5, 0}, {2, 1, 3}, {-2, -1, -3}, {2, -1, 1}, {2, -2, 0}, {2, -5, 0}, {-2, 5, 0},
	} {
		require.InDelta(t, c.want, predict(c.slip, c.change), 0, "predict(%g, %g)", c.slip, c.change)
	}
}

// A stiff friction disc on a light rotor at a tick of 1 ms: σ₀h + σ₁ = 963 N·m·s/rad against
// 2J/h = 200. The turning shaft meets the end of the play within the tick and must be
// caught: a solver that jumps between play and contact lets it fall through.
func TestStiffBrakeCatchesAtTheEndOfItsPlay(t *testing.T) {
	r := bareRig()
	r.Load.GravityMS2, r.Motor.InertiaKGM2 = 0, 0.095
	r.Brake.StaticNM, r.Brake.SlidingNM, r.Brake.DampingRatio, r.Brake.PlayDeg = 500, 500, 2, 0.1
	r.Clock.Tick = time.Millisecond
	p := unpowered(New(r, 1))
	p.state.SpeedRadS = -1.836
	run(p, Command{Mode: Off, CloseBrake: true}, 100*time.Millisecond)
	// ½Jω² = 0.169 J is less than the ½·500·0.1° = 0.436 J that the friction disc takes
	// elastically: it holds, within play and wind-up, and does not slip.
	require.Zero(t, p.State().SlipRad)
	require.LessOrEqual(t, math.Abs(p.State().AngleRad), rad(0.05+0.1))
}

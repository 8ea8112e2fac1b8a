package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// stickRig has more friction at rest (20 N·m) than slipping (15 N·m), as friction discs do, so that
// a brake that breaks away runs away.
func stickRig(guide float64) Rig {
	r := bareRig()
	r.Brake.SlidingNM = 15
	r.Guide.SlidingNM, r.Guide.BreakawayNM = guide, guide
	// a stiff guide is at its limit long before the brake is at its own
	r.Guide.WindUpDeg = 0.005
	return r
}

// A brake pressed by a slowly growing torque holds up to its capacity and not beyond:
// it is loaded with |τ_m| + |τ_g| pressing down and τ_m − |τ_g| pressing up, and the
// guide holds its share first. Source: torque balance of a shaft at rest; Coulomb's
// law of dry friction.
//
// The torque grows at 2 N·m/s and then stands for half a second. It is then off by
// rounding, so 0.999 and 1.001 of the capacity are distinguished by a wide margin.
func TestBreakawayAtCapacity(t *testing.T) {
	for _, c := range []struct {
		name  string
		sense float64 // of the motor torque
		guide float64
	}{
		{"down", -1, 0},
		{"up", 1, 0},
		{"DownWithGuide", -1, 1.5},
		{"UpWithGuide", 1, 1.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := New(stickRig(c.guide), 1)
			run(p, Command{Mode: Hold, CloseBrake: true}, 200*time.Millisecond)
			// the motor torque at which brake and guide are both at their limit:
			// down −(20 + guide − 5), up 20 + guide + 5
			motor := func(share float64) float64 {
				return c.sense*share*(bareBrake+c.guide) + bareLoad
			}
			press(p, motor(0.999))
			require.Zero(t, p.State().SlipRad)
			require.InDelta(t, 0, p.State().SpeedRadS, 1e-6) // the ringing has died out
			press(p, motor(1.001))
			require.Greater(t, p.State().SlipRad, 1.0)
			require.Positive(t, c.sense*p.State().SpeedRadS)
		})
	}
}

// press moves the motor torque slowly to a value and lets it stand there.
func press(p *Plant, torque float64) {
	const rate = 2 // N·m/s
	ramp := math.Abs(torque-p.state.CurrentRMSA*p.c.torqueConstant) / rate
	run(p, Command{Mode: Press, PressTorqueNM: torque, PressRateNMS: rate, CloseBrake: true},
		time.Duration(ramp*1e9)+500*time.Millisecond)
}

// Below breakaway a friction element may deflect, and must return: under a torque that
// oscillates it does not drift. Source: the requirement of Dupont, Hayward, Armstrong,
// Altpeter, Single state elasto-plastic friction models, IEEE Trans. Automatic Control
// 47(5), 2002 (from memory); bristle models such as LuGre fail it.
//
// The torque swings between 10 and 99 % of the capacity for 500 periods of 100 ms, slow
// against the 170 Hz of the shaft on its friction disc (√(σ₀/J) = √(11459/0.01) = 1070 rad/s),
// so that resonance adds (10/170)² = 0.35 % of the swing and the peak stays below
// breakaway. There is no slip at all, and from period to period the shaft is where it
// was, to 1e-12 rad of 1.7e-3 rad wind-up: rounding.
func TestNoDriftBelowBreakaway(t *testing.T) {
	const ticks = 400
	p := New(stickRig(0), 1)
	swing := func() {
		for n := range ticks {
			share := 0.545 - 0.445*math.Cos(2*math.Pi*float64(n)/ticks)
			p.Sample()
			p.Step(Command{Mode: Press, PressTorqueNM: -(share*bareBrake - bareLoad), CloseBrake: true})
		}
	}
	for range 50 {
		swing()
	}
	before := p.State().AngleRad
	for range 450 {
		swing()
	}
	require.Zero(t, p.State().SlipRad)
	require.InDelta(t, before, p.State().AngleRad, 1e-12)
}

// At rest the load hangs on the brake. When the capacity falls under the load (oil on
// the friction disc), the load goes in that very tick, with what the brake still has:
// Jα = τ_L − C. Source: Coulomb's law; a bristle that is already bent must not go on
// holding.
func TestCapacityFallsUnderTheLoadAtRest(t *testing.T) {
	p := unpowered(New(bareRig(), 1))
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	require.InDelta(t, 0, p.State().SpeedRadS, 1e-9)
	require.Zero(t, p.State().SlipRad)

	p.Rig().Brake.Condition = 0.2 // 4 N·m against 5 N·m
	p.Reload()
	run(p, Command{Mode: Off, CloseBrake: true}, 250*time.Microsecond)
	require.InDelta(t, 4, p.State().BrakeTorqueNM, 1e-12)
	require.Positive(t, p.State().SlipRad)
	run(p, Command{Mode: Off, CloseBrake: true}, 250*time.Millisecond-250*time.Microsecond)
	// α = (5 − 4)/0.01 = 100 rad/s² for 0.25 s; the rest before was to 1e-9 rad/s
	require.InDelta(t, -25, p.State().SpeedRadS, 1e-8)

	p.Rig().Brake.Condition = 0.3 // 6 N·m: catches it, α = 100 rad/s² the other way
	p.Reload()
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	require.InDelta(t, 0, p.State().SpeedRadS, 1e-6)
	require.InDelta(t, bareLoad, p.State().BrakeTorqueNM, 1e-6)
}

// An unloaded brake with play lets the shaft move by the play and no further, however
// long it is loaded. Source: dead zone; the rest is Hooke's law, by hand.
//
// The play is so small that the fall through half of it does not make the brake slip:
// it brings 5 N·m · 0.025° = 0.0022 J, and with the 5 N·m · 0.1° = 0.0087 J of the load on
// the way less than the ½ · 20 N·m · 0.1° = 0.0175 J that the friction disc takes before it slips.
func TestPlayIsFree(t *testing.T) {
	r := bareRig()
	r.Brake.PlayDeg = 0.05
	p := unpowered(New(r, 1))
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	// sinks by half the play and then by the spring: 0.025° + 0.1°·5/20, at rest to 1e-9 rad
	require.InDelta(t, -rad(0.025+0.025), p.State().AngleRad, 1e-9)
	press(p, 20) // 15 N·m upward, three quarters of the wind-up
	require.InDelta(t, rad(0.025+0.075), p.State().AngleRad, 1e-9)
	require.Zero(t, p.State().SlipRad)
}

package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant/problem"
)

// Raising slowly takes τ_L/η of the motor, and lowering gives it back τ_L η_b; without an η_b of its
// own, the transmission loses as much as in raising, η_b = 2 − 1/η. Bare numbers, 5 N·m, η = 0.8: 6.25
// up, 5 · 0.75 = 3.75 down. Source: definition of the efficiency; handbooks of ball screw makers for
// 2 − 1/η (from memory).
func TestTorqueOfASlowMoveByDirection(t *testing.T) {
	for _, c := range []struct{ lowering, up, down float64 }{{0, 6.25, 3.75}, {0.75, 6.25, 3.75}, {0.6, 6.25, 3}, {0.9, 6.25, 4.5}, {1, 6.25, 5}} {
		r := bareRig()
		r.Transmission.Efficiency, r.Transmission.EfficiencyLowering = 0.8, c.lowering
		d := Derive(&r)
		require.InEpsilon(t, c.up, d.LiftingTorqueNM, 1e-12)
		require.InEpsilon(t, c.down, d.LoweringTorqueNM, 1e-12)
		require.InEpsilon(t, c.up, slowMove(r, 1e4), meanRipple, "η_b %g", c.lowering)
		require.InEpsilon(t, c.down, slowMove(r, -1e4), meanRipple, "η_b %g", c.lowering)
	}
}

// meanRipple is how far the mean motor torque over a second may be off: the speed differs by less than
// 0.03 rad/s between its ends, by the increments of the encoder, and J Δω/s is 3e-4 N·m of 3 or more.
const meanRipple = 1e-4

// slowMove is the motor torque of a move that has been steady for some time, in N·m.
func slowMove(r Rig, to float64) float64 {
	p := New(r, 1)
	run(p, Command{Mode: Move, TargetMM: to, SpeedMMS: 10}, 3*time.Second)
	sum, n := 0.0, 4000
	for range n {
		p.Observe()
		p.Step(Command{Mode: Move, TargetMM: to, SpeedMMS: 10})
		sum += p.State().MotorTorqueNM
	}
	return sum / float64(n)
}

// A load that rises by itself drives the transmission upwards: the directions are exchanged. 80 kg of
// counterbalance against 50 kg, 3 N·m up.
func TestEfficiencyOfALoadThatRises(t *testing.T) {
	r := bareRig()
	r.Load.CounterbalanceKG = 80
	r.Transmission.Efficiency, r.Transmission.EfficiencyLowering = 0.8, 0.6
	require.InEpsilon(t, -3*0.6, slowMove(r, 1e4), meanRipple)
	require.InEpsilon(t, -3/0.8, slowMove(r, -1e4), meanRipple)
}

// A transmission of 0.5 and below locks itself unless its efficiency in lowering is stated, and vet says
// so. Source: 2 − 1/0.5 = 0.
func TestValidateWarnsOfSelfLocking(t *testing.T) {
	r := paneRig()
	r.Transmission.Efficiency = 0.5
	warnings, err := Validate(&r)
	require.NoError(t, err)
	require.Equal(t, []string{"transmission.efficiency"}, paths(warnings))
	r.Transmission.EfficiencyLowering = 0.4
	warnings, err = Validate(&r)
	require.NoError(t, err)
	require.Empty(t, warnings)
}

func paths(l problem.List) []string {
	var found []string
	for _, p := range l {
		found = append(found, p.Path)
	}
	return found
}

// Friction that differs by direction takes energy at every slip and gives back no more than its spring
// has stored, whatever the motion: the element is passive. Source: passivity of dry friction; each
// capacity is above 0.
func TestFrictionByDirectionIsPassive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slider{stiffness: logRange(1, 1e4).Draw(t, "stiffness"), damping: logRange(1e-3, 10).Draw(t, "damping")}
		down, up := rapid.Float64Range(0, 10).Draw(t, "down"), rapid.Float64Range(0, 10).Draw(t, "up")
		const h = 250e-6
		z, work := 0.0, 0.0
		for range 200 {
			w := rapid.Float64Range(-100, 100).Draw(t, "w")
			torque, slope := s.elastic(z, w, h)
			torque, _ = between(torque, slope, down, up)
			require.LessOrEqual(t, torque, up)
			require.GreaterOrEqual(t, torque, -down)
			var slip float64
			if torque < up && torque > -down {
				z += w * h
			} else {
				z, slip = s.slide(z, w, h, torque)
			}
			work += torque * h * w
			require.GreaterOrEqual(t, torque*slip, -1e-12*(1+math.Abs(torque*w)))
			require.LessOrEqual(t, s.stiffness*z*z/2, work+1e-9*math.Abs(work)+1e-12)
		}
	})
}

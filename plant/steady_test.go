package plant

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A steady tick gives the same bits as the equations with all elements, in whatever way the axis came to it: held,
// pressed beyond the capacity of its brake, falling, or taken over by the drive.
func TestSteadyTickIsAnyTick(t *testing.T) {
	steady := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawRig(t)
		r.Brake.Adhesion, r.Brake.CreepDegPerS, r.Brake.GlazeReturnsTo, r.Brake.ExcessK, r.Brake.OpensTo = 0, 0, 0, 0, 0
		p := New(r, 1)
		for range 12 {
			c := Command{
				Mode:          rapid.SampledFrom([]Mode{Off, Hold, Press}).Draw(t, "mode"),
				PressTorqueNM: rapid.Float64Range(-60, 60).Draw(t, "torque"), PressRateNMS: 1e3,
				CloseBrake: rapid.Bool().Draw(t, "closed"),
			}
			for range rapid.IntRange(1, 400).Draw(t, "ticks") {
				p.Observe()
				p.Step(c)
			}
			quick, full := p.shaft, p.shaft // copies, which go on independently
			if !quick.advanceSteady(p.state.MotorTorqueNM) {
				continue
			}
			steady++
			full.advanceAny(p.state.MotorTorqueNM)
			require.Equal(t, full.state, quick.state)
			require.Equal(t, full.brake, quick.brake)
		}
	})
	require.Greater(t, steady, 100, "most of these ticks are steady")
}

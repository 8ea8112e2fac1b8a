package evaluate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/plant"
	"holdbench/sim/evaluate"
)

// What a torque at rest leaves open is the friction of the guide and, of a balanced load, a tenth of the torque without
// its counterbalance.
func TestLimitsLeaveOpenWhatFrictionAndCounterbalanceDo(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	rig := c.Rig
	rig.Guide.SlidingNM, rig.Guide.BreakawayNM, rig.Transmission.Efficiency = 0.08, 0.12, 1
	assert.InDelta(t, 0.12, evaluate.Limits(&rig).UnsureNM, 1e-9)
	hangs := -plant.LoadTorque(&rig, rig.Load.StartMM)
	rig.Load.CounterbalanceKG = 0.9 * rig.Load.MassKG
	assert.InDelta(t, 0.12+0.1*hangs, evaluate.Limits(&rig).UnsureNM, 1e-9)
}

package evaluate_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/sizing"
	"holdbench/sim/evaluate"
)

// Where nobody recorded what was required, the sized requirement is: a press that is enough for the bare test
// torque, and not for tolerances and guide friction, proves nothing. A rig that cannot be sized gives no proof.
func TestAssumedRequirementIsTheSizedOne(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	s, err := sizing.Compute(&c.Rig, nil, sizing.DefaultAssumptions(&c.Rig, nil))
	require.NoError(t, err)
	r, _ := record(t, c, "required_current_a", "judge_current_amp_a", "torque_nm")
	e := judged(t, &c.Rig, r)
	assert.Equal(t, evaluate.RequirementSized, e.Requirement)
	assert.True(t, e.OK())
	for _, check := range e.Checks {
		line, ok := s.Line("required_" + check.Direction + "_a")
		require.True(t, ok)
		assert.InDelta(t, line.Value, check.Torque.Required, 1e-9, check.Direction)
	}

	weak := *r
	weak.Channels = slices.Clone(r.Channels)
	amps := weak.Channel("current_rms_a")
	amps.Values = slices.Clone(amps.Values)
	for i := range amps.Values {
		amps.Values[i] *= 0.9 // 1.08 times the requirement is the press
	}
	assert.NotEqual(t, evaluate.Proven, judged(t, &c.Rig, &weak).Verdict)

	rig := c.Rig
	rig.Stops.LowMM = 1000 // the position of the test is below
	e = judged(t, &rig, r)
	assert.Equal(t, evaluate.RequirementBare, e.Requirement)
	assert.Equal(t, evaluate.Proven, e.Verdict)
	assert.False(t, e.OK())

	recorded, _ := record(t, c)
	assert.Equal(t, evaluate.RequirementRecorded, judged(t, &c.Rig, recorded).Requirement)
}

// The margin is that of a full dwell, not of the ramp on which the requirement was first met: the sequence presses
// with 1.08 times the requirement. A failed check has none.
func TestMarginIsOfAFullDwell(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	for _, check := range judged(t, &c.Rig, r).Checks {
		require.NotNil(t, check.Torque.MarginPct, check.Direction)
		assert.InDelta(t, 8, *check.Torque.MarginPct, 1.5, check.Direction)
		for _, th := range check.Thresholds {
			if th.Of == evaluate.OfRequirement {
				assert.True(t, th.Open, "the ask ends with the verdict")
				assert.GreaterOrEqual(t, math.Abs(check.Torque.Lowest), math.Abs(*th.Turns))
			}
		}
	}
	worn := load(t, "lining-worn-thin", nil)
	r, _ = record(t, worn)
	e := judged(t, &worn.Rig, r)
	assert.Nil(t, e.Checks[0].Torque.MarginNM)
	assert.Nil(t, e.Figures.TorqueMarginDownNM)
}

// The drive that arrests a load does not press the brake up.
func TestArrestingTheLoadIsNoPress(t *testing.T) {
	t.Parallel()
	c := load(t, "lining-worn-thin", nil)
	r, _ := record(t, c, "ask", "required_current_a", "judge_current_amp_a")
	e := judged(t, &c.Rig, r)
	assert.Equal(t, evaluate.Failed, e.Verdict)
	require.Len(t, e.Directions, 2)
	assert.Equal(t, evaluate.NotTested, e.Directions[1].Outcome)
	assert.Nil(t, e.Figures.MovementUpDeg)
}

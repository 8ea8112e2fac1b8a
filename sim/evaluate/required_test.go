package evaluate_test

import (
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
	weak.Channels = append(r.Channels[:0:0], r.Channels...)
	amps := weak.Channel("current_rms_a")
	amps.Values = append([]float64{}, amps.Values...)
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

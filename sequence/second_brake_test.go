package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The second brake has the command of the first until a state sets it, and from then on its own.
func TestSecondBrakeFollowsTheFirstUntilItIsSet(t *testing.T) {
	t.Parallel()
	p := program(t, `{sequence: s, start: a, states: {
		a: {set: {brake: closed}, go: [{to: b}]}, b: {set: {brake: open}, go: [{to: c}]},
		c: {set: {brake_2: closed}, go: [{to: d}]}, d: {set: {brake: closed}, go: [{to: e}]},
		e: {set: {brake: open}, go: [{to: z}]}, z: {set: {brake_2: open}}}, ends: {z: pass}}`)
	m := NewMachine(p, scan)
	require.Equal(t, BrakeOpen, func() BrakeCommand { o := DefaultOutputs(); return o.Brake2Command() }())
	up := PowerUpOutputs()
	require.Equal(t, BrakeClosed, up.Brake2Command(), "closed whenever the first is")
	for _, want := range []struct{ first, second BrakeCommand }{
		{BrakeOpen, BrakeOpen}, {BrakeOpen, BrakeClosed}, {BrakeClosed, BrakeClosed}, {BrakeOpen, BrakeClosed}, {BrakeOpen, BrakeOpen},
	} {
		var out Outputs
		_, err := m.Scan(&Inputs{}, &out)
		require.NoError(t, err)
		assert.Equal(t, want.first, out.Brake, m.State())
		assert.Equal(t, want.second, out.Brake2Command(), m.State())
	}
}

// A sequence that sets the brake after a loss of power has set the second one with it.
func TestSecondBrakeAfterPowerLossIsSetByTheFirst(t *testing.T) {
	t.Parallel()
	warned := func(set string) string {
		return vetted(document(t, `{sequence: s, start: a, after_power_loss: a, states: {
			a: {set: {drive: hold, operation: allowed`+set+`}, go: [{to: z}]}, z: {}}, ends: {z: pass}}`), nil).Error()
	}
	assert.Contains(t, warned(""), "after a loss of power brake_2 is closed")
	assert.NotContains(t, warned(", brake: open"), "brake_2")
}

package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
)

// A required torque of the wrong sign takes the load off the brake: nothing is proven, whatever
// the judge says.
func TestRequiredTorqueOfTheWrongSignIsWarnedOf(t *testing.T) {
	for _, c := range []struct{ key, value, says string }{
		{"sequence.required_down_nm", "0.843", "required_down_nm is 0.843 N·m in the sequence; must be negative"},
		{"sequence.required_up_nm", "-6", "required_up_nm is -6 N·m in the sequence; must be positive"},
		{"sequence.load_torque_nm", "-2.81", "load_torque_nm is -2.81 N·m in the sequence"},
	} {
		_, warnings, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Set: map[string]string{c.key: c.value}})
		require.NoError(t, err)
		require.NotEmpty(t, warnings, c.key)
		require.Contains(t, warnings.Error(), c.says)
	}
}

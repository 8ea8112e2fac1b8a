package sim

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What one bench records of its faults does not reach its copy. Nothing else shows it: without
// faults a value is the same in both.
func TestCopiedFaultStackSharesNothing(t *testing.T) {
	f := activeFaults{base: map[string]string{"brake.condition": "1"}, list: make([]*scheduledFault, 1, 4)}
	copied := f.clone()
	require.Equal(t, f, copied)
	copied.base["load.mass_kg"] = "180"
	copied.list[0] = new(scheduledFault)
	_ = append(copied.list, new(scheduledFault))
	require.Equal(t, map[string]string{"brake.condition": "1"}, f.base)
	require.Equal(t, []*scheduledFault{nil, nil}, f.list[:2])
	require.Nil(t, new(activeFaults).clone().base, "a run without faults has no map")
}

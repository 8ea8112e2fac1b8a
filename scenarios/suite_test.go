package scenarios_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// TestBuiltin is the regression suite: every built-in scenario against what its
// document expects.
func TestBuiltin(t *testing.T) {
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		t.Run(e.Group+"/"+e.Name, func(t *testing.T) {
			t.Parallel()
			c, _, err := scenarios.LoadCase(e.Name, scenarios.Overrides{})
			require.NoError(t, err)
			r, err := sim.Run(c, nil)
			require.NoError(t, err)
			for _, x := range r.Expectations {
				require.True(t, x.Met, "%s: want %s, got %s", x.Name, x.Want, x.Got)
			}
		})
	}
}

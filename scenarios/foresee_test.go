package scenarios_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
)

// Nothing that a built-in scenario names fails to happen, and nothing that it expects excludes the other: each finding
// would be a mistake of the scenario, or a false one.
func TestBuiltinScenariosHappenAsWritten(t *testing.T) {
	t.Parallel()
	for i, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		if i%everyNth != 0 {
			continue
		}
		t.Run(e.Group+"/"+e.Name, func(t *testing.T) {
			t.Parallel()
			_, found, err := scenarios.Vet(e.Name, scenarios.Below)
			require.NoError(t, err)
			if !teachesWrongData(e.Name) {
				require.Empty(t, found)
			}
			found, err = scenarios.Foresee(t.Context(), e.Name, scenarios.Below)
			require.NoError(t, err)
			require.Empty(t, found)
		})
	}
}

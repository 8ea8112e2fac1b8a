package scenarios_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// Every name that figures can have is accepted, and has a value in a run where there is such a thing.
func TestEveryFigureNameIsAccepted(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("severed-held-by-the-second-brake", scenarios.Overrides{})
	require.NoError(t, err)
	names := sim.FigureNames(c.Sequence)
	for _, want := range []string{"torque_nm", "press_torque_nm", "capacity_2_nm", "t_s", "rig.load.mass_kg", "judge.dwell", "sequence.load_torque_nm"} {
		require.Contains(t, names, want)
	}
	s := c.Scenario
	s.Lesson = sim.Lesson{{When: s.Lesson[0].When, Say: "{" + strings.Join(names, "} {") + "}"}}
	c, _, err = c.With(s)
	require.NoError(t, err)
	shown := shownStops(c)
	require.Len(t, shown, 1)
	values := strings.Split(strings.TrimSpace(strings.ReplaceAll(shown[0].Say, "no value", "none")), " ")
	require.Len(t, values, len(names))
	var without []string
	for i, name := range names {
		if values[i] == "none" {
			without = append(without, name)
		}
	}
	assert.Equal(t, []string{"operator_in_s"}, without, "the operator does nothing more")
	assert.False(t, slices.Contains(values, "infinite"))
	assert.Equal(t, "640", values[slices.Index(names, "rig.load.mass_kg")])
}

package probe_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim/probe"
)

// Two faults at once: every two that can come together do, in the states of the run without
// faults, and the plan says how far it went.
func TestPairsOfFaults(t *testing.T) {
	t.Parallel()
	longTest(t)
	c := load(t, parking)
	o := probe.Options{Faults: []string{"lining-worn", "brake-stays-open", "drive-trips", "window-too-wide", "dwell-too-short"}, Pairs: true}
	m := run(t, c, o)
	require.Len(t, m.Outcomes, m.Plan.Runs)
	assert.Greater(t, m.Plan.Pairs, m.Plan.Runs, "a run covers several")
	assert.Greater(t, m.Plan.All, m.Plan.Runs)
	grid := m.PairMatrix()
	for a := range m.Faults {
		assert.Zero(t, grid[a][a].Cells)
		for b := range a {
			assert.Positive(t, grid[a][b].Cells, "%s and %s", m.Faults[a], m.Faults[b])
			assert.Equal(t, grid[a][b], grid[b][a])
		}
	}
	narrow := run(t, c, in(o, "close_brake"))
	require.NotEmpty(t, narrow.Outcomes)
	for _, one := range narrow.Outcomes {
		assert.Equal(t, "close_brake", one.State, "%s with %s", one.Fault, one.With)
	}
}

// A state that only a failure enters is not one of two faults at once.
func TestPairsStayOnTheWayWithoutFaults(t *testing.T) {
	t.Parallel()
	longTest(t)
	m := run(t, reference(t), probe.Options{Faults: []string{"lining-worn", "link-down"}, Pairs: true})
	assert.Contains(t, m.Unreached, "arrest_load")
	assert.NotContains(t, m.Unreached, "close_brake")
}

package sweep

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

const demo = "healthy-down-and-up"

// coarse adds a tick as long as the functional scan to what is set: what is stated about sweeps
// holds for it as well, at a fifth of the time.
func coarse(set map[string]string) map[string]string {
	all := map[string]string{"rig.clock.tick": "2ms"}
	maps.Copy(all, set)
	return all
}

func load(tb testing.TB, name string, set map[string]string) *sim.Case {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: coarse(set)})
	require.NoError(tb, err)
	return c
}

// plan is a checked plan of a number of runs with some spreads.
func plan(tb testing.TB, c *sim.Case, runs int, spreads ...string) *Plan {
	tb.Helper()
	p := &Plan{Case: c, Runs: runs, Seed: 1, Confidence: 0.95, Part: 1, Parts: 1}
	for _, text := range spreads {
		s, err := ParseSpread(c, text)
		require.NoError(tb, err)
		p.Spreads = append(p.Spreads, s)
	}
	require.NoError(tb, p.Check())
	return p
}

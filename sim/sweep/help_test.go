package sweep

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

const demo = "healthy-down-and-up"

func load(tb testing.TB, name string, set map[string]string) *sim.Case {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: set})
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

package probe_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// chain is a case whose sequence goes through so many states, one each scan of the demo rig, and ends.
func chain(t *testing.T, states int) *sim.Case {
	t.Helper()
	var text strings.Builder
	text.WriteString("sequence: chain\nstart: s0\nstates:\n")
	for i := range states {
		fmt.Fprintf(&text, "  s%d: {go: [{to: s%d, after: 2ms}]}\n", i, i+1)
	}
	fmt.Fprintf(&text, "  s%d: {}\n  off: {}\nany: [{to: off, when: estop}]\nends: {s%d: pass, off: stop}\n", states, states)
	d, _, err := scenarios.ParseSequence("chain.yaml", []byte(text.String()))
	require.NoError(t, err)
	rig := load(t, "healthy-down").Rig
	c, _, err := sim.NewCase(sim.Scenario{Scenario: "chain"}, rig, *d)
	require.NoError(t, err)
	return c
}

// A probe keeps the outcome of each cell: one of more cells than memory should hold is refused before anything is
// tried, and a part of it is not.
func TestAProbeOfVeryManyStatesIsRefused(t *testing.T) {
	c := chain(t, 1500)
	tried := 0
	count := func(probe.Outcome) error { tried++; return nil }
	_, err := probe.Run(context.Background(), c, probe.Options{}, count)
	require.ErrorContains(t, err, "faults in 1502 states are up to ")
	require.ErrorContains(t, err, "cells; must be at most 38")
	require.ErrorContains(t, err, "choose states with --state or faults with --fault")
	_, err = probe.Run(context.Background(), c, probe.Options{Pairs: true}, count)
	require.ErrorContains(t, err, "choose states")
	_, err = probe.Run(context.Background(), c, probe.Options{Faults: []string{"link-down"}}, count)
	require.ErrorContains(t, err, "the search for further states takes ")
	require.ErrorContains(t, err, "choose faults that lead to states with --through")
	require.Zero(t, tried)

	m, err := probe.Run(context.Background(), c, probe.Options{Faults: []string{"link-down"}, States: []string{"s5", "s1499"}}, count)
	require.NoError(t, err)
	require.Equal(t, len(m.Outcomes), tried)
	require.Positive(t, tried)
}

// The runs from which cells start keep the inputs of every scan: so many scans are refused.
func TestAProbeOfAVeryLongRunIsRefused(t *testing.T) {
	c := chain(t, 3) // a second or so, with the operator who starts it
	require.NoError(t, probe.RouteWithRoomFor(2000, c))
	require.ErrorContains(t, probe.RouteWithRoomFor(100, c), "have more than 1500000 scans together; must be shorter, see rig.clock.run_limit")
}

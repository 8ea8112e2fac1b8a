package probe_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// Scans that come late are compared with those of the same time.
func TestScanAt(t *testing.T) {
	t.Parallel()
	for _, k := range []struct {
		atS  float64
		want int
	}{{0, 0}, {0.00175, 0}, {0.002, 1}, {0.003, 1}, {7.748, 3874}, {59.998, 29999}} {
		assert.Equal(t, k.want, probe.ScanAt(k.atS, 0.002), "%v s", k.atS)
	}
}

// Between late scans the image of a route stays: each of its scans has the newest one of its time.
func TestRouteWithLateScans(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Set: map[string]string{"rig.clock.run_limit": "100ms"}})
	require.NoError(t, err)
	late, err := catalogue.Parse("scans-late=2.5") // scan time 2 ms: they are due at 0, 6, 12 ms, and come 5 ms later
	require.NoError(t, err)
	at, same, err := probe.RouteClocks(c.Nominal(), []catalogue.Selection{late})
	require.NoError(t, err)
	const ms = time.Millisecond
	assert.Equal(t, []time.Duration{5 * ms, 5 * ms, 5 * ms, 5 * ms, 5 * ms, 11 * ms, 11 * ms, 11 * ms, 17 * ms}, at[:9])
	assert.True(t, same, "the same run shows no sign")
}

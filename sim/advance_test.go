package sim_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// advanced is the trace and the result of a run that is advanced in some way until it is over.
func advanced(t require.TestingT, c *sim.Case, advance func(*sim.Bench) bool) (string, *sim.Result) {
	var out bytes.Buffer
	trace, err := sim.NewCSVTrace(&out, c.Sequence)
	require.NoError(t, err)
	b := sim.NewBench(c, trace)
	for advance(b) {
	}
	require.True(t, b.Done())
	r, err := b.Result()
	require.NoError(t, err)
	return out.String(), r
}

// A run is the same to the last bit whatever the steps in which it is advanced: tick by tick, from scan to
// scan, or by any number of ticks. Among the runs are those with scans that come late, with buttons and faults
// that are due between two scans, and without power.
func TestRunIsTheSameInAnySteps(t *testing.T) {
	t.Parallel()
	for _, name := range []string{demo, "power-lost-while-pressing", "scans-late-by-half-a-scan", "watchdog-stops-the-press"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "500us"}})
			require.NoError(t, err)
			trace, result := advanced(t, c, (*sim.Bench).ToNextScan)
			for _, steps := range [][]int64{{1}, {4096}, {3, 1, 1000, 7}} {
				n := 0
				other, same := advanced(t, c, func(b *sim.Bench) bool {
					n++
					return b.Advance(steps[n%len(steps)])
				})
				require.Equal(t, trace, other)
				require.Equal(t, result, same)
			}
		})
	}
}

// Nothing is missed in the ticks that are not looked at: a run in which every tick is gives the same trace and
// result, with loads that drop, brakes that slip, stops and torque above the ceiling.
func TestTicksWithoutALookHideNothing(t *testing.T) {
	t.Parallel()
	names := []string{
		demo, "lining-worn-thin", "worn-brake-after-stop", "transmission-severed", "second-brake-hidden", "healthy-arm",
		"emergency-stop-on-the-way-to-support", "oil-on-the-lining", "partner-left-coupled", "drive-trips-while-pressing",
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "500us"}})
			require.NoError(t, err)
			trace, result := advanced(t, c, func(b *sim.Bench) bool { return b.Advance(1000) })
			other, same := advanced(t, c, func(b *sim.Bench) bool {
				b.LookAlways()
				return b.Advance(1)
			})
			require.Equal(t, trace, other)
			require.Equal(t, result, same)
		})
	}
}

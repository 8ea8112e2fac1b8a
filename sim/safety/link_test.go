package safety

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func carryAll(d *delayLine[int], delay int, l *LinkFaults, values ...int) []int {
	var out []int
	for _, v := range values {
		out = append(out, d.carry(v, delay, l, scan, 3*scan))
	}
	return out
}

func TestLinkDelay(t *testing.T) {
	for delay, want := range [][]int{{1, 2, 3, 4}, {0, 1, 2, 3}, {0, 0, 1, 2}} {
		require.Equal(t, want, carryAll(new(delayLine[int]), delay, new(LinkFaults), 1, 2, 3, 4), "delay %d", delay)
	}
}

func TestLinkDownKeepsTheLastValueUntilTheWatchdogBites(t *testing.T) {
	var d delayLine[int]
	carryAll(&d, 1, new(LinkFaults), 7, 7)
	require.Equal(t, []int{7, 7, 0, 0}, carryAll(&d, 1, &LinkFaults{Down: true}, 8, 8, 8, 8))
	require.Equal(t, []int{0, 9}, carryAll(&d, 1, new(LinkFaults), 9, 9), "after it came back nothing old comes through")
}

func TestLinkHeldIsNeverNoticed(t *testing.T) {
	var d delayLine[int]
	d.fill(5)
	require.Equal(t, []int{5, 5, 5, 5, 5}, carryAll(&d, 1, &LinkFaults{Held: true}, 1, 2, 3, 4, 5))
}

// Two gaps, each shorter than the watchdog, are not one that is longer.
func TestLinkGapsDoNotAddUp(t *testing.T) {
	var d delayLine[int]
	down := &LinkFaults{Down: true}
	carryAll(&d, 0, new(LinkFaults), 7)
	require.Equal(t, []int{7, 7}, carryAll(&d, 0, down, 8, 8))
	carryAll(&d, 0, new(LinkFaults), 7)
	require.Equal(t, []int{7, 7, 0}, carryAll(&d, 0, down, 8, 8, 8))
}

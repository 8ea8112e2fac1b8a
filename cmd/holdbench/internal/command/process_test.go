package command

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A process counts as blocked after two seconds without work, and not where its work is not known.
func TestBlocked(t *testing.T) {
	t.Parallel()
	const every = 100 * time.Millisecond
	for name, c := range map[string]struct {
		works   func(waits int) time.Duration // in each wait
		unknown int                           // from this wait on; 0 never
		want    bool
		waits   int
	}{
		"Idle":           {func(int) time.Duration { return 0 }, 0, true, 20},
		"WorksAtFirst":   {func(n int) time.Duration { return time.Duration(max(0, 31-n)) * every }, 0, true, 50},
		"Unknown":        {func(int) time.Duration { return 0 }, -1, false, 0},
		"UnknownLater":   {func(int) time.Duration { return 0 }, 5, false, 5},
		"AlmostNothing":  {func(int) time.Duration { return every / 1000 }, 0, true, 20},
		"WorksInBetween": {func(n int) time.Duration { return every * time.Duration(b2i(n == 15)) }, 0, true, 35},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			waits, used := 0, time.Duration(0)
			got := blocked(func() (time.Duration, bool) {
				return used, c.unknown == 0 || c.unknown > 0 && waits < c.unknown
			}, func() { waits++; used += c.works(waits) }, every)
			assert.Equal(t, c.want, got)
			assert.Equal(t, c.waits, waits)
		})
	}
}

func b2i(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

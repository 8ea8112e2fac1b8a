package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The step is chosen by this: at 250 µs every figure is within 1e-3 of a hundredth of the
// step, and a step four times as long is visibly worse.
func TestAccuracyOfTheWorkingStep(t *testing.T) {
	worst := func(tick time.Duration) float64 {
		r := paneRig()
		r.Clock.Tick, r.Clock.FunctionalScan, r.Clock.SafetyScan = tick, 8*tick, 32*tick
		most := 0.0
		for _, d := range Accuracy(r) {
			require.NotZero(t, d.Fine, d.Name)
			most = max(most, d.Relative())
		}
		return most
	}
	at250 := worst(250 * time.Microsecond)
	require.Less(t, at250, 1e-3)
	require.Greater(t, worst(time.Millisecond), 4*at250)
}

// The fine figures are those of closed forms where there are any: the break-away torque is
// what the brake holds at rest.
func TestAccuracyBreaksAwayAtCapacity(t *testing.T) {
	for _, d := range Accuracy(paneRig()) {
		if d.Name == "break-away torque" {
			require.InDelta(t, 9, d.Fine, 9e-3)
		}
	}
}

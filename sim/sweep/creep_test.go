package sweep

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Dwell and window trade against each other on linings that creep: what leaves a window within a
// dwell is a speed. A brake that holds 0.8 of the test torque without too much creep yields, under
// the test torque, at (d/t) f⁴/0.8⁴ = 0.6 deg/s · 2.8561/0.4096 = 4.18 deg/s (5 mm at 10 mm a turn
// in 5 minutes; the power law of package plant). So it leaves
//
//	1.5 deg in 0.36 s, 0.3 deg in 0.072 s, 6 deg in 1.4 s
//
// and no such brake is missed by a longer dwell, every one by a shorter one. A brake without creep
// and with this capacity breaks away under the test torque and is missed in no cell.
func TestMapShowsTheTradeOfWindowAndDwell(t *testing.T) {
	c := load(t, "healthy-down", nil)
	missed := func(creep string) map[[2]float64]float64 {
		p := plan(t, c, 4, "capacity=uniform(0.799, 0.801)", "rig.brake.creep_deg_per_s=table("+creep+": 1)")
		p.Windows = []float64{0.3, 1.5, 6}
		p.Dwells = []time.Duration{50 * time.Millisecond, 200 * time.Millisecond, 800 * time.Millisecond, 2 * time.Second}
		require.NoError(t, p.Check())
		tally := NewTally(len(p.Spreads), p.cells())
		require.NoError(t, p.Run(t.Context(), 2, tally, func(Record) error { return nil }))
		rates := map[[2]float64]float64{}
		head, err := p.Head()
		require.NoError(t, err)
		sum := tally.Summary(&head)
		for _, cell := range sum.Map {
			rates[[2]float64{cell.WindowDeg, cell.DwellS}] = cell.Missed.Rate
		}
		return rates
	}
	creeping, healthy := missed("30"), missed("0")
	leaves := map[float64]float64{0.3: 0.072, 1.5: 0.36, 6: 1.4}
	for cell, rate := range creeping {
		want := 0.0
		if cell[1] < leaves[cell[0]] {
			want = 1
		}
		require.InDelta(t, want, rate, 0, "window %g deg, dwell %g s", cell[0], cell[1])
		require.Zero(t, healthy[cell])
	}
}

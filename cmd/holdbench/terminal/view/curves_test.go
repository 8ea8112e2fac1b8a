package view

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim/history"
)

// drawnPast draws a run with jumps, gaps and changes of state.
func drawnPast(t *rapid.T, n int) past {
	p := past{samples: make([]history.Sample, n)}
	value, state := float32(0), 0
	for i := range p.samples {
		switch rapid.IntRange(0, 200).Draw(t, "change") {
		case 0:
			value = rapid.Float32Range(-9, 9).Draw(t, "value")
		case 1:
			value = float32(math.NaN())
		case 2:
			state++
		}
		p.samples[i] = history.Sample{TS: float64(i) * 0.002, State: state, MotorNM: value, CapacityNM: value, BrakeNM: value}
	}
	for i := 0; i+history.BlockSamples <= n; i += history.BlockSamples {
		p.blocks = append(p.blocks, history.Summary(p.samples[i:i+history.BlockSamples]))
	}
	return p
}

// Blocks lose no peak and no change of state, and what they move, they move by less than a column.
func TestBlocksDrawTheSame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawnPast(t, rapid.IntRange(1, 3000).Draw(t, "samples"))
		toS := p.samples[len(p.samples)-1].TS + 0.002
		fromS := rapid.Float64Range(0, toS/2).Draw(t, "from")
		columns := rapid.IntRange(1, 12).Draw(t, "columns")
		with, without := reduce(p, fromS, toS, columns, true), reduce(past{samples: p.samples}, fromS, toS, columns, true)
		for _, q := range []int{motorNM, brakeNM, capacityNM, negativeCapacityNM} {
			low, high := with.extent(0, 0, q)
			wantLow, wantHigh := without.extent(0, 0, q)
			require.Equal(t, [2]float64{wantLow, wantHigh}, [2]float64{low, high})
			for x := range columns {
				around(t, &with.lanes[q], &without.lanes[q], x)
			}
		}
		for i := 0; i < len(p.samples); i = p.stateEnd(i, len(p.samples)) {
			require.Equal(t, past{samples: p.samples}.stateEnd(i, len(p.samples)), p.stateEnd(i, len(p.samples)))
		}
	})
}

// around holds that what is in a column is there or next to it in the other.
func around(t *rapid.T, a, b *lane, x int) {
	high, low := float32(math.Inf(-1)), float32(math.Inf(1))
	for i := max(x-1, 0); i <= min(x+1, len(b.low)-1); i++ {
		if b.low[i] == b.low[i] {
			high, low = max(high, b.high[i]), min(low, b.low[i])
		}
	}
	if a.low[x] == a.low[x] {
		require.LessOrEqual(t, a.high[x], high)
		require.GreaterOrEqual(t, a.low[x], low)
	}
}

package history_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim/history"
)

// The blocks are those of the samples, also of a branch that goes on by itself.
func TestBlocksSumTheSamplesUp(t *testing.T) {
	whole := history.New(load(t, "lining-worn-thin"))
	whole.Advance(beyond, nil)
	branch := whole.Branch(whole.Ticks() / 3)
	branch.Advance(beyond, nil)
	for _, r := range []*history.Run{whole, branch} {
		samples := r.Samples()
		require.Len(t, r.Blocks(), len(samples)/history.BlockSamples)
		for i, b := range r.Blocks() {
			want := history.Summary(samples[i*history.BlockSamples:][:history.BlockSamples])
			require.Equal(t, fmt.Sprint(want), fmt.Sprint(b), "block %d, as text, since no NaN equals another", i)
		}
	}
}

func TestSummary(t *testing.T) {
	none := float32(math.NaN())
	b := history.Summary([]history.Sample{
		{State: 3, MotorNM: 2, BrakeNM: 7, CommandedNM: none, LoadMM: float32(math.Inf(1))},
		{State: 3, MotorNM: -1, BrakeNM: 5, CapacityNM: 9, CommandedNM: none},
		{State: 3, MotorNM: 1, BrakeNM: 4, CapacityNM: 8, CommandedNM: none, LoadMM: 6},
	})
	assert.True(t, b.Steady)
	assert.Equal(t, history.Range{Low: -1, High: 2, First: 2, Last: 1}, b.Motor)
	assert.Equal(t, history.Range{Low: 4, High: 5, First: 5, Last: 4}, b.Brake, "an open brake has no torque to show")
	assert.Equal(t, history.Range{Low: 0, High: 6, First: 0, Last: 6}, b.Load, "what has no limit is left out")
	assert.True(t, math.IsNaN(float64(b.Commanded.First)))
	assert.False(t, history.Summary([]history.Sample{{State: 1}, {State: 2}}).Steady)
}

// Joined ranges are the range of all values.
func TestJoinIsTheRangeOfAll(t *testing.T) {
	value := rapid.OneOf(rapid.Float32Range(-9, 9), rapid.Just(float32(math.NaN())))
	rapid.Check(t, func(t *rapid.T) {
		whole, parts := history.NoRange(), history.NoRange()
		for range rapid.IntRange(0, 5).Draw(t, "parts") {
			part := history.NoRange()
			for _, v := range rapid.SliceOfN(value, 0, 5).Draw(t, "values") {
				whole.Add(v)
				part.Add(v)
			}
			parts.Join(&part)
		}
		require.Equal(t, fmt.Sprint(whole), fmt.Sprint(parts))
	})
}

package fanout_test

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sim/fanout"
)

// However much there is to do, only a bounded number of pieces waits for the oldest.
func TestInOrderHoldsNoMoreThanItMust(t *testing.T) {
	const pieces, workers = 5000, 3
	var begun atomic.Int64
	handed, most := 0, int64(0)
	err := fanout.InOrder(t.Context(), pieces, workers, func(i int) (int, bool) {
		begun.Add(1)
		return i, true
	}, func(i, outcome int) {
		require.Equal(t, handed, i)
		require.Equal(t, i, outcome)
		most = max(most, begun.Load()-int64(handed))
		handed++
	})
	require.NoError(t, err)
	require.Equal(t, pieces, handed)
	require.LessOrEqual(t, most, int64(workers*64+workers+1))
}

// A piece that was not finished ends it all; nothing after it is handed over and nothing
// goes on.
func TestInOrderEndsWithAPieceThatWasNotFinished(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var handed []int
	err := fanout.InOrder(ctx, 1000, 2, func(i int) (int, bool) {
		if i == 7 {
			cancel()
		}
		return i, i != 7
	}, func(i, _ int) { handed = append(handed, i) })
	require.ErrorIs(t, err, context.Canceled)
	require.LessOrEqual(t, len(handed), 7)
}

// Once the context has ended nothing more is handed over, although it is ready.
func TestInOrderHandsNothingOverAfterTheEnd(t *testing.T) {
	for range 50 {
		ctx, cancel := context.WithCancel(t.Context())
		var handed []int
		err := fanout.InOrder(ctx, 20, 2, func(i int) (int, bool) { return i, true }, func(i, _ int) {
			if handed = append(handed, i); i == 7 {
				cancel()
			}
		})
		require.ErrorIs(t, err, context.Canceled)
		require.Len(t, handed, 8)
	}
}

package command

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Work that does not look at the context is given up when that ends, and its own outcome comes back before.
func TestInterruptible(t *testing.T) {
	t.Parallel()
	n, err := Interruptible(t.Context(), "counting", func() (int, error) { return 3, errors.New("own") })
	assert.Equal(t, 3, n)
	require.EqualError(t, err, "own")

	ctx, cancel := context.WithCancel(t.Context())
	never := make(chan struct{})
	defer close(never)
	_, err = Interruptible(ctx, "counting", func() (int, error) {
		cancel()
		<-never
		return 3, nil
	})
	require.EqualError(t, err, "interrupted while counting")
	require.ErrorIs(t, err, context.Canceled)
}

package command

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Work that does not look at the context is given up when that ends, and its own outcome comes back before.
func TestInterruptible(t *testing.T) {
	t.Parallel()
	n, err := Interruptible(t.Context(), "counting", func() (int, error) { return 3, errors.New("own") })
	assert.Equal(t, 3, n)
	assert.EqualError(t, err, "own")

	ctx, cancel := context.WithCancel(t.Context())
	never := make(chan struct{})
	defer close(never)
	_, err = Interruptible(ctx, "counting", func() (int, error) {
		cancel()
		<-never
		return 3, nil
	})
	assert.EqualError(t, err, "interrupted while counting")
	assert.ErrorIs(t, err, context.Canceled)
}

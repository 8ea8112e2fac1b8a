package command

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
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

	_, err = Interruptible(ctx, "counting", func() (int, error) { panic("begun after the end") })
	require.EqualError(t, err, "interrupted while counting")
}

// Reading, checking and judging a recording, which takes seconds of a long one, ends at an interrupt, and is then not
// taken for a fault of the recording.
func TestRecordingsAreInterruptible(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	file := filepath.Join(t.TempDir(), "a.csv")
	require.NoError(t, os.WriteFile(file, []byte("t_s,position_mm\n0,1\n1,2\n"), 0o600))
	rig, f := plant.Defaults(), RecordingFlags{}
	r, err := ReadRecording(t.Context(), file, recording.Options{})
	require.NoError(t, err)
	_, read := ReadRecording(ctx, file, recording.Options{})
	_, checked := f.Doubts(ctx, &App{Stderr: io.Discard}, r, &rig)
	_, judged := EvaluateRecording(ctx, &rig, r, evaluate.Options{})
	for _, err := range []error{read, checked, judged, Unusable(file, judged)} {
		require.ErrorIs(t, err, context.Canceled)
	}
}

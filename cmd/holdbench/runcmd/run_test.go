package runcmd

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// A run is a pure function of documents and seed (the aim of the element).
func TestTraceOfOneSeed(t *testing.T) {
	first := invoke(t.Context(), "run", "healthy-down", "--seed", "7", "--trace", "-")
	again := invoke(t.Context(), "run", "healthy-down", "--seed", "7", "--trace", "-")
	other := invoke(t.Context(), "run", "healthy-down", "--seed", "8", "--trace", "-")
	require.Equal(t, command.ExitOK, first.Code, first.Stderr)
	assert.Equal(t, first.Stdout, again.Stdout)
	assert.NotEqual(t, first.Stdout, other.Stdout)
}

// A run that is interrupted ends with 3 and leaves no trace.
func TestInterruptedRunLeavesNoTrace(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	folder := t.TempDir()
	got := invoke(ctx, "run", "healthy-down", "--trace", filepath.Join(folder, "a.csv"))
	assert.Equal(t, command.ExitInterrupted, got.Code, got.Stderr)
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, left)
}

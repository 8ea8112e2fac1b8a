package showcmd

import (
	"context"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
)

// The values of a rig, which take seconds where its tick is short, are given up at an interrupt: nothing is printed.
func TestInterruptedValuesOfARig(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	a := &command.App{Stdout: io.Discard, Stderr: io.Discard, Env: func(string) string { return "" }}
	begun, never := make(chan struct{}), make(chan struct{})
	defer close(never)
	go func() { <-begun; cancel() }()
	err := showRig(ctx, a, "pane-hoist", func(*page.Screen, *plant.Rig, *scenarios.Review) string {
		close(begun)
		<-never
		return "never"
	})
	require.EqualError(t, err, "interrupted while calculating values of the rig")
	require.ErrorIs(t, err, context.Canceled)
}

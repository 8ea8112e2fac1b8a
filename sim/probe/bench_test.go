package probe_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sim/probe"
)

// The full probe of the reference sequence on the demo rig, in cells a second.
func BenchmarkProbe(b *testing.B) {
	c := load(b, "healthy-down-and-up")
	for b.Loop() {
		m, err := probe.Run(context.Background(), c, probe.Options{}, nil)
		require.NoError(b, err)
		b.ReportMetric(float64(len(m.Outcomes))/(b.Elapsed().Seconds()/float64(b.N)), "cells/s")
	}
}

// BenchmarkProbeCell is one cell of that probe: the copy of the shared run, the fault and the run to its
// end. It takes the cells of the run without faults in turn.
func BenchmarkProbeCell(b *testing.B) {
	b.ReportAllocs()
	require.NoError(b, probe.PlayCells(b.Context(), load(b, "healthy-down-and-up"), b.Loop))
}

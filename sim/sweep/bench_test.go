package sweep

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
)

// BenchmarkSweep gives the time and the memory of a run in a sweep, on one worker and on all
// cores. A run of the demo, down and up with its dwells lengthened, lasts 10 s.
func BenchmarkSweep(b *testing.B) {
	c, _, err := scenarios.LoadCase(demo, scenarios.Overrides{Set: map[string]string{"judge.dwell": "2.5s"}})
	require.NoError(b, err)
	for name, workers := range map[string]int{"OneWorker": 1, "AllCores": runtime.NumCPU()} {
		b.Run(name, func(b *testing.B) {
			p := plan(b, c, b.N, "capacity=uniform(1.2, 1.4)", "rig.load.mass_kg=normal(100%, 0.2%)")
			head, err := p.Head()
			require.NoError(b, err)
			t := head.Tally()
			b.ReportAllocs()
			b.ResetTimer()
			require.NoError(b, p.Run(b.Context(), workers, t, func(Record) error { return nil }))
			b.ReportMetric(t.duration/float64(t.runs), "simulated-s/op")
		})
	}
}

package sweep

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
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

// BenchmarkSweepRun is what a run of a sweep costs beyond its ticks: draws, case, set-up, result, record.
func BenchmarkSweepRun(b *testing.B) {
	p := plan(b, load(b, demo, nil), 1_000_000, "capacity=uniform(1.2, 1.4)", "rig.load.mass_kg=normal(100%, 0.2%)")
	b.ReportAllocs()
	for number := 0; b.Loop(); number++ {
		d := p.draw(number)
		c, values, err := p.varied(number, 0, &d)
		require.NoError(b, err)
		run := sim.NewBench(c, nil)
		b.StopTimer()
		for run.Tick() {
		}
		b.StartTimer()
		r, err := run.Result()
		require.NoError(b, err)
		p.record(number, 0, &d, values, r)
	}
}

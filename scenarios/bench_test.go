package scenarios_test

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// BenchmarkCheck runs every built-in scenario once on one worker and on all cores, as the regression
// suite does. The documents are read before.
func BenchmarkCheck(b *testing.B) {
	var cases []*sim.Case
	for _, name := range scenarios.Names(scenarios.ScenarioKind) {
		c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
		require.NoError(b, err)
		cases = append(cases, c)
	}
	for name, workers := range map[string]int{"OneWorker": 1, "AllCores": runtime.NumCPU()} {
		b.Run(name, func(b *testing.B) {
			simulated := 0.0
			for b.Loop() {
				err := sim.RunAll(b.Context(), cases, workers, func(_ int, r *sim.Result, err error) {
					require.NoError(b, err)
					simulated += r.DurationS
				})
				require.NoError(b, err)
			}
			b.ReportMetric(simulated/b.Elapsed().Seconds(), "sim-s/s")
		})
	}
}

// BenchmarkGrowth reports how the cost of a run grows with simulated time, number of runs, states and
// faults: k of t ~ n^k, 1 where it grows in proportion.
func BenchmarkGrowth(b *testing.B) {
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{})
	require.NoError(b, err)
	b.Run("Time", func(b *testing.B) {
		reportGrowth(b, 10, func(n int) func() { return runs(b, until(b, c, time.Duration(n)*time.Second)) })
	})
	b.Run("Runs", func(b *testing.B) {
		reportGrowth(b, 4, func(n int) func() {
			cases := make([]*sim.Case, n)
			for i := range cases {
				cases[i] = c
			}
			return runs(b, cases...)
		})
	})
	b.Run("States", func(b *testing.B) {
		reportGrowth(b, 100, func(n int) func() { return runs(b, withStates(b, n)) })
	})
	b.Run("Faults", func(b *testing.B) {
		reportGrowth(b, 250, func(n int) func() { return runs(b, withFaults(b, c, n)) })
	})
}

// reportGrowth measures work of some sizes, each twice the one before, and of none beside them, which is
// what all of them have in common. The exponent is the slope of the straight line through the logarithms
// of the least times, by least squares.
func reportGrowth(b *testing.B, smallest int, prepare func(n int) func()) {
	b.Helper()
	const doublings = 4
	var work [doublings + 1]func()
	var least [doublings + 1]time.Duration
	for i := range work {
		work[i] = prepare(smallest << i)
	}
	none := prepare(0)
	leastNone := time.Duration(math.MaxInt64)
	for b.Loop() {
		leastNone = min(leastNone, elapsed(b, none))
		for i, do := range work {
			if took := elapsed(b, do); least[i] == 0 || took < least[i] {
				least[i] = took
			}
		}
	}
	var x, y, xx, xy float64
	for i := range least {
		size, took := float64(i), math.Log2((least[i] - leastNone).Seconds())
		x, y, xx, xy = x+size, y+took, xx+size*size, xy+size*took
	}
	n := float64(len(least))
	b.ReportMetric((n*xy-x*y)/(n*xx-x*x), "exponent")
}

// elapsed is how long some work takes.
func elapsed(b *testing.B, work func()) time.Duration {
	b.Helper()
	from := b.Elapsed()
	work()
	return b.Elapsed() - from
}

// runs is the work of running cases one after the other.
func runs(b *testing.B, cases ...*sim.Case) func() {
	b.Helper()
	return func() {
		for _, c := range cases {
			_, err := sim.Run(c, nil)
			require.NoError(b, err)
		}
	}
}

// until is the case with an operator who acts last at a moment, until which the run goes on.
func until(b *testing.B, c *sim.Case, last time.Duration) *sim.Case {
	b.Helper()
	s := c.Scenario.Clone()
	s.Script = []sim.Action{
		{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}},
		{At: 10*time.Second + last, Set: map[string]bool{"acknowledge": true}},
	}
	made, _, err := c.With(s)
	require.NoError(b, err)
	return made
}

// withStates is a case with a sequence that stays in each of its states for some scans.
func withStates(b *testing.B, n int) *sim.Case {
	b.Helper()
	var text strings.Builder
	text.WriteString("sequence: chain\nstart: s0\nstates:\n")
	for i := range n + 1 {
		fmt.Fprintf(&text, "  s%d:\n    go:\n      - {to: s%d, after: 10ms}\n", i, i+1)
	}
	fmt.Fprintf(&text, "  s%d: {}\nends: {s%d: pass}\n", n+1, n+1)
	document, _, err := scenarios.ParseSequence("chain", []byte(text.String()))
	require.NoError(b, err)
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{})
	require.NoError(b, err)
	c.Scenario = sim.Scenario{Scenario: "chain"}
	made, _, err := c.WithSequence(*document)
	require.NoError(b, err)
	return made
}

// withFaults is the case with faults that come one after the other and end.
func withFaults(b *testing.B, c *sim.Case, n int) *sim.Case {
	b.Helper()
	s := c.Scenario.Clone()
	for i := range n {
		at := time.Second + time.Duration(i)*time.Millisecond
		s.Faults = append(s.Faults, sim.Fault{At: &at, For: time.Millisecond, Set: map[string]string{"operator.access": "true"}})
	}
	made, _, err := c.With(s)
	require.NoError(b, err)
	return made
}

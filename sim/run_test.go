package sim_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

const demo = "healthy-down-and-up"

func load(tb testing.TB, name string, set map[string]string) *sim.Case {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: set})
	require.NoError(tb, err)
	return c
}

// coarse is a case on a clock of a quarter of the rig's: what says that two runs are the same
// holds on any clock.
func coarse(tb testing.TB, name string) *sim.Case {
	tb.Helper()
	return load(tb, name, map[string]string{"rig.clock.tick": "1ms"})
}

func run(t *testing.T, name string, set map[string]string) *sim.Result {
	t.Helper()
	r, err := sim.Run(load(t, name, set), nil)
	require.NoError(t, err)
	return r
}

// someOfAll are one scenario in four, and in a short test one in twenty; all of them are run by the suite.
func someOfAll(t *testing.T) []*sim.Case {
	t.Helper()
	var cases []*sim.Case
	every := 4
	if testing.Short() {
		every = 20
	}
	for i, name := range scenarios.Names(scenarios.ScenarioKind) {
		if i%every == 0 {
			cases = append(cases, load(t, name, nil))
		}
	}
	return cases
}

// A run is a pure function of its documents and its seed, on any number of workers.
func TestRunAllDoesNotDependOnTheWorkers(t *testing.T) {
	write := func(workers int) []byte {
		var out bytes.Buffer
		err := sim.RunAll(t.Context(), someOfAll(t), workers, func(_ int, r *sim.Result, err error) {
			require.NoError(t, err)
			require.NoError(t, json.NewEncoder(&out).Encode(r))
		})
		require.NoError(t, err)
		return out.Bytes()
	}
	one := write(1)
	require.NotEmpty(t, one)
	require.Equal(t, string(one), string(write(7)))
}

func TestTraceIsTheSameForTheSameSeed(t *testing.T) {
	write := func(seed uint64) string {
		c := load(t, demo, nil)
		c.Seed = seed
		var out bytes.Buffer
		trace, err := sim.NewCSVTrace(&out, c.Sequence)
		require.NoError(t, err)
		_, err = sim.Run(c, trace)
		require.NoError(t, err)
		return out.String()
	}
	first := write(3)
	require.Equal(t, first, write(3))
	require.NotEqual(t, first, write(4), "the seed sets the noise")
}

func TestTraceHasEveryColumnAndOnlyNumbersThatAre(t *testing.T) {
	var out bytes.Buffer
	c := load(t, demo, nil)
	trace, err := sim.NewCSVTrace(&out, c.Sequence)
	require.NoError(t, err)
	r, err := sim.Run(c, trace)
	require.NoError(t, err)
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"t_s", "state", "trigger"}, rows[0][:3])
	truth := []string{"angle_rad", "speed_rad_s", "current_amp_a", "torque_motor_nm", "torque_brake_nm", "torque_load_nm",
		"capacity_nm", "engagement", "brake_temp_c", "load_mm", "support_n", "slip_deg", "thermal_load", "judge_current_amp_a"}
	second := []string{"torque_brake_2_nm", "capacity_2_nm", "engagement_2", "brake_2_temp_c", "brake_2_slip_deg"}
	require.Equal(t, slices.Concat(truth, second), rows[0][len(rows[0])-len(truth)-len(second):])
	scans := (r.DurationS + 0.5) / c.Rig.Clock.FunctionalScan.Seconds()
	require.InDelta(t, scans, len(rows)-1, 1, "one row a functional scan")
	for _, row := range rows[1:] {
		require.Equal(t, make([]string, len(second)), row[len(row)-len(second):], "no value of a brake that is not there")
		for i, cell := range row {
			if x, err := strconv.ParseFloat(cell, 64); err == nil {
				require.False(t, math.IsNaN(x) || math.IsInf(x, 0), "column %s", rows[0][i])
			}
		}
	}
}

// A trace shows what a run is explained with: the current that the judge reads with its own
// transducer, the thermal load of the drive, and the slip of each brake.
func TestTraceOfJudgeHeatAndSlip(t *testing.T) {
	last := func(scenario string, set map[string]string) map[string]float64 {
		var out bytes.Buffer
		c := load(t, scenario, set)
		trace, err := sim.NewCSVTrace(&out, c.Sequence)
		require.NoError(t, err)
		_, err = sim.Run(c, trace)
		require.NoError(t, err)
		rows, err := csv.NewReader(&out).ReadAll()
		require.NoError(t, err)
		values := map[string]float64{}
		for i, name := range rows[0] {
			if x, err := strconv.ParseFloat(rows[len(rows)-1][i], 64); err == nil {
				values[name] = x
			}
		}
		return values
	}
	r := runOf(t, "lining-worn-thin", nil)
	worn := last("lining-worn-thin", nil)
	require.InDelta(t, r.SlipDeg, worn["slip_deg"], 0.01)
	require.Greater(t, worn["slip_deg"], 10.0)

	doubled := last("healthy-down", map[string]string{"judge.transducer": "own", "judge.current_gain": "2"})
	require.InEpsilon(t, 2*doubled["current_amp_a"], doubled["judge_current_amp_a"], 0.05, "the judge's own transducer reads twice the current")

	// The drive of the hoist holds 2.81 N·m of a continuous torque of 1.1 N·m/A · 5 A: ϑ goes to (2.81/5.5)² = 0.26.
	hot := last("healthy-down", map[string]string{"rig.drive.continuous_current_rms_a": "5", "rig.drive.thermal_time": "100ms"})
	share := hot["current_amp_a"] / math.Sqrt2 / 5
	require.InDelta(t, share*share, hot["thermal_load"], 0.02)

	two := runOf(t, "second-brake-worn", nil)
	require.InDelta(t, *two.Brake2SlipDeg, last("second-brake-worn", nil)["brake_2_slip_deg"], 0.01)
	require.Greater(t, *two.Brake2SlipDeg, 5.0)
}

// Every second tick of a whole run is measured. Ticks that allocate are those in which
// something happened that became an event; there are a few dozen among thirty thousand.
func TestATickAllocatesNothing(t *testing.T) {
	b := sim.NewBench(load(t, demo, nil), nil)
	measured, allocating := 0, 0
	for on := true; on; measured++ {
		if testing.AllocsPerRun(1, func() { on = b.Tick() }) > 0 {
			allocating++
		}
	}
	r, err := b.Result()
	require.NoError(t, err)
	require.Greater(t, measured, 10_000)
	require.LessOrEqual(t, allocating, len(r.Events))
}

func TestRunAllStopsWhenToldAndKeepsWhatIsDone(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var done []int
	err := sim.RunAll(ctx, someOfAll(t), 2, func(i int, _ *sim.Result, _ error) {
		done = append(done, i)
		if i == 2 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	require.Subset(t, done, []int{0, 1, 2})
	require.Less(t, len(done), len(scenarios.Names(scenarios.ScenarioKind)))
	for place, i := range done {
		require.Equal(t, place, i, "in the order of the cases")
	}
}

// BenchmarkNominalRun reports simulated seconds per second of wall time of the
// nominal run of the demo rig, on one core, with tracing off.
func BenchmarkNominalRun(b *testing.B) {
	c := load(b, demo, nil)
	var simulated float64
	b.ReportAllocs()
	for b.Loop() {
		bench := sim.NewBench(c, nil)
		for bench.Advance(4096) {
		}
		simulated += float64(bench.Ticks()) * c.Rig.Clock.Tick.Seconds()
	}
	b.ReportMetric(simulated/b.Elapsed().Seconds(), "sim-s/s")
}

// BenchmarkAllCores runs as many nominal runs as there are cores, eight times over, and
// reports simulated seconds per second of wall time on all of them.
func BenchmarkAllCores(b *testing.B) {
	c := load(b, demo, nil)
	cases := make([]*sim.Case, 8*runtime.NumCPU())
	for i := range cases {
		cases[i] = c
	}
	var simulated float64
	for b.Loop() {
		err := sim.RunAll(b.Context(), cases, runtime.NumCPU(), func(_ int, r *sim.Result, _ error) {
			simulated += r.DurationS + 0.5
		})
		require.NoError(b, err)
	}
	b.ReportMetric(simulated/b.Elapsed().Seconds(), "sim-s/s")
}

// A scenario that was changed after its check and is wrong stops the run with the reason.
func TestBenchPanicsOnAnUncheckedScenario(t *testing.T) {
	t.Parallel()
	c := *load(t, demo, nil)
	c.Scenario.Faults = []sim.Fault{{When: &sim.Moment{State: "nowhere"}, Set: map[string]string{"link.down": "true"}}}
	defer func() {
		require.Contains(t, fmt.Sprint(recover()), `faults[0].when.state: there is no state "nowhere" in the sequence`)
	}()
	sim.NewBench(&c, nil)
}

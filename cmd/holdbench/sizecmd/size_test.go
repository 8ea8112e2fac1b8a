package sizecmd

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sim"
)

// sized writes a rig's values as a scenario, and gives the sizing as well.
func sized(t *testing.T, rig string, args ...string) (file string, s sizing.Sizing) {
	t.Helper()
	file = filepath.Join(t.TempDir(), "sized.yaml")
	got := invoke(t.Context(), append([]string{"size", rig, "--json", "--set-scenario", file}, args...)...)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	require.NoError(t, json.Unmarshal([]byte(got.Stdout), &s))
	return file, s
}

func sizedValue(t *testing.T, s *sizing.Sizing, id string) float64 {
	t.Helper()
	l, ok := s.Line(id)
	require.True(t, ok, id)
	return l.Value
}

// triedSized runs a scenario with other values.
func triedSized(t *testing.T, file string, set map[string]string, faults ...sim.Fault) *sim.Result {
	t.Helper()
	ready, _, err := scenarios.LoadCase(file, scenarios.Overrides{Set: set})
	require.NoError(t, err)
	if len(faults) > 0 {
		sc := ready.Scenario
		sc.Faults = faults
		ready, _, err = ready.With(sc)
		require.NoError(t, err)
	}
	r, err := sim.Run(ready, nil)
	require.NoError(t, err)
	return r
}

// condition is what is left of a brake whose static torque is so much.
func condition(t *testing.T, rig string, nm float64) string {
	t.Helper()
	r, _, err := scenarios.LoadRig(rig)
	require.NoError(t, err)
	return strconv.FormatFloat(nm/r.Brake.StaticNM, 'g', -1, 64)
}

// The values work: on every built-in rig a brake that has just what is guaranteed passes,
// and one that is 5 % below the required test torque is caught, whichever way magnets and
// measured current are off by as much as was said.
func TestSizedValuesWork(t *testing.T) {
	rigs := scenarios.Names(scenarios.RigKind)
	if testing.Short() {
		rigs = rigs[:1]
	}
	for _, rig := range rigs {
		t.Run(rig, func(t *testing.T) {
			t.Parallel()
			file, s := sized(t, rig)
			good := condition(t, rig, sizedValue(t, &s, "guaranteed_brake_nm"))
			weak := condition(t, rig, 0.95*sizedValue(t, &s, "required_test_torque_nm"))
			r := triedSized(t, file, nil)
			assert.True(t, r.Met(), "%+v", r.Expectations)
			for _, magnets := range []string{"0.95", "1", "1.05"} {
				for _, gain := range []string{"0.98", "1", "1.02"} {
					set := map[string]string{"rig.motor.torque_factor": magnets, "rig.drive.current_gain": gain, "rig.brake.condition": good}
					r := triedSized(t, file, set)
					assert.Equal(t, []string{"pass", string(sim.SoundPass)}, []string{r.End, string(r.Class)}, "%v %s in %s", set, r.Cause, r.EndedIn)
					set["rig.brake.condition"] = weak
					r = triedSized(t, file, set)
					assert.Equal(t, []string{"fail", string(sim.Caught)}, []string{r.End, string(r.Class)}, "%v %s in %s", set, r.Cause, r.EndedIn)
				}
			}
		})
	}
}

// Any load in the range may be on the axis: a good brake passes, and one below the test
// torque of the heaviest is not proven under the lightest either.
func TestSizedForARangeOfLoads(t *testing.T) {
	t.Parallel()
	file, s := sized(t, "pane-hoist", "--minimum-load-kg", "130", "--maximum-load-kg", "200")
	weak := condition(t, "pane-hoist", 0.95*sizedValue(t, &s, "required_test_torque_nm"))
	for _, mass := range []string{"130", "180", "200"} {
		r := triedSized(t, file, map[string]string{"rig.load.mass_kg": mass})
		assert.Equal(t, "pass", r.End, "%s kg: %s in %s", mass, r.Cause, r.EndedIn)
		r = triedSized(t, file, map[string]string{"rig.load.mass_kg": mass, "rig.brake.condition": weak})
		assert.Equal(t, "fail", r.End, "%s kg", mass)
		assert.NotEqual(t, "proven", r.Verdict, "%s kg", mass)
	}
}

// The judge of the bench raises false alarms as often as the formula says. The window is
// so tight that they are frequent, the noise so large that the place between two increments
// counts little, and only one direction is pressed. The count of 600 runs lies within four
// standard deviations of the rates at the best and the worst place; the elastic movement
// after the latch is a thirtieth of an increment here.
func TestFalseAlarmsOfTheBench(t *testing.T) {
	if clitest.Race {
		t.Skip("thousands of runs one after the other, too slow with the race detector; the scripts run the same code")
	}
	if testing.Short() {
		t.Skip("a count of 600 runs, and fewer say nothing of a rate")
	}
	t.Parallel()
	const runs = 600
	const increment = 360.0 / 16384
	ready, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Set: map[string]string{
		"rig.encoder.noise_deg": strconv.FormatFloat(0.8*increment, 'g', -1, 64),
		"judge.window_deg":      strconv.FormatFloat(3.5*increment, 'g', -1, 64), "sequence.test_up": "false", "judge.directions": "down",
	}})
	require.NoError(t, err)
	moved := 0
	for seed := range uint64(runs) {
		ready.Seed = seed + 1
		r, err := sim.Run(ready, nil)
		require.NoError(t, err)
		require.Contains(t, []string{"", "moved"}, r.Cause, "seed %d in %s", seed, r.EndedIn)
		if r.Cause == "moved" {
			moved++
		}
	}
	low, high := 1.0, 0.0
	for f := 0.0; f < 0.51; f += 0.05 {
		p := sizing.AlarmRateAt(f, 0.8, 3, 125)
		low, high = math.Min(low, p), math.Max(high, p)
	}
	spread := func(p float64) float64 { return 4 * (distuv.Binomial{N: runs, P: p}).StdDev() }
	t.Logf("%d of %d, expected %.3g to %.3g", moved, runs, runs*low, runs*high)
	assert.GreaterOrEqual(t, float64(moved), runs*low-spread(low))
	assert.LessOrEqual(t, float64(moved), runs*high+spread(high))
	assert.Greater(t, low, 0.05)
	assert.Less(t, high/low, 2.0)
}

// A creep that the sizing says is caught is caught, and one a tenth slower passes. It is a
// reading that runs away during the dwell, as if the brake crept.
func TestSlowestCreepIsCaught(t *testing.T) {
	t.Parallel()
	for _, rig := range []string{"pane-hoist", "tilt-arm"} {
		for _, args := range [][]string{nil, {"--creep-mm-s", "0.01"}} {
			file, s := sized(t, rig, args...)
			creep := sizedValue(t, &s, "creep_deg_s")
			at := &sim.Moment{State: "verdict_down"}
			for share, verdict := range map[float64]string{1.01: "failed", 0.9: "proven"} {
				drift := fmt.Sprintf("%.9g", -share*creep)
				f := sim.Fault{When: at, For: time.Duration(1.05 * sizedValue(t, &s, "dwell_s") * float64(time.Second)), Set: map[string]string{"encoder.drift_deg_per_s": drift}}
				r := triedSized(t, file, map[string]string{"sequence.test_up": "false", "judge.directions": "down", "rig.encoder.noise_deg": "0", "rig.clock.run_limit": "5m", "sequence.verdict_time_s": "200"}, f)
				assert.Equal(t, verdict, r.Verdict, "%s %v at %g of the creep: %s in %s", rig, args, share, r.Cause, r.EndedIn)
			}
		}
	}
}

// The deadline is long enough with nothing to spare but what was counted.
func TestSizedDeadlineIsEnough(t *testing.T) {
	t.Parallel()
	for _, rig := range scenarios.Names(scenarios.RigKind) {
		file, s := sized(t, rig)
		r := triedSized(t, file, map[string]string{"judge.deadline": fmt.Sprintf("%gs", sizedValue(t, &s, "deadline_s"))})
		assert.Equal(t, "pass", r.End, "%s: %s", rig, r.Cause)
	}
}

// The pages as they were last looked at and found good.
func TestSizePages(t *testing.T) {
	for _, c := range []struct {
		name, rig   string
		assumptions map[string]string
		width       int
		ascii       bool
		short       bool
	}{
		{name: "arm-80", rig: "tilt-arm", width: 80},
		{name: "arm-120", rig: "tilt-arm", width: 120},
		{name: "gate-80-ascii", rig: "kiln-gate", assumptions: map[string]string{"minimum-load-kg": "380", "counterbalance-loss": "0.05"}, width: 80, ascii: true},
		{name: "hoist-80-short", rig: "pane-hoist", width: 80, short: true},
		{name: "gate-80-short-ascii", rig: "kiln-gate", width: 80, ascii: true, short: true},
		{name: "crossed-80-short", rig: "pane-hoist", assumptions: map[string]string{"factor": "2.5", "undetected-mm": "0.001", "credit-friction": "true"}, width: 80, short: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := sizedForTest(t, c.rig, c.assumptions)
			got := (&sizePage{Sheet: page.NewSheet(clitest.PlainScreen(c.width, c.ascii)), sizedRig: z, short: c.short}).text()
			clitest.KeepsToThePage(t, got, c.width, c.ascii)
			clitest.Golden(t, "size", c.name+".txt", got)
		})
	}
	t.Run("markdown", func(t *testing.T) {
		got := sizeMarkdown(sizedForTest(t, "kiln-gate", map[string]string{"minimum-load-kg": "380"}))
		for line := range strings.Lines(got) {
			if strings.HasPrefix(line, "|") {
				bars := strings.Count(line, "|") - strings.Count(line, `\|`)
				assert.Contains(t, []int{5, 6}, bars, line)
			}
		}
		clitest.Golden(t, "size", "gate.md", got)
	})
}

// The short page fits one screen of 80 by 24 with the prompt, on every rig and whatever is found.
func TestShortPageFitsTheScreen(t *testing.T) {
	for _, rig := range scenarios.Names(scenarios.RigKind) {
		for _, assumptions := range []map[string]string{nil, {"factor": "2.5", "undetected-mm": "0.001", "credit-friction": "true", "tests": "1000", "test-pause": "0s", "dwell": "50ms", "interval": "1s", "press-rate-nm-s": "0.001"}} {
			z := sizedForTest(t, rig, assumptions)
			got := (&sizePage{Sheet: page.NewSheet(clitest.PlainScreen(80, false)), sizedRig: z, short: true}).text()
			clitest.KeepsToThePage(t, got, 80, false)
			assert.LessOrEqual(t, strings.Count(got, "\n"), 23, rig)
			if assumptions != nil {
				assert.Contains(t, got, "more, see without --short", rig)
			}
		}
	}
}

// The help stays on the page, and ends with the caution.
func TestSizeHelp(t *testing.T) {
	got := invoke(t.Context(), "size", "--help")
	require.Equal(t, command.ExitOK, got.Code)
	for line := range strings.Lines(got.Stdout) {
		line = strings.TrimSuffix(line, "\n")
		assert.LessOrEqual(t, page.Cells(line), page.Narrow, line)
		assert.Equal(t, strings.TrimRight(line, " "), line)
	}
	assert.Contains(t, got.Stdout, "A simulation proves no machine safe")
	assert.Contains(t, got.Stdout, "Exit code 1 if bounds cross")
}

func sizedForTest(t *testing.T, rig string, assumptions map[string]string) *sizedRig {
	t.Helper()
	a := &command.App{Stderr: os.Stderr, Env: func(string) string { return "" }}
	z, err := loadSized(a, rig, scenarios.Overrides{Sequence: "reference"})
	require.NoError(t, err)
	w := sizing.DefaultAssumptions(&z.ready.Rig, z.params)
	for name, text := range assumptions {
		require.NoError(t, w.Set(name, text))
	}
	result, err := sizing.Compute(&z.ready.Rig, z.params, w)
	require.NoError(t, err)
	z.result = &result
	return z
}

// The page draws any rig that is valid at any width without falling over.
func TestSizePageOfOddRigs(t *testing.T) {
	z := sizedForTest(t, "pane-hoist", nil)
	for _, change := range []func(r *plant.Rig){
		func(r *plant.Rig) { r.Load.CounterbalanceKG = 400 },
		func(r *plant.Rig) { r.Load.MassKG = 1e6 },
		func(r *plant.Rig) { r.Load.MassKG = 1e-3 },
		func(r *plant.Rig) { r.Stops.HighMM, r.Load.StartMM = 1e-3, 0 },
	} {
		r := z.ready.Rig
		change(&r)
		result, err := sizing.Compute(&r, z.params, sizing.DefaultAssumptions(&r, z.params))
		require.NoError(t, err)
		for _, width := range []int{page.Narrow, page.Wide} {
			for _, short := range []bool{false, true} {
				drawn := &sizePage{Sheet: page.NewSheet(clitest.PlainScreen(width, false)), sizedRig: &sizedRig{"x", z.ready, z.params, &result}, short: short}
				for line := range strings.Lines(drawn.text()) {
					assert.LessOrEqual(t, page.Cells(strings.TrimSuffix(line, "\n")), width, line)
				}
			}
		}
	}
}

// A sequence that tests downwards only gets values that work on every rig: torque limit and
// ceiling are no longer those of the larger press up, and still leave room for the travel.
func TestSizedForOneDirection(t *testing.T) {
	t.Parallel()
	for _, rig := range []string{"pane-hoist", "kiln-gate", "tilt-arm", "store-lift", "twin-lift"} {
		file, s := sized(t, rig, "--set", "sequence.test_up=false")
		r := triedSized(t, file, nil)
		assert.True(t, r.Met(), "%s: %s in %s", rig, r.Cause, r.EndedIn)
		weak := condition(t, rig, 0.95*sizedValue(t, &s, "required_test_torque_nm"))
		r = triedSized(t, file, map[string]string{"rig.brake.condition": weak})
		assert.Equal(t, string(sim.Caught), string(r.Class), "%s: %s in %s", rig, r.Cause, r.EndedIn)
	}
}

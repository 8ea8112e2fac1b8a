package life

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// told is a test that goes by a rule, and counts.
type told struct {
	n    int
	rule func(n int, b Brake) Outcome
}

func (s *told) Test(b Brake, _ *rand.Rand) (Outcome, error) {
	s.n++
	return s.rule(s.n, b), nil
}

// quiet is a plan without failures and stops, around the clock.
func quiet() Plan {
	p := around(8*time.Hour, 1)
	p.FailureOnce, p.Span = false, week
	return p
}

func liveOne(t *testing.T, p Plan, windows bool, test Tester, stop func(Brake, Stopping) StopResult) Record {
	t.Helper()
	w := &model{plan: &p, rig: simple(), stop: stop, test: test, windows: windows}
	r, err := w.simulate(t.Context(), 0)
	require.NoError(t, err)
	return r
}

// Tests in idle windows cost no production, others their time.
func TestWhatTestsCost(t *testing.T) {
	takes := func(int, Brake) Outcome { return Outcome{Passed: true, Duration: time.Minute} }
	p := quiet()
	r := liveOne(t, p, false, &told{rule: takes}, nil)
	assert.Equal(t, 20, r.Tests, "one each 8h and 1m, from the first 8h on")
	assert.Equal(t, 20, r.Overdue)
	assert.Equal(t, 20*time.Minute, r.LostToTests)

	p.WindowsPerShift = 1
	r = liveOne(t, p, true, &told{rule: takes}, nil)
	assert.Equal(t, 20, r.InWindow)
	assert.Zero(t, r.LostToTests)
}

// A fit brake is looked at after its first alarm, and taken out after its second in a row;
// production stands for both, and for the test that ends a service.
func TestNuisanceFailuresOfASufficientBrake(t *testing.T) {
	p := quiet()
	p.Service = 3 * time.Hour
	fails := func(failing ...int) *told {
		return &told{rule: func(n int, _ Brake) Outcome {
			for _, f := range failing {
				if n == f {
					return Outcome{Duration: time.Minute}
				}
			}
			return Outcome{Passed: true}
		}}
	}
	r := liveOne(t, p, false, fails(2, 5), nil)
	assert.Equal(t, []int{2, 0, 2, 0}, []int{r.NuisanceFailures, r.Exchanged, r.AfterService, r.Detections}, "two alarms, not in a row")
	assert.Equal(t, 6*time.Hour, r.LostToFalseAlarms)
	assert.Zero(t, r.LostToRepairs)
	assert.Equal(t, 2*time.Minute, r.LostToTests)

	r = liveOne(t, p, false, fails(2, 3), nil)
	assert.Equal(t, []int{2, 1, 1}, []int{r.NuisanceFailures, r.Exchanged, r.ExchangedInVain})
}

// An unfit brake is exchanged at once, and the time is that of a repair.
func TestRepairOfAnInsufficientBrake(t *testing.T) {
	p := quiet()
	p.FailureOnce, p.Service = true, 2*time.Hour
	r := liveOne(t, p, false, &told{rule: func(_ int, b Brake) Outcome { return Outcome{Passed: b.Condition == 1, Duration: time.Minute} }}, nil)
	require.Len(t, r.Exposures, 1)
	assert.Equal(t, []int{1, 1, 0, 0}, []int{r.Detections, r.Exchanged, r.ExchangedInVain, r.NuisanceFailures})
	assert.Equal(t, 2*time.Hour, r.LostToRepairs)
	assert.Zero(t, r.LostToFalseAlarms)
	assert.Equal(t, Lining{Condition: 1, GapMM: 0.25, TempC: 20}, r.Brake.Lining)
}

// A load that falls tells of the brake before the test does.
func TestLoadDropEndsAnExposure(t *testing.T) {
	p := quiet()
	p.FailureOnce, p.StopsPerShift, p.Interval = true, 20, p.Span
	r := liveOne(t, p, false, &told{rule: func(int, Brake) Outcome { return Outcome{Passed: true} }},
		func(b Brake, _ Stopping) StopResult { return StopResult{Held: b.Condition == 1} })
	require.Len(t, r.Exposures, 1)
	assert.Equal(t, DetectedByDrop, r.Exposures[0].By)
	assert.Equal(t, []int{1, 1, 0}, []int{r.LoadDrops, r.StopsInsufficient, r.Missed})
	assert.Less(t, r.Exposures[0].Length(), 8*time.Hour, "a stop each 24 minutes")
}

// A decline by the stop takes so much with each.
func TestDeclineByTheStop(t *testing.T) {
	p := quiet()
	p.StopsPerShift, p.DeclinePerStop = 1, 0.005
	r := liveOne(t, p, false, &told{rule: func(int, Brake) Outcome { return Outcome{Passed: true} }}, func(Brake, Stopping) StopResult { return StopResult{Held: true} })
	require.Positive(t, r.Stops)
	assert.InDelta(t, 1-0.005*float64(r.Stops), r.Brake.Condition, 1e-9)
}

// The failures of a life stay where they are, whatever else is changed.
func TestFailuresAreIndependentOfTheRest(t *testing.T) {
	from := func(change func(*Plan)) []time.Duration {
		p := quiet()
		p.FailureOnce, p.Span = true, 8*week
		change(&p)
		var at []time.Duration
		w := &model{plan: &p, rig: simple(), stop: func(Brake, Stopping) StopResult { return StopResult{Held: true} }, test: finds(simple(), 0.5)}
		for n := range 20 {
			r, err := w.simulate(t.Context(), n)
			require.NoError(t, err)
			require.Len(t, r.Exposures, 1)
			at = append(at, r.Exposures[0].From)
		}
		return at
	}
	same := from(func(*Plan) {})
	assert.Equal(t, same, from(func(p *Plan) { p.Interval = 30 * time.Hour }))
	assert.Equal(t, same, from(func(p *Plan) { p.StopsPerShift = 3 }))
	assert.NotEqual(t, same, from(func(p *Plan) { p.Seed = 2 }))
}

// What a failed test shows itself is no warning ahead of it.
func TestFailedTestIsNoWarningOfItself(t *testing.T) {
	p := quiet()
	p.Interval, p.Span, p.FailureOnce = time.Hour, 4*week, true
	r := liveOne(t, p, false, &told{rule: func(_ int, b Brake) Outcome {
		o := Outcome{Passed: b.Condition == 1, Judged: true, SlipDeg: 0.1, Duration: time.Hour}
		if !o.Passed {
			o.SlipDeg = 90
		}
		return o
	}}, nil)
	require.Len(t, r.Leads, int(indicators))
	for _, l := range r.Leads {
		assert.False(t, l.Warned, l.Indicator.String())
	}
}

// Quantiles of the numbers from 0 to 100 are known.
func TestSpreadOfKnownFigures(t *testing.T) {
	var x []float64
	for i := range 101 {
		x = append(x, float64(100-i))
	}
	s := distributionOf(x)
	assert.InDelta(t, 50, s.Mean, 1e-12)
	assert.InDelta(t, 50, s.Median, 1)
	assert.InDelta(t, 95, s.P95, 1)
	assert.InDelta(t, 100, s.Max, 0)
	assert.InDelta(t, 29.3/10.05, s.MeanError, 0.01, "σ/√n, with σ² = (n² − 1)/12 n/(n − 1)")
	assert.Equal(t, Distribution{}, distributionOf(nil))
}

// No two streams of random numbers are the same, in one life or in two.
func TestStreamsDiffer(t *testing.T) {
	p := quiet()
	w := &model{plan: &p, rig: simple()}
	seen := map[uint64]bool{}
	for n := range 50 {
		j := w.start(n)
		for _, r := range []*rand.Rand{j.failures, j.stops, j.tests} {
			seen[r.Uint64()] = true
		}
	}
	assert.Len(t, seen, 150)
}

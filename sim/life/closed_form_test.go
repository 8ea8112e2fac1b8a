package life

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"holdbench/plant"
)

// chance is a test that takes no time and finds an unfit brake with a chance.
type chance struct {
	p     float64
	ratio func(b Brake) float64
}

func (c chance) Test(b Brake, draw *rand.Rand) (Outcome, error) {
	found := c.ratio(b) < 1 && draw.Float64() < c.p
	return Outcome{Passed: !found}, nil
}

// simple is a rig whose brake bears three times the load torque.
func simple() *plant.Rig {
	r := plant.Defaults()
	r.Rig = "simple"
	r.Load.MassKG, r.Transmission.FeedConstantMMPerTurn = 100, 10
	r.Stops.HighMM = 1000
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 1e-3, 1
	r.Drive.CurrentLimitRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 10, 200, 500
	r.Brake.StaticNM = 3 * 100 * plant.StandardGravity * 0.01 / (2 * math.Pi)
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.ReleaseTime = time.Microsecond, time.Microsecond, time.Microsecond
	r.Judge.CeilingNM = 10
	return &r
}

// around is production around the clock without windows, so that a test comes each time
// the proof lapses, exactly an interval after the last one.
func around(interval time.Duration, histories int) Plan {
	p := Default(interval)
	p.Span, p.ShiftsPerDay, p.DaysPerWeek, p.WindowsPerShift = 8*week, 3, 7, 0
	p.StopsPerShift, p.PowerFailuresPerYear, p.Service, p.Histories = 0, 0, 0, histories
	p.FailureTo = [2]float64{0, 0.2}
	return p
}

func lived(t *testing.T, p Plan, rig *plant.Rig, test Tester) []Record {
	t.Helper()
	require.Empty(t, p.Check())
	w := &model{plan: &p, rig: rig, stop: NewStopCache(rig).Stop, test: test}
	records, err := w.simulateAll(t.Context(), 2, histories{count: w.plan.Histories}, func(int) {})
	require.NoError(t, err)
	return records
}

func finds(rig *plant.Rig, p float64) Tester {
	return chance{p, func(b Brake) float64 { return b.coldRatio(rig) }}
}

// lengths are the exposures that a test ended, over the interval.
func lengths(records []Record, interval time.Duration) []float64 {
	var x []float64
	for _, r := range records {
		for _, e := range r.Exposures {
			if e.By == DetectedByTest {
				x = append(x, e.Length().Hours()/interval.Hours())
			}
		}
	}
	return x
}

// some are all cases, and in a short test the first.
func some[E any](cases []E) []E {
	if testing.Short() {
		return cases[:1]
	}
	return cases
}

// A sudden failure at a moment that owes nothing to the tests, and tests that find it for
// sure each interval T: the exposure is uniform between 0 and T, its mean T/2. Source:
// the age of a renewal process with constant spacing, any text on reliability, such as
// Rausand and Hoyland, System Reliability Theory, on periodically tested components (from
// memory).
func TestExposureOfSureTestsIsUniform(t *testing.T) {
	t.Parallel()
	for _, interval := range some([]time.Duration{8 * time.Hour, 28 * time.Hour}) {
		rig := simple()
		x := lengths(lived(t, around(interval, 2000), rig, finds(rig, 1)), interval)
		require.Greater(t, len(x), 1850, "but for the last interval of the span every failure is found")
		sd := 1 / math.Sqrt(12*float64(len(x)))
		assert.InDelta(t, 0.5, stat.Mean(x, nil), 4*sd)
		assert.InDelta(t, 1/math.Sqrt(12), stat.StdDev(x, nil), 0.02)
		assert.Less(t, fromUniform(x), 1.95/math.Sqrt(float64(len(x))), "Kolmogorov, one in a thousand")
	}
}

// fromUniform is the Kolmogorov distance of x from the uniform distribution, on a grid.
func fromUniform(x []float64) float64 {
	const steps = 100_000
	grid := make([]float64, steps)
	for i := range grid {
		grid[i] = (float64(i) + 0.5) / steps
	}
	return stat.KolmogorovSmirnov(slices.Sorted(slices.Values(x)), nil, grid, nil)
}

// Tests that find it with a chance p each: the number of tests until then is geometric, and
// the mean exposure is T/2 + T (1 − p)/p. Source: the same with independent trials.
func TestExposureOfUnsureTestsIsGeometric(t *testing.T) {
	t.Parallel()
	const interval = 8 * time.Hour
	for _, p := range some([]float64{0.5, 0.2, 0.9}) {
		rig := simple()
		plan := around(interval, 2000)
		records := lived(t, plan, rig, finds(rig, p))
		x := lengths(records, interval)
		require.Greater(t, len(x), 1850)
		n := float64(len(x))
		sd := math.Sqrt((1.0/12 + (1-p)/(p*p)) / n)
		assert.InDelta(t, 0.5+(1-p)/p, stat.Mean(x, nil), 4*sd+5*interval.Hours()/plan.Span.Hours()/p, "p = %g; what the end of the span cuts off is the second part", p)
		missed := make([]float64, 6) // by the number of tests that missed
		for _, length := range x {
			if k := int(length); k < len(missed) {
				missed[k]++
			}
		}
		for k, got := range missed {
			want := p * math.Pow(1-p, float64(k))
			assert.InDelta(t, want, got/n, 4*math.Sqrt(want*(1-want)/n)+0.002, "p = %g, %d nuisance failures", p, k)
		}
		s := Summarise(records)
		assert.Equal(t, len(x), s.Detections)
		assert.InDelta(t, float64(s.Detections)*(1-p)/p, float64(s.Missed), 4*math.Sqrt(n*(1-p))/p+20)
	}
}

// Failures as often as their mean says: so many in so long a time (Poisson process).
func TestFailuresComeAsOftenAsTheyShould(t *testing.T) {
	rig := simple()
	plan := around(8*time.Hour, 500)
	plan.FailureOnce, plan.FailureEvery = false, 500*time.Hour
	s := Summarise(lived(t, plan, rig, finds(rig, 1)))
	want := s.Span.Hours() / 500
	assert.InDelta(t, want, float64(s.Failures), 4*math.Sqrt(want))
}

// Emergency stops and power failures come while production runs, so many a shift and a year.
func TestStopsComeAsOftenAsTheyShould(t *testing.T) {
	rig := simple()
	plan := Default(8 * time.Hour)
	plan.FailureOnce, plan.StopsPerShift, plan.PowerFailuresPerYear, plan.Histories = false, 2, 400, 20
	p := &plan
	var at []time.Duration
	w := &model{plan: p, rig: rig, test: finds(rig, 1), stop: func(Brake, Stopping) StopResult { return StopResult{Held: true} }}
	records, err := w.simulateAll(t.Context(), 1, histories{count: w.plan.Histories}, func(int) {})
	require.NoError(t, err)
	for _, r := range records {
		for _, s := range r.StopPoints {
			at = append(at, s.At)
		}
	}
	s := Summarise(records)
	want := s.Scheduled.Hours() / 8 * 2
	assert.InDelta(t, want, float64(s.Stops), 4*math.Sqrt(want))
	want = s.Span.Hours() / (52 * 7 * 24) * 400
	assert.InDelta(t, want, float64(s.Outages), 4*math.Sqrt(want))
	for _, moment := range at {
		assert.Equal(t, moment, p.resumes(moment), "%v is in production", moment)
	}
	assert.InDelta(t, 0.5, float64(len(at))/float64(s.Outages), 0.05, "half of them while lowering")
}

// The exposures of a life do not depend on the workers, nor does anything else.
func TestSameHistoriesOnAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	rig := simple()
	// A stop is the same in every history; one cache for each side keeps what was run.
	alone, shared := NewStopCache(rig), NewStopCache(rig)
	rapid.Check(t, func(r *rapid.T) {
		plan := Default(time.Duration(rapid.IntRange(1, 48).Draw(r, "hours")) * time.Hour)
		plan.Span = 4 * week
		plan.Seed, plan.Histories = rapid.Uint64().Draw(r, "seed"), rapid.IntRange(1, 12).Draw(r, "histories")
		plan.DeclinePerDay = rapid.Float64Range(0, 0.05).Draw(r, "decline")
		plan.StopsPerShift = rapid.Float64Range(0, 3).Draw(r, "stops")
		plan.PowerFailuresPerYear = rapid.Float64Range(0, 300).Draw(r, "power failures")
		live := func(workers int, stops *StopCache) []Record {
			w := &model{plan: &plan, rig: rig, stop: stops.Stop, test: finds(rig, 0.7), windows: true}
			records, err := w.simulateAll(t.Context(), workers, histories{count: w.plan.Histories}, func(int) {})
			require.NoError(r, err)
			return records
		}
		assert.Equal(r, live(1, alone), live(rapid.IntRange(2, 8).Draw(r, "workers"), shared))
	})
}

package sweep

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/sim"
)

// The probability that a normal number is beyond four deviations is 3.17e-5 (any table): too rare
// for 4000 plain draws. Weighted, as many draws tell it, and the error that they claim is the
// one that repeated estimates have.
func TestTiltedDrawsEstimateTheTailOfTheNormalDistribution(t *testing.T) {
	const beyond, n, repeats = 4.0, 4000, 60
	exact := distuv.UnitNormal.Survival(beyond)
	require.InDelta(t, 3.167e-5, exact, 5e-9)
	tilts := []Tilt{{Key: "x", Shift: beyond + 0.2, Scale: 0.3}}
	var sum, square, claimed float64
	for repeat := range repeats {
		var s rareSum
		for run := range n {
			random := source(uint64(repeat+1), run, "x")
			z := []float64{random.NormFloat64()}
			w := applyTilt(tilts, z, random.Float64() < defensiveShare)
			require.LessOrEqual(t, w, 1/defensiveShare+1e-9, "no run may spoil the estimate")
			r := Record{Class: "no", Weight: w}
			if z[0] > beyond {
				r.Class = string(sim.Missed)
			}
			s.add(&r)
		}
		r := s.rare(sim.Missed, 1, 0.95)
		sum, square = sum+r.Probability, square+r.Probability*r.Probability
		claimed += r.Variance
	}
	mean := sum / repeats
	variance := square/repeats - mean*mean
	require.InDelta(t, exact, mean, 4*math.Sqrt(variance/repeats))
	require.InEpsilon(t, variance, claimed/repeats, 0.6, "the variance of 60 repeats is known to a fifth (chi squared), three times that")
	require.Greater(t, exact*(1-exact)/n, 100*claimed/repeats, "a hundredth of a plain count's variance")
}

// What is not tilted counts as it is.
func TestUntiltedDrawsWeighOne(t *testing.T) {
	z := []float64{1.5, -0.3}
	require.InDelta(t, 1, applyTilt([]Tilt{{Scale: 1}, {Scale: 0}}, z, false), 1e-12)
	require.Equal(t, []float64{1.5, -0.3}, z)
}

// Where both can be had, weighting and plain counting agree: within three of their errors
// together, for missed brakes and for false alarms. The brakes are near the limit, so that a
// plain count has something to count.
func TestWeightingAgreesWithCounting(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of runs")
	}
	for class, of := range map[sim.Class]struct{ scenario, capacity string }{
		sim.Missed:     {"healthy-down", "capacity=normal(1.07, 0.05)"},
		sim.FalseAlarm: {demo, "capacity=normal(1.3, 0.08)"},
	} {
		t.Run(string(class), func(t *testing.T) {
			t.Parallel()
			const runs = 800
			c := load(t, of.scenario, map[string]string{
				"sequence.test_position_mm": "205", "rig.clock.functional_scan": "4ms", // short runs
				"sequence.tolerance_factor": "1", "sequence.friction_nm": "0", // a press that leaves no room for tolerances
			})
			spreads := []string{of.capacity, "rig.load.mass_kg=normal(100%, 3%)"}
			count := plan(t, c, runs, spreads...)
			counted := NewTally(2, 1)
			require.NoError(t, count.Run(t.Context(), 2, counted, func(Record) error { return nil }))
			events := counted.cells[0].count[string(class)]
			require.Greater(t, events, 10, "or a plain count says nothing")
			probability := float64(events) / runs
			plainError := math.Sqrt(probability * (1 - probability) / runs)

			weigh := plan(t, c, 400, spreads...)
			weigh.Rare, weigh.Seed = class, 2
			require.NoError(t, weigh.Check())
			require.NoError(t, weigh.Prepare(t.Context(), 2, func(int, int) {}))
			weighed := NewTally(2, 1)
			require.NoError(t, weigh.Run(t.Context(), 2, weighed, func(Record) error { return nil }))
			r := weighed.rare.rare(class, weighed.cells[0].count[string(class)], 0.95)
			require.InDelta(t, probability, r.Probability, 3*math.Hypot(plainError, r.StandardError))
			require.InDelta(t, 1, r.WeightMean, 0.5)
			require.Greater(t, r.EquivalentRuns, 800.0, "400 weighted runs are worth more than twice as many plain ones")
		})
	}
}

// Where no draw leads to the event, the search says so.
func TestSearchWithoutAnEvent(t *testing.T) {
	p := plan(t, load(t, "healthy-down", nil), 10, "rig.brake.ambient_c=uniform(10, 20)")
	p.Rare = sim.Missed
	looked := 0
	err := p.searchTilt(t.Context(), searchSize{runs: 20, rounds: 3, events: 2}, 2, func(done, limit int) {
		require.Equal(t, 60, limit)
		looked = done
	})
	require.Equal(t, 60, looked, "all rounds are done")
	var none *NotFoundError
	require.ErrorAs(t, err, &none)
	require.Contains(t, err.Error(), "none of 60 runs of the search was missed")
	require.Contains(t, err.Error(), "must be a spread that leads there, or a plain count")

	p = plan(t, load(t, "healthy-down", nil), 10, "rig.brake.feedback_signal=table(actual: 9, closed: 1)")
	p.Rare = sim.Missed
	require.EqualError(t, p.Prepare(t.Context(), 2, func(int, int) {}), "a rare-event estimate shifts spreads, and there is none to shift; must have a spread that is no table")
}

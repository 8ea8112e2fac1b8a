package life_test

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/life"
)

func hoist(t *testing.T) *sim.Case {
	t.Helper()
	rig, _, err := scenarios.LoadRig("pane-hoist")
	require.NoError(t, err)
	rig.Clock.Tick = time.Millisecond // what is stated here holds on any clock
	document, _, err := scenarios.LoadSequence("reference")
	require.NoError(t, err)
	c, _, err := sim.NewCase(sim.Scenario{Scenario: "life"}, *rig, *document)
	require.NoError(t, err)
	return c
}

func studied(t *testing.T, c *sim.Case, p life.Plan) *life.Study {
	t.Helper()
	s, err := life.NewStudy(c, p)
	require.NoError(t, err)
	none := func(int, int) {}
	require.NoError(t, s.Measure(t.Context(), 2, none))
	require.NoError(t, s.Simulate(t.Context(), 2, none))
	require.NoError(t, s.Compare(t.Context(), 2, none))
	return s
}

func fortnight() life.Plan {
	p := life.Default(8 * time.Hour)
	p.Span, p.Histories, p.RunsPerEntry, p.StopsPerShift = 14*24*time.Hour, 4, 1, 1
	return p
}

// Tests drawn from the lookup table and tests that are runs of their own tell of the same brakes
// at the same time: what was measured of brakes in general holds for those of a life.
func TestTableAgreesWithWholeRuns(t *testing.T) {
	t.Parallel()
	p := fortnight()
	p.FailureTo = [2]float64{0.1, 0.6}
	drawn := studied(t, hoist(t), p)
	p.WholeRuns = true
	run := studied(t, hoist(t), p)
	for i := range drawn.Records {
		a, b := drawn.Records[i], run.Records[i]
		assert.Equal(t, a.Tests, b.Tests)
		assert.Equal(t, a.Detections, b.Detections)
		assert.Equal(t, a.NuisanceFailures, b.NuisanceFailures)
		require.Len(t, b.Exposures, len(a.Exposures))
		for k := range a.Exposures {
			assert.InDelta(t, a.Exposures[k].Length().Seconds(), b.Exposures[k].Length().Seconds(), 10, "but for the seconds of a failed test")
		}
	}
	assert.Positive(t, life.Summarise(drawn.Records).Detections)
}

// What the trade expects of the test of a rig that is engineered well: a new brake passes,
// one without the required torque does not, and the verdict turns once.
func TestTableChangesOnceAboveTheRequirement(t *testing.T) {
	t.Parallel()
	l, err := life.MeasureTable(t.Context(), hoist(t), 2, 2, 1, func(int, int) {})
	require.NoError(t, err)
	assert.Equal(t, 16, l.NewBrake().Passed())
	for i := range l.Entries {
		r := &l.Entries[i]
		switch {
		case r.Ratio < 1:
			assert.Zero(t, r.Passed(), "%g of the required torque", r.Ratio)
		case r.Ratio > 1.6: // the press loads the brake with 1.5 times the required torque at most, see holdbench size
			assert.Equal(t, len(r.Outcomes), r.Passed(), "%g of the required torque", r.Ratio)
		}
		if i > 0 {
			assert.Greater(t, r.Ratio, l.Entries[i-1].Ratio)
			assert.GreaterOrEqual(t, r.Passed(), l.Entries[i-1].Passed())
		}
	}
}

// A test torque that was typed in too low lets unfit brakes through: the exposure goes on
// until the end of the life, however often they are tested.
func TestTestsThatMiss(t *testing.T) {
	c, _, err := hoist(t).With(sim.Scenario{Scenario: "life", Set: map[string]string{
		"sequence.test_torque_nm": "1.15 * load_torque_nm", "sequence.test_up": "false", "judge.directions": "down",
	}})
	require.NoError(t, err)
	p := fortnight()
	p.StopsPerShift, p.FailureTo = 0, [2]float64{0.395, 0.4} // of 0.406 that are required
	p.Histories = 10
	s := life.Summarise(studied(t, c, p).Records)
	assert.Equal(t, 10, s.Failures)
	assert.Equal(t, 10, s.Exposure.N)
	assert.Equal(t, 10, s.Undetected)
	assert.Zero(t, s.Detections)
	assert.Positive(t, s.Missed)
}

// An interruption keeps the histories that were finished, each of them whole.
func TestInterruptedKeepsCompleteHistories(t *testing.T) {
	s, err := life.NewStudy(hoist(t), fortnight())
	require.NoError(t, err)
	require.NoError(t, s.Measure(t.Context(), 2, func(int, int) {}))
	all, err := life.NewStudy(hoist(t), fortnight())
	require.NoError(t, err)
	all.Table = s.Table
	require.NoError(t, all.Simulate(t.Context(), 2, func(int, int) {}))
	ctx, cancel := context.WithCancel(t.Context())
	err = s.Simulate(ctx, 1, func(done, _ int) {
		if done == 2 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	require.GreaterOrEqual(t, len(s.Records), 2)
	assert.Equal(t, all.Records[:len(s.Records)], s.Records)
}

// Longer intervals, longer exposure: the same failures in the same histories.
func TestExposureGrowsWithTheInterval(t *testing.T) {
	p := fortnight()
	p.Histories, p.StopsPerShift, p.DaysPerWeek = 40, 0, 7
	p.Intervals = []time.Duration{8 * time.Hour, 16 * time.Hour, 48 * time.Hour}
	s := studied(t, hoist(t), p)
	require.Len(t, s.Compared, 3)
	for i := 1; i < 3; i++ {
		assert.Greater(t, s.Compared[i].Summary.Exposure.Mean, s.Compared[i-1].Summary.Exposure.Mean)
		assert.Equal(t, s.Compared[0].Summary.Failures, s.Compared[i].Summary.Failures)
	}
}

func TestRigsThatNoBrakeCanBeTestedOn(t *testing.T) {
	light, open := hoist(t), hoist(t)
	light.Rig.Load.GravityMS2, open.Rig.Brake.ClosesTo = 0, 0
	_, err := life.NewStudy(light, fortnight())
	require.ErrorContains(t, err, "needs no torque")
	_, err = life.NewStudy(open, fortnight())
	require.ErrorContains(t, err, "has no torque")
}

// The judge owns the proof: a sequence that passes on an old one has not passed.
func TestPassWithoutProofIsNone(t *testing.T) {
	c, _, err := scenarios.LoadCase("stale-verdict-accepted", scenarios.Overrides{})
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	require.Equal(t, "pass", r.End)
	o, err := life.BenchTester{Case: c}.Test(life.Brake{Lining: life.Lining{Condition: 1, GapMM: c.Rig.Brake.NewGapMM, TempC: c.Rig.Brake.AmbientC}}, rand.New(rand.NewPCG(1, 1)))
	require.NoError(t, err)
	assert.False(t, o.Passed)
}

package trend_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/life"
	"holdbench/sim/statistics"
	"holdbench/sim/trend"
)

func TestSimulatedYears(t *testing.T) {
	t.Parallel()
	of := hoist(t)
	t.Run("Declines", func(t *testing.T) { t.Parallel(); declineIsFoundAheadOfItsLimit(t, of) })
	t.Run("FalseAlarms", func(t *testing.T) { t.Parallel(); falseAlarmsKeepTheLevel(t, of) })
}

// hoist is a hoist with a test a day and power failures while lowering, of which the stopping distance is measured. What its tests show of a lining is measured once for all.
func hoist(t *testing.T) *life.Study {
	t.Helper()
	rig, _, err := scenarios.LoadRig("pane-hoist")
	require.NoError(t, err)
	rig.Clock.Tick = time.Millisecond
	document, _, err := scenarios.LoadSequence("reference")
	require.NoError(t, err)
	c, _, err := sim.NewCase(sim.Scenario{Scenario: "life"}, *rig, *document)
	require.NoError(t, err)
	p := life.Default(24 * time.Hour)
	p.Span, p.RunsPerEntry, p.FailureOnce, p.StopsPerShift = 52*7*24*time.Hour, 4, false, 0
	p.Histories, p.Intervals, p.Seed = histories, nil, 2 // 1 was that of the promise
	s, err := life.NewStudy(c, p)
	require.NoError(t, err)
	require.NoError(t, s.Measure(t.Context(), 2, none))
	return s
}

func none(int, int) {}

const histories = 200

// years are those of hoists with so many power failures, whose lining declines by a share of the rated torque a day.
func years(t *testing.T, of *life.Study, failures, decline float64) *life.Study {
	t.Helper()
	s := *of
	s.Plan.PowerFailuresPerYear, s.Plan.DeclinePerDay = failures, decline
	require.NoError(t, s.Simulate(t.Context(), 2, none))
	return &s
}

func days(d time.Duration) float64 { return d.Hours() / 24 }

// limits are the stopping distance of a brake with 1.3 of the required torque, at which the test begins to
// fail on this rig, and the share of its rated torque that such a brake has.
func limits(s *life.Study) (distanceMM, condition float64) {
	r := &s.Case.Rig
	condition = 1.3 / s.Table.NewBrake().Ratio
	b := life.Brake{Lining: life.Lining{Condition: condition, GapMM: r.Brake.NewGapMM, TempC: r.Brake.AmbientC}}
	return life.NewStopCache(r).Stop(b, life.Stopping{Lowering: true, PowerFailure: true}).DistanceMM, condition
}

// stops is the series of stopping distances up to a day, with a scatter of speeds and loads, which a real
// machine has and package life has not.
func stops(r *life.Record, until, scatter float64, random *rand.Rand) trend.Series {
	q := trend.Quantities()
	s := trend.Series{Quantity: q[slices.IndexFunc(q, func(q trend.Quantity) bool { return q.Name == "stopping_mm" })]}
	for _, p := range r.StopPoints {
		if days(p.At) < until {
			s.Times = append(s.Times, days(p.At))
			s.Values = append(s.Values, p.DistanceMM*(1+scatter*random.NormFloat64()))
		}
	}
	return s
}

// windUps is what the encoder sees of the wind-up in every third test up to a day.
func windUps(r *life.Record, until float64) trend.Series {
	s := trend.Series{Quantity: trend.Quantities()[0], Limit: trend.AtMost(1.5, "")}
	for i, p := range r.TestPoints {
		if i%3 == 0 && days(p.At) < until {
			s.Times, s.Values = append(s.Times, days(p.At)), append(s.Values, p.MeasuredDeg)
		}
	}
	return s
}

// The promise: a lining that declines evenly is found by the stopping distance 15 stops ahead of its limit,
// of some 45, in 19 of 20 histories with a scatter of 3 %, and 10 stops ahead in 17 of 20 with one of 6 %. Where a service is advised,
// the limit does not come before the date in more than one of twenty. The wind-up shows nothing of it: the
// brake is as stiff as before until it slips.
func declineIsFoundAheadOfItsLimit(t *testing.T, of *life.Study) {
	t.Helper()
	const decline = 0.003
	s := years(t, of, 200, decline)
	distance, condition := limits(s)
	end := (1 - condition) / decline
	for _, x := range []struct {
		scatter float64
		ahead   int
		promise float64
	}{{0.03, 15, 0.95}, {0.06, 10, 0.85}} {
		random := rand.New(rand.NewPCG(2, 1))
		found, kept, seen := 0, 0, 0
		for i := range s.Records {
			series := stops(&s.Records[i], end, x.scatter, random)
			n := len(series.Times) - x.ahead
			require.GreaterOrEqual(t, n, trend.LeastTests)
			asOf := series.Times[n-1]
			series.Times, series.Values, series.Limit = series.Times[:n], series.Values[:n], trend.AtMost(distance, "")
			both := []trend.Series{series, windUps(&s.Records[i], asOf)}
			r := trend.Analyse(both, trend.Axis{Dated: true}, trend.Options{AsOf: asOf})
			if r.Trends[1].Found || len(r.Trends[1].Changes) > 0 {
				seen++
			}
			if a := r.Trends[0]; a.Word == trend.Service {
				found++
				if a.Before.At <= end {
					kept++
				}
			} else if a.Word == trend.LimitReached {
				found++
				kept++
			}
		}
		power, dates := statistics.ClopperPearson(found, histories, 0.95), statistics.ClopperPearson(kept, found, 0.95)
		t.Logf("scatter %g, %d stops ahead: found in %d of %d (%.3f to %.3f), date kept in %d (%.3f to %.3f), by the wind-up in %d",
			x.scatter, x.ahead, found, histories, power.Low, power.High, kept, dates.Low, dates.High, seen)
		assert.Greater(t, power.Low, x.promise-0.03) // what 200 histories can tell
		assert.GreaterOrEqual(t, float64(found)/histories, x.promise)
		assert.GreaterOrEqual(t, float64(kept)/float64(found), 0.95)
		assert.LessOrEqual(t, statistics.ClopperPearson(seen, histories, 0.95).Low, trend.Level)
	}
}

// Without a decline a trend of any quantity is found in no more than one of twenty looks. A look each month
// finds one at some time more often: the level is that of a look.
func falseAlarmsKeepTheLevel(t *testing.T, of *life.Study) {
	t.Helper()
	s := years(t, of, 100, 0)
	distance, _ := limits(s)
	random := rand.New(rand.NewPCG(2, 2))
	looks, alarms, findings, everAlarmed := 0, 0, 0, 0
	for i := range s.Records {
		whole, ever := stops(&s.Records[i], 364, 0.03, random), false
		for month := 2; month <= 12; month++ {
			until := float64(month) * 364 / 12
			n, _ := slices.BinarySearch(whole.Times, until)
			part := trend.Series{Quantity: whole.Quantity, Times: whole.Times[:n], Values: whole.Values[:n], Limit: trend.AtMost(distance, "")}
			r := trend.Analyse([]trend.Series{part, windUps(&s.Records[i], until)}, trend.Axis{Dated: true}, trend.Options{AsOf: until})
			looks++
			if r.Trends[0].Found || r.Trends[1].Found {
				alarms++
				ever = true
			}
			if r.Finding() {
				findings++
			}
		}
		if ever {
			everAlarmed++
		}
	}
	t.Logf("%d looks: %d false trends, %d findings; at some time of the year in %d of %d histories", looks, alarms, findings, everAlarmed, histories)
	assert.LessOrEqual(t, float64(alarms)/float64(looks), trend.Level)
	assert.LessOrEqual(t, findings, alarms)
}

// Seven quantities of independent values with heavy ties, as quantised signals have: any of them is found in
// no more than one of twenty histories.
func TestFalseAlarmsOfManyQuantities(t *testing.T) {
	t.Parallel()
	const trials = 500
	random := rand.New(rand.NewPCG(2, 3))
	alarms := 0
	for range trials {
		all := make([]trend.Series, 7)
		for i := range all {
			all[i].Quantity = trend.Quantities()[i]
			for day := range 12 + 7*i {
				all[i].Times = append(all[i].Times, float64(7*day))
				all[i].Values = append(all[i].Values, 50+float64(int(random.NormFloat64()*float64(i+1))))
			}
		}
		r := trend.Analyse(all, trend.Axis{Dated: true}, trend.Options{AsOf: 400})
		if slices.ContainsFunc(r.Trends, func(t trend.Trend) bool { return t.Found }) {
			alarms++
		}
	}
	rate := statistics.ClopperPearson(alarms, trials, 0.95)
	t.Logf("%d of %d (%.3f to %.3f)", alarms, trials, rate.Low, rate.High)
	assert.LessOrEqual(t, rate.Low, trend.Level)
}

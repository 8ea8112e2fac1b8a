package sweep

import (
	"context"
	"encoding/json"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/scenarios"
	"holdbench/sim"
)

// drawn is a tally of runs whose chance of a proof at a ratio is given.
func drawn(n int, chance func(ratio float64) float64) (*Tally, *Head) {
	h := &Head{Documents: "x", Runs: n, Confidence: 0.95, Part: 1, Parts: 1, Spreads: []WrittenSpread{{Key: CapacityKey}, {Key: "rig.load.mass_kg"}}}
	t := h.Tally()
	random := rand.New(rand.NewPCG(uint64(n), 4))
	for i := range n {
		ratio := 0.6 + 0.8*random.Float64()
		r := Record{Run: i, CapacityNM: ratio, RequiredNM: 1, Weight: 1, Upper: []bool{ratio > 1, random.Float64() < 0.5}, DurationS: 1}
		r.Verdict, r.Cause = "failed", "moved"
		r.Refused = forBrake
		if random.Float64() < chance(ratio) {
			r.Verdict, r.Cause, r.Refused = "proven", "", ""
		}
		r.Class = string(classOf(r.Verdict == "proven", ratio >= 1))
		t.Add(&r)
	}
	return t, h
}

func classOf(proven, fit bool) sim.Class {
	switch {
	case proven && fit:
		return sim.SoundPass
	case proven:
		return sim.Missed
	case fit:
		return sim.FalseAlarm
	}
	return sim.Caught
}

// A curve that is there is found: in 100 sweeps median, spread, quantiles and lapses lie within
// their 95 % intervals that often, and one sweep in a hundred has no curve of this shape, within five deviations
// of a binomial. In the short loop there are 10 sweeps.
func TestFitFindsTheCurve(t *testing.T) {
	truth := distuv.Normal{Mu: 1.05, Sigma: 0.04}
	sweeps := 100
	if testing.Short() {
		sweeps = 10
	}
	near, values, none := 0, 0, 0
	check := func(truth float64, e Estimate) {
		values++
		if e.Low <= truth && truth <= e.High {
			near++
		}
	}
	for i := range sweeps {
		tally, h := drawn(1000+i, func(x float64) float64 { return 0.02 + 0.95*truth.CDF(x) })
		s := tally.Summary(h)
		require.NotNil(t, s.Fit, s.NoFit)
		if s.Fit.Normal == nil {
			require.Contains(t, s.Fit.NotNormal, "does not go through the counts")
			none++
			continue
		}
		check(truth.Mu, s.Fit.Normal.Median)
		check(truth.Sigma, s.Fit.Normal.Spread)
		check(0.02, s.Fit.Normal.Natural)
		check(0.03, s.Fit.Normal.Lapse)
		for _, q := range s.Fit.Quantiles {
			check(truth.Quantile(q.Probability), Estimate{q.Ratio, q.Low, q.High})
		}
		require.Greater(t, s.Fit.Groups, 5)
	}
	n := float64(sweeps)
	require.LessOrEqual(t, float64(none), 0.01*n+5*math.Sqrt(0.01*0.99*n))
	const together = 7 // values of one sweep that need not be independent
	require.InDelta(t, 0.95*float64(values), near, 5*math.Sqrt(0.05*0.95*n)*together/math.Sqrt(3))
}

// Two thirds of the brakes of a range proven, whatever their torque, is no lapse: then the curve has
// no shape, and goes through the counts all the same.
func TestAnotherShape(t *testing.T) {
	tally, h := drawn(3000, func(x float64) float64 {
		switch {
		case x < 0.9:
			return 0
		case x < 1.2:
			return 0.67
		}
		return 1
	})
	s := tally.Summary(h)
	require.NotNil(t, s.Fit, s.NoFit)
	require.Nil(t, s.Fit.Normal)
	require.Contains(t, s.Fit.NotNormal, "does not go through the counts (goodness of fit: deviance ")
	requireThroughCounts(t, &s)
	require.Len(t, s.Fit.Quantiles, 3)
	for i, truth := range []float64{0.9, 0.9, 1.2} {
		q := s.Fit.Quantiles[i]
		require.LessOrEqual(t, q.Low, truth)
		require.GreaterOrEqual(t, q.High, truth)
	}
}

// A probability that falls with the torque has no curve and no quantiles: there are the counts alone.
func TestFallingCountsHaveNoCurve(t *testing.T) {
	tally, h := drawn(3000, func(x float64) float64 {
		switch {
		case x < 0.9:
			return 0
		case x > 1.1 && x < 1.2:
			return 0.5
		}
		return 1
	})
	s := tally.Summary(h)
	require.Nil(t, s.Fit)
	require.Contains(t, s.NoFit, "no curve fits: the best one does not go through the counts (goodness of fit: deviance ")
	require.NotEmpty(t, s.Curve)
}

// Runs that end for a cause other than the brake are counted beside the curve, and do not change
// it.
func TestOtherCausesAreApart(t *testing.T) {
	truth := distuv.Normal{Mu: 1.05, Sigma: 0.04}
	pure, h := drawn(2000, truth.CDF)
	mixed, _ := drawn(2000, truth.CDF)
	for i := range 100 {
		mixed.Add(&Record{Run: 2000 + i, CapacityNM: 0.7 + 0.008*float64(i), RequiredNM: 1, Weight: 1, Upper: []bool{false, false}, Verdict: "none", Cause: "load-deviation", Refused: forOther, Class: "false-alarm"})
	}
	one, other := pure.Summary(h), mixed.Summary(h)
	require.NotNil(t, one.Fit, one.NoFit)
	require.Equal(t, one.Fit.Normal, other.Fit.Normal)
	require.Equal(t, one.Fit.Quantiles, other.Fit.Quantiles)
	require.Equal(t, one.Fit.PValue, other.Fit.PValue)
	require.Zero(t, one.Apart.Count)
	require.Equal(t, [2]int{100, 2100}, [2]int{other.Apart.Count, other.Apart.Of})
	require.Equal(t, []Cause{{"false-alarm", "load-deviation", 100}}, other.Apart.Causes)
	require.Greater(t, other.FalseAlarm.Count, one.FalseAlarm.Count, "they stop production all the same")
}

// The default study of every built-in rig has a curve that goes through its counts. A tick of 1 ms
// takes a third of the time of the rigs' own.
func TestDefaultStudyOfEveryRig(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of runs")
	}
	rigs := map[string]string{}
	for _, name := range []string{"healthy-down", "healthy-down-and-up", "healthy-counterbalanced", "healthy-arm", "healthy-coupled-pair", "healthy-with-payload", "healthy-two-brakes"} {
		t.Run(name, func(t *testing.T) {
			c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "1ms"}})
			require.NoError(t, err)
			rigs[c.Rig.Rig] = name
			p := &Plan{Case: c, Runs: 1000, Seed: 1, Confidence: 0.95, Part: 1, Parts: 1}
			p.Spreads, err = AssumedFor(c)
			require.NoError(t, err)
			require.NoError(t, p.Check())
			head, err := p.Head()
			require.NoError(t, err)
			tally := head.Tally()
			require.NoError(t, p.Run(t.Context(), 2, tally, func(Record) error { return nil }))
			s := tally.Summary(&head)
			require.NotNil(t, s.Fit, s.NoFit)
			require.Greater(t, s.Fit.PValue, 0.01)
			require.NotEmpty(t, s.Fit.Quantiles)
			t.Logf("p-value %.3g, normal %v, %s", s.Fit.PValue, s.Fit.Normal != nil, s.Fit.NotNormal)
			requireThroughCounts(t, &s)
		})
	}
	require.ElementsMatch(t, scenarios.Names(scenarios.RigKind), slices.Collect(maps.Keys(rigs)))
}

// requireThroughCounts checks the points that are drawn: of those with intervals of 95 %, at most
// one in twenty lies beside the curve, and two more.
func requireThroughCounts(t *testing.T, s *Summary) {
	t.Helper()
	beside := 0
	for _, p := range s.Curve {
		if y := s.Fit.Probability(p.Mean); y < p.Low || y > p.High {
			beside++
		}
	}
	require.LessOrEqual(t, beside, len(s.Curve)/20+2)
}

// A test without any scatter has a step, and no curve; the sweep says where the step is.
func TestStepHasNoFit(t *testing.T) {
	tally, h := drawn(2000, func(x float64) float64 {
		if x > 1.02 {
			return 1
		}
		return 0
	})
	s := tally.Summary(h)
	require.Nil(t, s.Fit)
	require.Contains(t, s.NoFit, "1.0")
	require.NotEmpty(t, s.Curve)
}

// Counts, curve and classes are all of the same runs, and nothing breaks the JSON of an empty
// sweep.
func TestSummaryCountsEveryRunOnce(t *testing.T) {
	tally, h := drawn(3000, distuv.Normal{Mu: 1.05, Sigma: 0.1}.CDF)
	s := tally.Summary(h)
	sum := 0
	for _, c := range s.Classes {
		sum += c.Runs
	}
	require.Equal(t, 3000, sum)
	require.Equal(t, 3000, s.Missed.Of+s.FalseAlarm.Of)
	onCurve := 0
	for _, p := range s.Curve {
		onCurve += p.Of
		require.GreaterOrEqual(t, p.Mean, p.From)
		require.LessOrEqual(t, p.Mean, p.To)
	}
	require.Equal(t, 3000, onCurve)
	require.Len(t, s.Effects, 1)
	lower, upper := s.Effects[0].Missed.Lower, s.Effects[0].Missed.Upper
	require.Equal(t, s.Missed.Count, lower.Count+upper.Count)
	require.False(t, s.Effects[0].Missed.Sure(), "the halves of a spread that does nothing")
	empty := h.Tally().Summary(h)
	require.NoError(t, json.NewEncoder(io.Discard).Encode(empty))
	require.False(t, empty.Whole)
}

// A sweep that is to stop when it knows enough stops at the first look that finds both
// intervals narrow enough, and not before.
func TestUntil(t *testing.T) {
	p := plan(t, load(t, demo, nil), 5000, "capacity=uniform(0.6, 1.4)")
	p.Until = 0.06
	if testing.Short() {
		p.Until = 0.09 // in fewer runs
	}
	require.NoError(t, p.Check())
	head, err := p.Head()
	require.NoError(t, err)
	tally := head.Tally()
	var before Summary
	require.NoError(t, p.Run(t.Context(), 2, tally, func(Record) error {
		if tally.Runs() == batchRuns {
			before = tally.Summary(&head)
		}
		return nil
	}))
	s := tally.Summary(&head)
	require.True(t, s.Enough)
	require.True(t, s.Whole)
	require.Zero(t, s.Done%batchRuns)
	require.Less(t, s.Done, 5000)
	require.LessOrEqual(t, reach([2]Rate{*s.Missed, *s.FalseAlarm}), p.Until)
	if s.Done > batchRuns {
		require.Greater(t, reach([2]Rate{*before.Missed, *before.FalseAlarm}), p.Until)
	}
	require.NoError(t, p.Run(context.Background(), 2, tally, func(Record) error { return io.ErrUnexpectedEOF }), "nothing is left to do")
}

// Which half is which: a tally of runs that err in the upper half alone has rates there, none in
// the lower half, and an interval of the difference above zero.
func TestEffectsHaveADirection(t *testing.T) {
	h := &Head{Documents: "x", Runs: 400, Confidence: 0.95, Part: 1, Parts: 1, Spreads: []WrittenSpread{{Key: "rig.load.mass_kg"}}}
	tally := h.Tally()
	for i := range 400 {
		upper := i%2 == 1
		class, verdict := sim.Caught, "failed"
		if upper && i%4 == 1 {
			class, verdict = sim.Missed, "proven"
		}
		tally.Add(&Record{Run: i, CapacityNM: 0.9, RequiredNM: 1, Weight: 1, Upper: []bool{upper}, Class: string(class), Verdict: verdict})
	}
	e := tally.Summary(h).Effects[0]
	require.Equal(t, 0, e.Missed.Lower.Count)
	require.Equal(t, 100, e.Missed.Upper.Count)
	require.InDelta(t, 0.5, e.Missed.Shift, 1e-12)
	require.Greater(t, e.Missed.Low, 0.4)
	require.Less(t, e.Missed.High, 0.6)
	require.True(t, e.Missed.Sure())
}

// Strong magnets press harder than the current says: fewer brakes are missed, more are refused.
func TestStrongMagnetsRefuseMore(t *testing.T) {
	runs := 300
	if testing.Short() {
		runs = 120
	}
	p := plan(t, load(t, demo, nil), runs, "capacity=uniform(0.95, 1.25)", "rig.motor.torque_factor=uniform(0.9, 1.1)")
	head, err := p.Head()
	require.NoError(t, err)
	tally := head.Tally()
	require.NoError(t, p.Run(t.Context(), 2, tally, func(Record) error { return nil }))
	e := tally.Summary(&head).Effects[0]
	require.Greater(t, e.FalseAlarm.Low, 0.1)
	require.LessOrEqual(t, e.Missed.Shift, 0.0)
}

// The two halves of a spread are below and above its median.
func TestHalves(t *testing.T) {
	c := load(t, demo, nil)
	s, err := ParseSpread(c, "rig.load.mass_kg=uniform(100, 300)")
	require.NoError(t, err)
	for _, z := range []float64{-3, -0.5, -0.01, 0.01, 0.5, 3} {
		x, _, _ := s.value(z)
		require.Equal(t, x > 200, s.upper(z))
	}
}

// What other faults refuse is no false alarm; a false alarm behind a proof is one of the sequence.
func TestRates(t *testing.T) {
	h := &Head{Documents: "x", Runs: 7, Confidence: 0.95, Part: 1, Parts: 1}
	tally := h.Tally()
	for i, r := range []Record{
		{Class: "refused", End: "fail"}, {Class: "false-alarm", End: "fail"}, {Class: "sound-pass", End: "pass"},
		{Class: "false-alarm", End: "fail", Verdict: "proven"}, {Class: "sound-pass", End: "pass"}, {Class: "missed", End: "pass"}, {Class: "caught", End: "fail"},
	} {
		r.Run, r.CapacityNM, r.RequiredNM, r.Weight = i, 1, 1, 1
		tally.Add(&r)
	}
	s := tally.Summary(h)
	require.Equal(t, [2]int{2, 4}, [2]int{s.FalseAlarm.Count, s.FalseAlarm.Of})
	require.Equal(t, [2]int{1, 4}, [2]int{s.Stopped.Count, s.Stopped.Of})
	require.Equal(t, [2]int{1, 2}, [2]int{s.Missed.Count, s.Missed.Of})
}

// Both intervals must be narrow, and it is looked only now and then.
func TestEnoughIsWhenBothAre(t *testing.T) {
	tally, h := drawn(2*batchRuns, distuv.Normal{Mu: 1.05, Sigma: 0.04}.CDF)
	interval := intervalBy(false, 0.95)
	rates := tally.cells[0].rates(interval)
	missed, alarms := reach([2]Rate{rates[0], rates[0]}), reach([2]Rate{rates[1], rates[1]})
	require.NotEqual(t, missed, alarms)
	require.InDelta(t, max(missed, alarms), reach(rates), 0)
	require.True(t, tally.enough(max(missed, alarms), interval))
	require.False(t, tally.enough(min(missed, alarms), interval))
	tally.Add(&Record{Run: h.Runs, CapacityNM: 1, RequiredNM: 1, Weight: 1, Upper: []bool{false, false}, Class: "sound-pass"})
	require.False(t, tally.enough(1, interval))
}

// A rare estimate of which nothing was seen is none.
func TestRareWithoutEvents(t *testing.T) {
	var s rareSum
	for i := range 100 {
		s.add(&Record{Run: i, Class: "caught", Weight: 1})
	}
	r := s.rare(sim.Missed, 0, 0.95)
	require.Equal(t, [2]float64{0, 1}, [2]float64{r.Low, r.High})
	require.Equal(t, "no run had this outcome: there is no estimate", r.Warning)
}

package sweep

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/sim"
)

// drawn is a tally of runs whose chance of a proof at a ratio is given.
func drawn(n int, chance func(ratio float64) float64) (*Tally, *Head) {
	h := &Head{Documents: "x", Runs: n, Confidence: 0.95, Part: 1, Parts: 1, Spreads: []Written{{Key: CapacityKey}, {Key: "rig.load.mass_kg"}}}
	t := h.Tally()
	random := rand.New(rand.NewPCG(uint64(n), 4))
	for i := range n {
		ratio := 0.6 + 0.8*random.Float64()
		r := Record{Run: i, CapacityNM: ratio, RequiredNM: 1, Weight: 1, Upper: []bool{ratio > 1, random.Float64() < 0.5}, DurationS: 1}
		r.Verdict, r.Cause = "failed", "moved"
		if random.Float64() < chance(ratio) {
			r.Verdict, r.Cause = "proven", ""
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

// A curve that is there is found: in 200 sweeps median, spread and places lie within the errors
// that the fit states as often as normal numbers do, and one in twenty is believed at no more than
// 5 %, within five deviations of a binomial.
func TestFitFindsTheCurve(t *testing.T) {
	truth := distuv.Normal{Mu: 1.05, Sigma: 0.04}
	const sweeps = 200
	doubted, near, places := 0, 0, 0
	for i := range sweeps {
		tally, h := drawn(3000+i, truth.CDF)
		s := tally.Summary(h)
		require.NotNil(t, s.Fit, s.NoFit)
		require.InDelta(t, truth.Mu, s.Fit.Median, 5*s.Fit.MedianError)
		require.InDelta(t, truth.Sigma, s.Fit.Spread, 5*s.Fit.SpreadError)
		for _, p := range s.Fit.Places {
			places++
			if math.Abs(truth.Quantile(p.Chance)-p.Ratio) < 1.96*p.StandardError {
				near++
			}
		}
		require.Greater(t, s.Fit.Groups, 5)
		if s.Fit.Trust < 0.05 {
			doubted++
		}
	}
	require.InDelta(t, 0.05*sweeps, doubted, 5*math.Sqrt(0.05*0.95*sweeps))
	require.InDelta(t, 0.95*float64(places), near, 5*math.Sqrt(0.05*0.95*sweeps)*3)
}

// Tests that miss one brake in twenty, however weak it is, follow no such curve, and the fit
// says that it is not to be believed.
func TestFitSaysThatItIsWrong(t *testing.T) {
	truth := distuv.Normal{Mu: 1.05, Sigma: 0.04}
	tally, h := drawn(8000, func(x float64) float64 { return 0.05 + 0.95*truth.CDF(x) })
	s := tally.Summary(h)
	require.NotNil(t, s.Fit, s.NoFit)
	require.Less(t, s.Fit.Trust, 1e-6)
}

// A test without any scatter has a step, and no curve; the sweep tells where the step is.
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
	require.NoError(t, p.Check())
	head, err := p.Head()
	require.NoError(t, err)
	tally := head.Tally()
	var before Summary
	require.NoError(t, p.Run(t.Context(), 2, tally, func(Record) error {
		if tally.Runs() == batch {
			before = tally.Summary(&head)
		}
		return nil
	}))
	s := tally.Summary(&head)
	require.True(t, s.Enough)
	require.True(t, s.Whole)
	require.Zero(t, s.Done%batch)
	require.Less(t, s.Done, 5000)
	require.LessOrEqual(t, reach([2]Rate{s.Missed, s.FalseAlarm}), 0.06)
	if s.Done > batch {
		require.Greater(t, reach([2]Rate{before.Missed, before.FalseAlarm}), 0.06)
	}
	require.NoError(t, p.Run(context.Background(), 2, tally, func(Record) error { return io.ErrUnexpectedEOF }), "nothing is left to do")
}

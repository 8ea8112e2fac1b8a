package evaluate_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// withSignal is a recording with the values of one signal changed.
func withSignal(r *recording.Recording, name string, by func(x float64) float64) *recording.Recording {
	other := *r
	other.Channels = slices.Clone(r.Channels)
	c := other.Channel(name)
	c.Values = slices.Clone(c.Values)
	for i, x := range c.Values {
		c.Values[i] = by(x)
	}
	return &other
}

// The rules of the judge are met, and the recording proves nothing: a requirement that is too weak, or a position that could
// not have shown a brake that slips.
func TestProofsThatAreNotToBeReliedOn(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	windowMM := c.Rig.Judge.WindowDeg * math.Pi / 180 * plant.Derive(&c.Rig).MMPerRad
	by := func(factor float64) func(float64) float64 { return func(x float64) float64 { return x * factor } }
	for _, x := range []struct {
		name   string
		signal string
		change func(float64) float64
		says   []string // one each
	}{
		{"as it is", "position_mm", by(1), nil},
		{"a requirement that is too weak", "required_current_a", by(0.5), []string{"in the check down, weaker than", "in the check up, weaker than"}},
		{"centimetres taken for millimetres", "position_mm", by(0.1), []string{"in the press up"}},
		{"metres taken for millimetres", "position_mm", by(0.001), []string{"in the press up"}},
		{"steps of the window", "position_mm", func(x float64) float64 { return math.Round(x/windowMM) * windowMM }, []string{"recorded in steps of"}},
		{"a signal that stands still", "position_mm", func(float64) float64 { return 420 }, []string{"the same in all samples"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			e := judged(t, &c.Rig, withSignal(r, x.signal, x.change))
			require.Equal(t, evaluate.Proven, e.Verdict)
			assert.Equal(t, x.says == nil, e.OK())
			for _, text := range x.says {
				assert.True(t, slices.ContainsFunc(e.Reservations, func(s string) bool { return strings.Contains(s, text) }), "%s: %v", text, e.Reservations)
			}
			if x.says == nil {
				assert.Empty(t, e.Reservations)
			}
		})
	}
}

// A position or a time of another scale would prove nothing, as the movement or the dwell is of that scale: the travel shows
// it by the speed of the drive and by the inertia, and the brake by its times.
func TestScalesThatTheAxisContradicts(t *testing.T) {
	t.Parallel()
	for _, scenario := range []string{"healthy-down-and-up", "healthy-with-payload"} {
		c := load(t, scenario, nil)
		r, _ := record(t, c)
		for _, x := range []struct {
			position, time float64
			says           string
		}{
			{1, 1, ""},
			{0.3, 1, `has an inertia of .* the position is likely 0\.(2|3)\d* times`},
			{0.5, 1, `the position is likely 0\.(4|5)\d* times`},
			{2, 1, `The axis travels at \d+ mm/s`},
			{1, 4, `or the time (3\.\d|4|4\.\d) times|The brake closes in .* the scale of the time`},
		} {
			other := withSignal(r, "position_mm", func(mm float64) float64 { return x.position * mm })
			other.Time = slices.Clone(r.Time)
			for i := range other.Time {
				other.Time[i] *= x.time
			}
			e := judged(t, &c.Rig, other)
			require.Equal(t, evaluate.Proven, e.Verdict, "%s %+v", scenario, x)
			assert.Equal(t, x.says == "", e.OK(), "%s %+v", scenario, x)
			assert.Regexp(t, x.says, strings.Join(e.Reservations, "\n"), "%s %+v", scenario, x)
		}
	}
}

// A judge that accepts more than that of the rig proves less: a wider window, a shorter dwell, one direction, a weaker
// requirement. A stricter one proves more.
func TestAProofByAWeakerJudgeIsNotToBeReliedOn(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c, "required_current_a")
	first := judged(t, &c.Rig, r).Checks[0]
	slipsAt, slip, i := first.FromS+*first.Time.ReachedS+0.5, 2*c.Rig.Judge.WindowDeg*math.Pi/180*plant.Derive(&c.Rig).MMPerRad, -1
	slipped := withSignal(r, "position_mm", func(mm float64) float64 {
		if i++; r.Time[i] > slipsAt {
			return mm - slip
		}
		return mm
	})
	for _, x := range []struct {
		name      string
		recording *recording.Recording
		change    func(r *plant.Rig)
		says      string // empty: no reservation
	}{
		{"as it is", r, func(*plant.Rig) {}, ""},
		{"stricter", r, func(r *plant.Rig) { r.Judge.WindowDeg, r.Judge.CeilingNM = r.Judge.WindowDeg/2, r.Judge.CeilingNM-0.01 }, ""},
		{"window", r, func(r *plant.Rig) { r.Judge.WindowDeg = 170 }, `judge\.window_deg is 170 deg, weaker than the 1\.5 deg of the rig`},
		{"dwell", r, func(r *plant.Rig) { r.Judge.Dwell = 100 * time.Millisecond }, `judge\.dwell is 0\.1 s, weaker than`},
		{"directions", r, func(r *plant.Rig) { r.Judge.Directions = plant.DirectionsDown }, `judge\.directions is down, weaker than the both of the rig`},
		{"requirement", r, func(r *plant.Rig) { r.Test.Factor = 1 }, `The check up required [\d.]+ N·m, weaker than the [\d.]+ N·m with the rig's own values`},
		{"a slip", slipped, func(r *plant.Rig) { r.Judge.WindowDeg = 170 }, `With the rig's own values the verdict is failed: moved`},
	} {
		used := c.Rig
		x.change(&used)
		e, err := evaluate.Evaluate(&used, x.recording, evaluate.Options{Phases: 1, Own: &c.Rig})
		require.NoError(t, err, x.name)
		require.Equal(t, evaluate.Proven, e.Verdict, x.name)
		assert.Equal(t, x.says == "", e.Reliable(), "%s: %v", x.name, e.Reservations)
		assert.Regexp(t, x.says, strings.Join(e.Reservations, "\n"), x.name)
	}
}

// thinned is a recording of which one sample of so many is kept.
func thinned(r *recording.Recording, every int) *recording.Recording {
	out := *r
	out.Time, out.Channels = nil, slices.Clone(r.Channels)
	for i := range out.Channels {
		out.Channels[i].Values = nil
	}
	for i := 0; i < len(r.Time); i += every {
		out.Time = append(out.Time, r.Time[i])
		for k := range out.Channels {
			out.Channels[k].Values = append(out.Channels[k].Values, r.Channels[k].Values[i])
		}
	}
	return &out
}

// A brake slips and its shaft comes back between two samples: with a gap that the options accept the rules are met, and the
// proof is not to be relied on. Nor is that of a brake that held.
func TestAProofBetweenTwoSamplesIsNotToBeReliedOn(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	e := judged(t, &c.Rig, r)
	require.True(t, e.OK())
	met := e.Checks[0].FromS + *e.Checks[0].Time.ReachedS
	turn := plant.Derive(&c.Rig).MMPerRad * 2 * math.Pi
	i := 0
	slips := withSignal(r, "position_mm", func(x float64) float64 {
		t := r.Time[i]
		i++
		if t > met+0.2 && t < met+0.55 {
			return x - turn/3
		}
		return x
	})
	assert.Equal(t, evaluate.Failed, judged(t, &c.Rig, slips).Verdict, "each sample shows it")
	for _, of := range []struct {
		name      string
		recording *recording.Recording
	}{{"slips", slips}, {"holds", r}} {
		// no sample from 50 ms before the slip to 50 ms after it
		sparse := *of.recording
		sparse.Channels = slices.Clone(of.recording.Channels)
		position := sparse.Channel("position_mm")
		position.Values = slices.Clone(position.Values)
		for i, t := range sparse.Time {
			if t > met+0.15 && t < met+0.6 {
				position.Values[i] = math.NaN()
			}
		}
		e, err := evaluate.Evaluate(&c.Rig, &sparse, evaluate.Options{MaxGap: 5 * time.Second})
		require.NoError(t, err)
		require.Equal(t, evaluate.Proven, e.Verdict, of.name)
		assert.False(t, e.Reliable(), of.name)
		require.Len(t, e.Reservations, 1, of.name)
		assert.Regexp(t, `^The position has \d+ samples in the [0-9.]+ s for which the requirement was met in the check down, the oldest 0\.4\d+ s old; must be 5 at least, and none older than 0\.04 s`, e.Reservations[0])
	}
	short := c.Rig
	short.Judge.Dwell = 100 * time.Millisecond
	assert.True(t, judged(t, &short, r).Reliable())
	few := judged(t, &short, thinned(r, 16)) // of 2 ms
	require.Equal(t, evaluate.Proven, few.Verdict)
	assert.False(t, few.Reliable(), "four samples in the dwell")
}

// An ask that ends before the verdict leaves the check without one, and the outcome says so.
func TestAnAskThatEnds(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	e := judged(t, &c.Rig, r)
	end := e.Checks[0].FromS + *e.Checks[0].Time.ReachedS + c.Rig.Judge.Dwell.Seconds()/2
	none := slices.Index(r.Channel("ask").Words, "none")
	require.GreaterOrEqual(t, none, 0)
	i := -1
	e = judged(t, &c.Rig, withSignal(r, "ask", func(x float64) float64 {
		if i++; r.Time[i] > end {
			return float64(none)
		}
		return x
	}))
	require.Len(t, e.Checks, 1)
	assert.Equal(t, "ask-ended", e.Checks[0].Outcome)
	assert.Equal(t, evaluate.None, e.Verdict)
}

// Times of a brake and of a stop are no figures of a recording that is slower than they are.
func TestSlowRecordingsHaveNoTimesOfTheBrake(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	require.NotNil(t, judged(t, &c.Rig, r).Figures.ClosingS)
	const every = 25 // of 2 ms
	f := judged(t, &c.Rig, thinned(r, every)).Figures
	assert.Nil(t, f.ClosingS)
	assert.Nil(t, f.OpeningS)
	assert.Nil(t, f.StoppingMM)
}

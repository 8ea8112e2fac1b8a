package sizing_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"pgregory.net/rapid"

	"holdbench/plant/sizing"
)

// What a rounded position tells of a movement is whole increments: with n of them in the
// window a movement is out of it wherever it begins from n + 1 on, and just below that it
// can be inside. That is what must not be more than is allowed (as the page states), to
// the last increment; and where it can be less, nothing is crossed for it.
func TestUndetectedIsNoMoreThanPermitted(t *testing.T) {
	const increment, least = 10.0 / 16384, 3 // mm; 2 of the noise and 1 of the deflection
	for _, c := range []struct {
		allowed float64 // increments
		whole   int     // in the largest window
		crossed bool
	}{
		{0.5, 0, true}, {1, 0, true}, {2.999, 1, true}, {3, 2, true}, {3.999, 2, true},
		{4, 3, false}, {4.999, 3, false}, {5, 4, false}, {40, 39, false},
	} {
		r := screwRig()
		w := sizing.DefaultAssumptions(&r, referenceParams())
		w.UndetectedMM = c.allowed * increment
		s, err := sizing.Compute(&r, referenceParams(), w)
		require.NoError(t, err)
		turn := 360.0 / 16384
		require.InDelta(t, least*turn, value(t, &s, "window_min_deg"), 1e-9)
		assert.InDelta(t, (float64(c.whole)+0.5)*turn, value(t, &s, "window_max_deg"), 1e-9, "%g increments", c.allowed)
		assert.Equal(t, c.crossed, len(s.Crossed) > 0, "%g increments: %q", c.allowed, s.Crossed)
		assert.LessOrEqual(t, value(t, &s, "window_deg"), value(t, &s, "window_max_deg"), "the tighter one if bounds cross")
	}
}

// Of any encoder, noise and allowance, among them allowances at and next to whole increments:
// no more can pass undetected than is allowed, unless that is less than one increment, which is the
// least that an encoder tells; then, and only then, the line is crossed. Figures that differ by
// less than 1e-12 of themselves are the same to a sizing; of an allowance that lies between
// half and twice that below the increment the test asks nothing.
func TestUnseenOfAnyRig(t *testing.T) {
	const same = 1e-12
	rapid.Check(t, func(t *rapid.T) {
		r := screwRig()
		r.Encoder.NoiseDeg = rapid.Float64Range(0, 1).Draw(t, "noise")
		r.Encoder.IncrementsPerTurn = float64(rapid.Int64Range(4, 1<<20).Draw(t, "increments"))
		increment := 360 / r.Encoder.IncrementsPerTurn
		w := sizing.DefaultAssumptions(&r, referenceParams())
		w.UndetectedMM = allowances(10/r.Encoder.IncrementsPerTurn).Draw(t, "allowed")
		allowed := min(w.UndetectedMM/10*360, 180)
		s, err := sizing.Compute(&r, referenceParams(), w)
		require.NoError(t, err)
		undetected, _ := s.Line("undetected_deg")
		require.LessOrEqual(t, undetected.Value, max(allowed, increment)*(1+same))
		switch crossed := undetected.Margin.Relative < 0; {
		case allowed < increment*(1-2*same):
			require.True(t, crossed, "%g increments allowed", allowed/increment)
			require.NotEmpty(t, s.Crossed)
		case allowed > increment*(1-same/2):
			require.False(t, crossed, "%g increments allowed", allowed/increment)
		}
	})
}

// allowances are movements in mm: of any size, and whole increments with and without a trace.
func allowances(increment float64) *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Map(rapid.Float64Range(-6, 2), func(x float64) float64 { return math.Pow(10, x) }),
		rapid.Custom(func(t *rapid.T) float64 {
			whole := float64(rapid.IntRange(1, 2000).Draw(t, "whole"))
			trace := rapid.SampledFrom([]float64{0, 1e-15, 1e-13, 1e-12, 3e-12, 1e-10, 1e-9, 1e-6}).Draw(t, "trace")
			return whole * increment * (1 + trace*float64(rapid.IntRange(-1, 1).Draw(t, "sign")))
		}),
	)
}

// Bounds that cross give the tighter value, which is on the safe side: a ceiling that
// stops too early, not one that lets motor or mechanics be passed.
func TestCrossedBoundsGiveTheSafeOne(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, map[string]string{"mechanical-limit-nm": "7"})
	low, high := value(t, &s, "ceiling_min_nm"), value(t, &s, "ceiling_max_nm")
	require.Greater(t, low, high)
	assert.LessOrEqual(t, value(t, &s, "ceiling_nm"), high)
	assert.LessOrEqual(t, value(t, &s, "maximum_motor_nm"), 7*(1+1e-12))
	assert.NotEmpty(t, s.Crossed)
}

// The press must be above the requirement as the judge reads it. Without noise that takes no
// margin if the judge reads the transducer that the drive regulates; with one of its own, which
// can read t_i too little while the drive's reads t_i too much, one of (1 + t_i)/(1 − t_i), and a
// little below it is crossed.
func TestLeastPressMarginCoversTheMeasurement(t *testing.T) {
	r := screwRig()
	r.Drive.CurrentNoiseRMSA = 0
	shared := compute(t, &r, map[string]string{"current-tolerance": "0.05"})
	assert.InDelta(t, 1, line(t, &shared, "press_margin").Margin.Bound, 1e-12)
	r.Judge.Transducer = plant.TransducerOwn
	for margin, crossed := range map[string]bool{"1.105": true, "1.106": false} { // 1.05/0.95 is 1.10526
		s := compute(t, &r, map[string]string{"current-tolerance": "0.05", "press-margin": margin})
		l := line(t, &s, "press_margin")
		assert.InDelta(t, 1.05/0.95, l.Margin.Bound, 1e-9)
		assert.Equal(t, crossed, l.Margin.Relative < 0, margin)
	}
}

package recording

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A recording is compared at its own times: between two samples of a curve on their line, of a held one with the
// sample before.
func TestCompare(t *testing.T) {
	t.Parallel()
	c := &Curve{Time: []float64{0, 1, 2}, Values: []float64{0, 10, math.NaN()}}
	d := Compare([]float64{-1, 0.5, 1, 1.5, 3}, []float64{7, 6, 8, 7, 7}, c, 0)
	assert.Equal(t, Difference{Samples: 2, Mean: -0.5, RMS: math.Sqrt(2.5), Largest: -2, LargestAt: 1, Differing: 2, FirstAt: 0.5}, d)
	assert.Equal(t, d.Samples, Compare([]float64{10, 11}, []float64{1, 1}, c, -10).Samples)
	assert.Equal(t, Difference{}, Compare([]float64{5}, []float64{1}, c, 0))

	held := &Curve{Time: []float64{0, 1, 2}, Values: []float64{0, 1, 1}, Held: true}
	assert.Equal(t, 1, Compare([]float64{0.5, 0.9, 1.5}, []float64{0, 1, 1}, held, 0).Differing)
}

// A recording that began 0.37 s later is found, whatever its scale and its offset, and not where little is in common.
func TestBestShift(t *testing.T) {
	t.Parallel()
	c := &Curve{}
	var times, values []float64
	f := func(t float64) float64 { return math.Exp(-(t - 3) * (t - 3) * 4) }
	for i := range 6001 {
		x := float64(i) * 1e-3
		c.Time, c.Values = append(c.Time, x), append(c.Values, f(x))
		if i%3 == 0 && i < 5000 {
			times, values = append(times, x), append(values, 5+2*f(x+0.37))
		}
	}
	shift, r := BestShift(times, []Pair{{values, c}}, -1, 1)
	assert.InDelta(t, 0.37, shift, 1e-5)
	assert.InDelta(t, 1, r, 1e-6)
	shift, _ = BestShift([]float64{100, 101}, []Pair{{[]float64{1, 2}, c}}, -1, 1)
	assert.True(t, math.IsNaN(shift))
}

package identify

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Where pieces at standstill differ in the noise of the current, the interval reaches over them, the standard error is that of
// their spread, and the source says why; where they do not, it is that of the samples.
func TestNoiseOfPiecesThatDiffer(t *testing.T) {
	n := noise{currentA: 0.0123, currents: pool{variances: slices.Repeat([]float64{1.5e-4}, 50), places: []float64{0.0115, 0.012, 0.1}, sizes: []int{400, 400, 400}}}
	e := n.ofCurrent()
	assert.Greater(t, e.high, 0.1)
	assert.Greater(t, e.err, 0.01)
	assert.Contains(t, n.currents.spread("A rms"), "0.011 to 0.1 A rms in single pieces, which the interval reaches over")
	n.currents.places[2] = 0.0124
	assert.Less(t, n.ofCurrent().high, 0.014)
	assert.Less(t, n.ofCurrent().err, 0.001)
	assert.Empty(t, n.currents.spread("A rms"))
}

// A lateness that no recorder has by itself is first of all a sign of another rig.
func TestLongLateness(t *testing.T) {
	assert.Equal(t, "correct it with --late", lateAdvice(0.004))
	assert.Contains(t, lateAdvice(-0.0328), "check first that the rig is that of the axis")
}

// Residuals of a press that follow one another are no warning while they are within the noise; those of the motion are.
func TestDependentResiduals(t *testing.T) {
	press := Part{Name: ofPress.String(), Factor: 1.2, Whiteness: 2.6e-5}
	assert.True(t, press.Dependent())
	assert.False(t, press.Correlated())
	press.Factor = 1.6
	assert.True(t, press.Correlated())
	motion := Part{Name: ofMotion.String(), Factor: 1.2, Whiteness: 2.6e-5}
	assert.True(t, motion.Correlated())
	assert.Contains(t, NoiseRule(), "p is below 0.0001, or where they exceed 3 times the noise")
}

package compare

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The estimate finds the deviation of white noise on a curve that goes somewhere, steps
// and all.
func TestNoiseOfACurve(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	for _, sigma := range []float64{0, 0.01, 3} {
		var xs []float64
		for i := range 20_000 {
			step := float64(i / 1000 * 100)
			xs = append(xs, 0.5*float64(i)+step+float64(sigma*random.NormFloat64()))
		}
		var s signalRange
		for i, x := range xs {
			s.add(x)
			if i >= 2 {
				s.secondDifferences = append(s.secondDifferences, max(x-2*xs[i-1]+xs[i-2], -(x-2*xs[i-1]+xs[i-2])))
			}
		}
		require.InDelta(t, sigma, s.noise(), 0.05*sigma+1e-9)
		require.InEpsilon(t, shareOfState*s.span(), Tolerances(xs, func(int) string { return "one" })["one"], 1e-9, "the range is the larger one here")
	}
}

// A state has a yardstick of its own: a long travel does not blunt it where the axis
// rests.
func TestYardstickIsOfTheState(t *testing.T) {
	var xs []float64
	for i := range 1000 {
		x := 100.0
		if i < 500 {
			x = float64(i)
		}
		xs = append(xs, x)
	}
	y := Tolerances(xs, func(scan int) bool { return scan < 500 })
	require.InDelta(t, 0.02*499, y[true], 1e-9)
	require.InDelta(t, 1e-4*499, y[false], 1e-9)
}

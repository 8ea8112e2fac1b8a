package plant

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A mass of 1 kg at 1 m/s is braked by 1 N from 0.1 s on: it is at rest at 1.1 s after
// 0.6 m, and stays there. Source: Modelica Standard Library,
// Mechanics.Translational.Examples.Brake (from memory); by hand, 0.1 s · 1 m/s +
// (1 m/s)²/(2 · 1 m/s²) = 0.6 m and 0.1 s + 1 m/s / (1 m/s²) = 1.1 s.
//
// The element is a spring of 1e6 N/m with 30 % of critical damping, wound up by 1 µm, so
// that the mass springs back by that at the end. Way and time differ by the tick in which
// rest is met: 250 µs, and ½ · 1 m/s² · (250 µs)² = 3.1e-8 m.
func TestTranslationalBrakeOfModelica(t *testing.T) {
	const stiffness, deflection, missed = 1e6, 1e-6, 3.1e-8
	for _, sense := range []float64{1, -1} {
		g := sledge{
			slider: slider{stiffness: stiffness, damping: 2 * 0.3 * math.Sqrt(stiffness)},
			mass:   1, v: sense, speedScale: 1,
		}
		for range 400 { // 0.1 s
			g.step(sliderTick, 0)
		}
		g.static, g.sliding = 1, 1
		rest, farthest := math.Inf(1), 0.0
		for n := 400; n < 8000; n++ { // to 2 s
			before := g.v
			g.step(sliderTick, 0)
			farthest = max(farthest, sense*g.x)
			if before*g.v <= 0 {
				rest = min(rest, (float64(n)+before/(before-g.v))*sliderTick)
			}
		}
		require.InDelta(t, 1.1, rest, sliderTick)
		require.InDelta(t, 0.6, farthest, missed)
		require.InDelta(t, 0.6-deflection, sense*g.x, missed)
		require.InDelta(t, 0, g.v, 1e-12) // rounding of a speed of 1 m/s: the ringing has died out
		require.Zero(t, g.slip)
	}
}

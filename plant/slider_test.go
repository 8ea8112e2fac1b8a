package plant

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const sliderTick = 250e-6 // s

// logRange draws evenly over decades.
func logRange(low, high float64) *rapid.Generator[float64] {
	return rapid.Map(rapid.Float64Range(math.Log10(low), math.Log10(high)), func(x float64) float64 {
		return math.Pow(10, x)
	})
}

func drawSlider(t *rapid.T) slider {
	return slider{
		stiffness: logRange(1, 1e7).Draw(t, "stiffness"),
		damping:   logRange(1e-4, 1e3).Draw(t, "damping"),
		halfPlay:  rapid.OneOf(rapid.Just(0.0), logRange(1e-5, 0.1)).Draw(t, "half play"),
	}
}

// elasticEnergy is ½ σ₀ dz(z)² in J, with the depth of contact dz in rad.
func elasticEnergy(s *slider, z float64) (energy, depth float64) {
	depth = math.Max(0, math.Abs(z)-s.halfPlay)
	return s.stiffness * depth * depth / 2, depth
}

// A friction element never gives back more than it stored: τ h w ≥ ΔE in every tick,
// E = ½σ₀ dz². Source: passivity, as Kikuuwe et al., IEEE Trans. Robotics 22(6), 2006,
// ask of a friction model in discrete time (from memory). What it slipped is part of
// the difference: τ h w − ΔE ≥ |τ v_slip| h. And |τ| never passes the capacity.
//
// Rounding: 1e-12 of the energies that are subtracted, and of σ₀ · play · (depth + h w),
// since the depth is a difference of angles of the size of the play; and 1e-300, below
// which numbers lose their digits.
func TestSliderIsPassive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSlider(t)
		z := 0.0
		for range rapid.IntRange(1, 60).Draw(t, "ticks") {
			w := rapid.Float64Range(-1, 1).Draw(t, "w") * logRange(1e-6, 500).Draw(t, "size")
			capacity := logRange(1e-3, 1e3).Draw(t, "capacity")
			before, depth := elasticEnergy(&s, z)
			torque, slope := s.torque(z, w, sliderTick, capacity)
			next, slip := s.update(z, w, sliderTick, torque, capacity)
			after, depthAfter := elasticEnergy(&s, next)
			work := torque * sliderTick * w
			slipped := math.Abs(torque*slip) * sliderTick
			ofPlay := s.stiffness * s.halfPlay * (depth + depthAfter + sliderTick*math.Abs(w))
			rounding := 1e-12*(math.Abs(work)+before+after+slipped+ofPlay) + 1e-300
			require.LessOrEqual(t, math.Abs(torque), capacity)
			require.GreaterOrEqual(t, slope, 0.0)
			require.GreaterOrEqual(t, work-(after-before), slipped-rounding)
			z = next
		}
	})
}

// More speed never meets less resistance: what makes the implicit step have one
// solution. Exact: sums and products of rounded numbers keep their order.
func TestSliderResistsMonotonely(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSlider(t)
		z := rapid.Float64Range(-0.2, 0.2).Draw(t, "z")
		capacity := logRange(1e-3, 1e6).Draw(t, "capacity")
		a := rapid.Float64Range(-500, 500).Draw(t, "a")
		b := rapid.Float64Range(a, 500).Draw(t, "b")
		low, _ := s.torque(z, a, sliderTick, capacity)
		high, _ := s.torque(z, b, sliderTick, capacity)
		require.LessOrEqual(t, low, high)
	})
}

// Sliding steadily, the torque is the capacity, the slip speed is the speed, and the
// deflection is that of a spring under the capacity, C/σ₀ behind the play. Source: the
// element's own equations with dz/dt = 0. After 2000 ticks of σ₁/σ₀ = 4 ms the deflection
// has settled but for rounding.
func TestSteadySliding(t *testing.T) {
	for _, s := range []slider{
		{stiffness: 5000, damping: 20},
		{stiffness: 5000, damping: 20, halfPlay: 0.01},
	} {
		for _, w := range []float64{30, -30} {
			z, torque, slip := 0.0, 0.0, 0.0
			for range 2000 {
				torque, _ = s.torque(z, w, sliderTick, 9)
				z, slip = s.update(z, w, sliderTick, torque, 9)
			}
			require.Zero(t, torque-math.Copysign(9, w)) // to the bit
			require.InEpsilon(t, w, slip, 1e-12)
			require.InEpsilon(t, math.Copysign(s.halfPlay+9.0/5000, w), z, 1e-12)
		}
	}
}

// Sticking, the element is a damped spring and slips nothing.
func TestStickingIsADampedSpring(t *testing.T) {
	s := slider{stiffness: 5000, damping: 2}
	// σ₀(z + h w) + σ₁ w = 5000 (0.001 + 250e-6·0.1) + 2·0.1 = 5 + 0.125 + 0.2
	torque, slope := s.torque(0.001, 0.1, sliderTick, 9)
	require.InEpsilon(t, 5.325, torque, 1e-12)
	require.InEpsilon(t, 5000*250e-6+2, slope, 1e-12)
	z, slip := s.update(0.001, 0.1, sliderTick, torque, 9)
	require.InEpsilon(t, 0.001+250e-6*0.1, z, 1e-12)
	require.Zero(t, slip)
}

// A one-sided spring with damper pushes and never pulls, however fast it is left.
func TestUnilateralNeverPulls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		torque, slope := unilateral(
			logRange(1, 1e7).Draw(t, "stiffness"), logRange(1e-4, 1e3).Draw(t, "damping"),
			rapid.Float64Range(-0.1, 0.1).Draw(t, "depth"), rapid.Float64Range(-500, 500).Draw(t, "w"), sliderTick)
		require.GreaterOrEqual(t, torque, 0.0)
		require.GreaterOrEqual(t, slope, 0.0)
	})
}

// f(v) = T_k + (T_s − T_k) exp(−(v/v_s)²) with T_s = 9, T_k = 7.5, v_s = 2. Source:
// Stribeck curve as in Canudas de Wit et al., IEEE Trans. Automatic Control 40(3),
// 1995, eq. (8) (from memory); e⁻¹ = 0.36787944, e⁻⁴ = 0.01831564.
func TestStribeck(t *testing.T) {
	for _, c := range []struct{ v, want float64 }{
		{0, 9},
		{2, 7.5 + 1.5*0.36787944},
		{-2, 7.5 + 1.5*0.36787944},
		{4, 7.5 + 1.5*0.01831564},
		{1000, 7.5},
	} {
		require.InDelta(t, c.want, stribeck(9, 7.5, 2, c.v), 1e-8, "v = %g", c.v) // digits printed
	}
	require.Zero(t, stribeck(9, 9, 2, 5)-9, "the same at rest and slipping")
}

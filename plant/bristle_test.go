package plant

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The friction of Canudas de Wit, Olsson, Åström, Lischinsky, A new model for control of
// systems with friction, IEEE Trans. Automatic Control 40(3), 1995, table I, and the mass
// of its examples (from memory).
const (
	paperMass      = 1.0   // kg
	paperStatic    = 1.5   // N, F_S
	paperSliding   = 1.0   // N, F_C
	paperStribeck  = 0.001 // m/s, v_s
	paperStiffness = 1e5   // N/m, σ₀
	paperViscous   = 0.4   // N·s/m, σ₂
)

var paperDamping = math.Sqrt(paperStiffness) // N·s/m, σ₁

// bristles are under a mass: where it is in m, its speed in m/s, and how far the
// bristles are bent in m.
type bristles [3]float64

// paperLevel is σ₀ g(v) in N, on which the friction settles without the viscous part:
// eq. (8) of the paper (from memory), written out here rather than taken from the plant.
func paperLevel(v float64) float64 {
	return paperSliding + (paperStatic-paperSliding)*math.Exp(-v/paperStribeck*v/paperStribeck)
}

// bend is dz/dt = v − |v| z/g(v), eq. (3) of the paper (from memory).
func (m bristles) bend() float64 {
	v, z := m[1], m[2]
	return v - math.Abs(v)*z*paperStiffness/paperLevel(v)
}

// friction is F = σ₀ z + σ₁ dz/dt + σ₂ v in N, eq. (4) of the paper (from memory).
func (m bristles) friction() float64 {
	return paperStiffness*m[2] + paperDamping*m.bend() + paperViscous*m[1]
}

// pulledBy is Newton's law of the mass under a force in N that depends on time and place.
func pulledBy(force func(t, x float64) float64) func(float64, bristles) bristles {
	return func(t float64, m bristles) bristles {
		return bristles{m[1], (force(t, m[0]) - m.friction()) / paperMass, m.bend()}
	}
}

// The pair of formulas of order 5 and 4 of Dormand and Prince, J. Computational and
// Applied Mathematics 6(1), 1980; e.g. Hairer, Nørsett, Wanner, Solving Ordinary
// Differential Equations I, table II.5.2 (from memory). The last row of weights is the
// solution, princeError its difference from the one of order 4. The rows prove
// themselves below: they add up to the nodes, and [TestDormandPrinceHasOrderFive].
var (
	princeNodes = [6]float64{1. / 5, 3. / 10, 4. / 5, 8. / 9, 1, 1}
	princeRows  = [6][6]float64{
		{1. / 5},
		{3. / 40, 9. / 40},
		{44. / 45, -56. / 15, 32. / 9},
		{19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
		{9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
		{35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84},
	}
	princeError = [7]float64{71. / 57600, 0, -71. / 16695, 71. / 1920, -17253. / 339200, 22. / 525, -1. / 40}
)

// princeSolver integrates with error control: in each step the estimated error stays below
// relative of the size of each value, or below the floor of that value. Bristles under a
// mass that slides at 0.3 m/s answer within g/(σ₀v) = 33 µs, so that an explicit method
// takes some 0.1 ms a step there: enough for the few seconds that the paper looks at.
type princeSolver struct {
	relative float64
	floor    bristles
	longest  float64 // step in s
}

func paperSolver() princeSolver {
	// floors far below what happens: bristles bend by 1.5e-5 m, speeds are some 1e-6 m/s
	return princeSolver{relative: 1e-9, floor: bristles{1e-13, 1e-11, 1e-15}, longest: math.Inf(1)}
}

// run integrates from t to end or until see, called after each step, returns false.
func (s *princeSolver) run(rate func(float64, bristles) bristles, t, end float64, m bristles, see func(t float64, m bristles) bool) bristles {
	h := math.Min(1e-6, s.longest)
	for t < end {
		h = math.Min(h, math.Min(s.longest, end-t))
		next, off := s.step(rate, t, h, m)
		if off <= 1 {
			t, m = t+h, next
			if end-t < 1e-12*end || (see != nil && !see(t, m)) {
				return m
			}
		}
		h *= math.Min(5, math.Max(0.2, 0.9*math.Pow(off+1e-12, -0.2)))
	}
	return m
}

// step returns the solution after h and its error as a share of what is allowed.
func (s *princeSolver) step(rate func(float64, bristles) bristles, t, h float64, m bristles) (next bristles, off float64) {
	rates := [7]bristles{rate(t, m)}
	for n := range princeRows {
		next = m
		for i := range next {
			for j := range n + 1 {
				next[i] += h * princeRows[n][j] * rates[j][i]
			}
		}
		rates[n+1] = rate(t+h*princeNodes[n], next)
	}
	for i := range next {
		miss := 0.0
		for j, weight := range princeError {
			miss += h * weight * rates[j][i]
		}
		size := math.Max(math.Abs(m[i]), math.Abs(next[i]))
		off = math.Max(off, math.Abs(miss)/(s.floor[i]+s.relative*size))
	}
	return next, off
}

// A method of order 5 misses exp(t) after one step by O(h⁶): halving h divides the miss
// by 2⁶ = 64, up to the next term of the series, which is of relative size h. Source:
// definition of the order. A wrong coefficient leaves order 4 or less, a factor of 32.
func TestDormandPrinceHasOrderFive(t *testing.T) {
	for n, row := range princeRows {
		sum := 0.0
		for _, x := range row {
			sum += x
		}
		require.InDelta(t, princeNodes[n], sum, 1e-14) // rounding of numbers of size 10
	}
	miss := func(h float64) float64 {
		s := paperSolver()
		next, _ := s.step(func(_ float64, m bristles) bristles { return m }, 0, h, bristles{1, 0, 0})
		return math.Abs(next[0] - math.Exp(h))
	}
	require.InEpsilon(t, 64, miss(0.1)/miss(0.05), 0.1)
}

// bristleStickSlipPeriod is the time between the last two moments at which a mass, pulled
// through a spring of 2 N/m at 0.1 m/s, comes up to the speed of the pull. Straight lines
// between steps of h = 0.3 ms are off by h²j/(8a), where the acceleration a is 0.5 m/s² and
// its rate j 0.2 m/s³: 5 ns.
func bristleStickSlipPeriod() float64 {
	s := paperSolver()
	last, period := 0.0, 0.0
	before, beforeT := bristles{}, 0.0
	s.run(pulledBy(paperPull), 0, 30, bristles{}, func(t float64, m bristles) bool {
		if before[1] < paperPullSpeed && m[1] >= paperPullSpeed {
			at := beforeT + (t-beforeT)*(paperPullSpeed-before[1])/(m[1]-before[1])
			last, period = at, at-last
		}
		before, beforeT = m, t
		return true
	})
	return period
}

// The bristle model's stick-slip on the paper's rig repeats every 6.36272 s. The paper
// draws it (section on stick-slip motion, from memory) and prints no number; this one
// solves its equations and stands still while the tolerance goes from 1e-8 to 1e-10.
// Half a unit of the last digit, as given.
func TestBristleStickSlipPeriod(t *testing.T) {
	require.InDelta(t, 6.36272, bristleStickSlipPeriod(), 5e-6)
}

// Below breakaway the bristles bend like a spring that yields. Led slowly, with
// g = F_S/σ₀ and u = F/F_S, dx/du = (F_S/σ₀)/(1 ∓ u), minus forward, so that
//
//	x(0.95)  = −(F_S/σ₀) ln(1 − 0.95)                   =  4.49360e-5 m
//	x(−0.95) = x(0.95) + (F_S/σ₀) ln((1 − 0.95)/(1 + 0.95)) = −1.00174e-5 m
//
// for ±1.425 N = ±0.95 F_S. Source: eq. (3) of the paper, integrated by hand; the paper
// draws this loop (presliding displacement, from memory) and prints no number.
//
// The force swings as a cosine, so that the mass is not left moving at a kink: 2 min there
// and 4 min back, never faster than 1.425 N·π/(240 s) = 0.0187 N/s. The mass then creeps at
// 0.0187/(1e5·0.05) = 3.7e-6 m/s at the most, where the level is lower by
// 0.5 N·(3.7e-6/0.001)² = 7e-6 N, and x(0.95) grows by that times 0.95/(0.05·1e5) m/N
// = 1.3e-9 m at the most: hence the tolerance of 1.5e-9 m.
func TestBristlePresliding(t *testing.T) {
	const wind, most = paperStatic / paperStiffness, 0.95 * paperStatic
	forward := -wind * math.Log(1-0.95)
	back := forward + wind*math.Log((1-0.95)/(1+0.95))
	require.InDelta(t, 4.49360e-5, forward, 5e-11) // half a unit of the last digit
	require.InDelta(t, -1.00174e-5, back, 5e-11)

	s := paperSolver()
	m := s.run(pulledBy(swingForce(0, most, 120)), 0, 120, bristles{}, nil)
	require.InDelta(t, forward, m[0], 1.5e-9)
	m = s.run(pulledBy(swingForce(most, -most, 240)), 0, 240, m, nil)
	require.InDelta(t, back, m[0], 1.5e-9)
}

// swingForce is a force in N that goes from one value to another within a time in s.
func swingForce(from, to, within float64) func(t, x float64) float64 {
	return func(t, _ float64) float64 {
		return from + (to-from)*(1-math.Cos(math.Pi*t/within))/2
	}
}

// bristleBreakAway raises a force at a rate in N/s on the resting mass and returns the
// greatest friction before it runs away, at 0.01 m/s = 10 v_s.
func bristleBreakAway(rate, longest float64) float64 {
	s := paperSolver()
	s.longest = longest
	greatest := 0.0
	ramp := pulledBy(func(t, _ float64) float64 { return rate * t })
	s.run(ramp, 0, math.Inf(1), bristles{}, func(_ float64, m bristles) bool {
		greatest = math.Max(greatest, m.friction())
		return m[1] < 10*paperStribeck
	})
	return greatest
}

// A bristle breaks away the earlier the faster the force grows. The paper draws breakaway
// force over force rate (from memory) and prints no numbers; these are the greatest
// friction, viscous part included, that its equations give on the way. Half a unit of the
// last digit, as given; steps of 10 µs at most hit the rounded top to far less.
func TestBristleBreakAwayForce(t *testing.T) {
	for _, c := range []struct{ rate, want float64 }{
		{1, 1.4324}, {2, 1.3944}, {5, 1.3132}, {10, 1.2200}, {20, 1.0986}, {30, 1.0245},
	} {
		require.InDelta(t, c.want, bristleBreakAway(c.rate, 1e-5), 5e-5, "%g N/s", c.rate)
	}
}

// The force of [TestBristleDrifts] and [TestSliderDoesNotDrift] swings between these two, in
// N.
const driftLow, driftHigh = 0.7, 1.3

// The bristle model gains in every period, led slowly, by the integrals beside
// [TestBristlePresliding] up and down between u₁ = 0.7/1.5 and u₂ = 1.3/1.5,
//
//	(F_S/σ₀) ln((1 − u₁²)/(1 − u₂²)) = 1.5e-5 m · ln(0.782222/0.248889) = 1.71770e-5 m
//
// more than the whole deflection of the slider. At one radian a second it moves no faster than
// 1e-5 m/s (at 1.25 N: 0.166 N/s over 1e5 N/m · 0.167), where the level is lower by
// 1e-4/3 of F_S; that times u/(1 − u) ≤ 6.5 is 2.2e-4 of the way.
func TestBristleDrifts(t *testing.T) {
	const periods = 10
	push := pulledBy(func(t, _ float64) float64 {
		return (driftHigh+driftLow)/2 + (driftHigh-driftLow)/2*math.Sin(t)
	})
	s := paperSolver()
	first := s.run(push, 0, 2*math.Pi, bristles{}, nil)
	last := first
	for range periods {
		last = s.run(push, 0, 2*math.Pi, last, nil)
	}
	require.InEpsilon(t, 1.71770e-5, (last[0]-first[0])/periods, 2.2e-4)
}

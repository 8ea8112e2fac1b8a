package plant

import (
	"math"

	"holdbench/plant/portable"
)

// slider is a friction element of capacity C in series with a spring σ₀ and a
// parallel damper σ₁:
//
//	τ = −clamp(σ₀ z + σ₁ v, ±C),  dz/dt = (−τ − σ₀ z)/σ₁
//
// Below C it is a damped spring of deflection z; at C it slides and z follows the spring.
// It is solved implicitly over one tick h: with w the mean speed of the tick,
//
//	|τ| = clamp(σ₀ (z + h w) + σ₁ w, ±C),  z' = (h |τ| + σ₁ z)/(σ₀ h + σ₁)
//
// so that its torque times h w is never less than the increase of ½σ₀z². Source:
// elasto-plastic slider; implicit form after Kikuuwe et al., IEEE Trans. Robotics
// 22(6), 2006 (from memory).
//
// With play the spring acts on dz(z, ±play/2); the damper acts only in contact and never
// pulls.
type slider struct {
	stiffness float64 // σ₀ in N·m/rad, above 0
	damping   float64 // σ₁ in N·m·s/rad, above 0
	halfPlay  float64 // rad
}

// torque returns the torque against a mean speed w and its slope dτ/dw, for a deflection z
// at the start of the tick and a capacity C in N·m.
func (s *slider) torque(z, w, h, capacity float64) (torque, slope float64) {
	switch {
	case s.halfPlay == 0:
		slope = float64(s.stiffness*h) + s.damping
		torque = float64(s.stiffness*z) + float64(slope*w)
	case z+float64(h*w) >= 0:
		torque, slope = unilateral(s.stiffness, s.damping, z-s.halfPlay, w, h)
	default:
		torque, slope = unilateral(s.stiffness, s.damping, -z-s.halfPlay, -w, h)
		torque = -torque
	}
	switch {
	case torque > capacity:
		return capacity, 0
	case torque < -capacity:
		return -capacity, 0
	}
	return torque, slope
}

// between limits a torque of an element without play and its slope by a capacity in N·m against each direction of
// motion: against motion downwards and against motion upwards. Either is at least 0, so that a slip in either direction
// only dissipates, and the deflection stores what it gives back:
//
//	τ = −clamp(σ₀ z + σ₁ v, −C_down, +C_up)
func between(torque, slope, down, up float64) (limited, slopes float64) {
	if torque > up {
		return up, 0
	}
	if torque < -down {
		return -down, 0
	}
	return torque, slope
}

// elastic is the torque of the damped spring without the limit of the capacity.
func (s *slider) elastic(z, w, h float64) (torque, slope float64) {
	if s.halfPlay == 0 {
		slope = float64(s.stiffness*h) + s.damping
		return float64(s.stiffness*z) + float64(slope*w), slope
	}
	return s.withPlay(z, w, h)
}

// withPlay is elastic for an element with play.
func (s *slider) withPlay(z, w, h float64) (torque, slope float64) {
	if z+float64(h*w) >= 0 {
		return unilateral(s.stiffness, s.damping, z-s.halfPlay, w, h)
	}
	torque, slope = unilateral(s.stiffness, s.damping, -z-s.halfPlay, -w, h)
	return -torque, slope
}

// update returns z at the end of the tick and the mean slip speed v − dz/dt, which
// is zero while the element sticks.
func (s *slider) update(z, w, h, torque, capacity float64) (deflection, slip float64) {
	if math.Abs(torque) < capacity {
		return z + float64(h*w), 0
	}
	return s.slide(z, w, h, torque)
}

// slide is update for a torque at capacity. Against a capacity of 0 the element slides at any speed.
func (s *slider) slide(z, w, h, torque float64) (deflection, slip float64) {
	deflection = s.deflectionAt(z, h, torque)
	return deflection, w - (deflection-z)/h
}

// deflectionAt is the deflection at the end of a tick in which the torque is at capacity.
func (s *slider) deflectionAt(z, h, torque float64) float64 {
	sum := float64(s.stiffness*h) + s.damping
	if s.halfPlay == 0 {
		return (float64(h*torque) + float64(s.damping*z)) / sum
	}
	side := math.Copysign(1, torque)
	depth := max(0, float64(side*z)-s.halfPlay)
	depth = (float64(h*math.Abs(torque)) + float64(s.damping*depth)) / sum
	return side * (s.halfPlay + depth)
}

// deflectionOf is the deflection under a steady torque.
func (s *slider) deflectionOf(torque float64) float64 {
	if torque == 0 {
		return 0
	}
	return torque/s.stiffness + math.Copysign(s.halfPlay, torque)
}

// sliderInTick makes a slider for a tick h. The minimum keeps one without friction solvable.
func sliderInTick(stiffness, damper, h float64) slider {
	const minimum = 1e-9
	return slider{stiffness: max(stiffness, minimum), damping: inTick(stiffness, damper, h, minimum)}
}

// inTick is the damper that complements a spring solved implicitly over a tick h. With it
// the spring acts by its deflection at the middle of the tick, and ringing and rebound are
// those of the specified damper:
//
//	k (d + h w) + (c − k h/2) w = k (d + h w/2) + c w
//
// A damper weaker than k h/2 is omitted: the implicit spring damps that much by itself and
// remains stable. Source: midpoint and implicit Euler rule, by comparison.
func inTick(stiffness, damping, h, minimum float64) float64 {
	return max(damping-float64(stiffness*h/2), minimum)
}

// unilateral is a one-sided spring and damper. Its compression at the start of the tick is
// depth in rad, negative without contact; w is the mean speed of compression. The damper
// acts on the increase of compression, and the sum never pulls.
//
//	τ = max(0, k d' + c (d' − d)/h),  d' = max(0, depth + h w), d = max(0, depth)
func unilateral(stiffness, damping, depth, w, h float64) (torque, slope float64) {
	end := depth + float64(h*w)
	if end <= 0 {
		return 0, 0
	}
	if depth < 0 {
		depth = 0
	}
	torque = float64(stiffness*end) + float64(damping*(end-depth)/h)
	if torque <= 0 {
		return 0, 0
	}
	return torque, float64(stiffness*h) + damping
}

// stribeck is the friction torque at a slip speed v:
//
//	f(v) = T_k + (T_s − T_k) exp(−(v/v_s)²)
//
// T_s is the static, T_k the sliding torque, v_s has the unit of v. Source: Stribeck curve as
// in Canudas de Wit et al., IEEE Trans. Automatic Control 40(3), 1995, eq. (8) (from
// memory).
func stribeck(static, sliding, speedScale, v float64) float64 {
	if v == 0 || static == sliding {
		return static
	}
	ratio := v / speedScale
	if ratio*ratio > negligible {
		return sliding
	}
	return sliding + float64((static-sliding)*portable.Exp(-ratio*ratio))
}

// negligible is the exponent beyond which the exponential is below the rounding of a float64:
// exp(−40) = 4e-18.
const negligible = 40

// curve is the friction of one element as a function of its slip speed.
type curve struct {
	static, sliding float64 // N·m
	scale           float64 // rad/s
}

func (c *curve) at(slip float64) float64 { return stribeck(c.static, c.sliding, c.scale, slip) }

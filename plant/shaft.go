package plant

import "math"

// shaft is one rotating mass with its load, guide, brakes and hard stops. The axis is one,
// its partner another, a severed load with a brake of its own a third.
type shaft struct {
	k      constants
	state  State
	brake  brake
	second *secondBrake // nil without one on this shaft
	// Slope of the last solution, and its inverse with the inertia: the linear pieces on
	// which the elements work seldom change from tick to tick.
	slope, mobility float64
}

// constants are the constants of a tick, computed once from the rig.
type constants struct {
	tick                       float64 // s
	inertia                    float64 // kg·m²
	perTick                    float64 // 2J/h in N·m·s/rad
	weight                     weight
	viscous                    float64 // N·m·s/rad
	guide                      slider
	guideSlope                 float64 // N·m·s/rad, σ₀ h + σ₁ of the guide
	guideCurve                 curve
	guideLowering              float64 // N·m, friction of the guide downwards less that upwards
	stopLow, stopHigh          float64 // rad
	stopStiffness, stopDamping float64
	support                    float64 // rad; −Inf without one
	supportStiffness           float64
	supportDamping             float64
	lowestContact              float64 // rad, of lower stop and support the higher one
}

// resistances are the torques that depend on the mean speed of the tick, and the capacities
// that limit two of them.
type resistances struct {
	guideCapacity    float64
	guideDown        float64 // capacity of the guide against a motion downwards
	guide, low, high float64
	support          float64
	brake            braking
	stops            bool // a hard stop or the support may be in contact during this tick
}

// braking is what one brake does in a tick.
type braking struct {
	capacity float64 // N·m
	creep    float64 // rad/s, subtracted from the speed at the brake
	torque   float64 // N·m, opposing the speed
}

// advance integrates the shaft over one tick under an external torque:
//
//	J dω/dt = τ + τ_g + τ_f + τ_b + τ_stop + τ_support,  dθ/dt = ω
//
// With w the mean speed of the tick, ω' = 2w − ω and θ' = θ + h w, so that kinetic
// energy and the work of every torque balance exactly; w solves
//
//	2J (w − ω)/h = τ + τ_g − b w − Σ τ_friction(w) − Σ τ_stop(w)
//
// whose right side is falling and piecewise linear in w. Source: Newton-Euler; the
// midpoint rule, e.g. Hairer, Lubich, Wanner, Geometric Numerical Integration, ch. II
// (from memory).
func (s *shaft) advance(torque float64) {
	if !s.advanceSteady(torque) {
		s.advanceAny(torque)
	}
}

// advanceAny is advance with all elements that a shaft may have.
func (s *shaft) advanceAny(torque float64) {
	var r resistances
	torque += s.prepare(&r)
	s.move(s.meanSpeed(torque, &r), &r)
}

// prepare evaluates the capacities and the load torque, which it returns, at the middle of
// the tick. The stored slip speed is that of the middle of the last tick; one tick of
// acceleration extrapolates it.
func (s *shaft) prepare(r *resistances) (load float64) {
	k, st := &s.k, &s.state
	ahead := float64(st.accelerationRS * k.tick)
	r.stops = s.nearStops()
	r.guideCapacity = k.guideCurve.static
	if st.guideSlipRadS != 0 {
		r.guideCapacity = s.slidingGuide()
	}
	r.guideDown = k.againstLowering(r.guideCapacity)
	if !s.brake.idle(&st.BrakeState) {
		r.brake.capacity, r.brake.creep = s.brake.prepare(&st.BrakeState, st.SpeedRadS, ahead, k.tick)
	}
	if b := s.second; b != nil {
		b.now = braking{}
		if !b.idle(&b.state) {
			b.now.capacity, b.now.creep = b.prepare(&b.state, st.SpeedRadS, ahead, k.tick)
		}
	}
	st.LoadTorqueNM = k.weight.torque(st.AngleRad + float64(st.SpeedRadS*k.tick/2))
	return st.LoadTorqueNM
}

// nearStops is whether a hard stop or the support may be in contact during this tick.
func (s *shaft) nearStops() bool {
	st := &s.state
	reach := float64(2*s.k.tick*math.Abs(st.SpeedRadS)) + stopReach
	return st.AngleRad-reach < s.k.lowestContact || st.AngleRad+reach > s.k.stopHigh
}

// slidingGuide is the capacity of a guide that slides, in N·m.
func (s *shaft) slidingGuide() float64 {
	st := &s.state
	return s.k.guideCurve.at(predict(st.guideSlipRadS, float64(st.accelerationRS*s.k.tick)))
}

// againstLowering is the capacity of the guide downwards for one upwards, both in N·m.
func (k *constants) againstLowering(up float64) float64 {
	if k.guideLowering == 0 {
		return up
	}
	return max(0, up+k.guideLowering) // without the rounding of a difference
}

// stopReach is the distance in rad below which a hard stop is considered at any speed.
const stopReach = 0.1

// predict is the slip speed after a change; an element that sticks remains so.
func predict(slip, change float64) float64 {
	if slip == 0 || slip*(slip+change) < 0 {
		return 0
	}
	return slip + change
}

// meanSpeed finds w by Newton's method, from the present speed on: the torque by which w is wrong, times the
// mobility, is how far w is from the solution by the slope there. The sum of the torques that oppose w is monotone
// and piecewise linear, so that the iteration ends as soon as no element changes its piece: in nearly every tick with
// the second look. What few shafts have, or have in few ticks, stands in functions of its own.
func (s *shaft) meanSpeed(torque float64, r *resistances) float64 {
	k, st, w := &s.k, &s.state, s.state.SpeedRadS
	b := unbounded()
	spring := float64(k.guide.stiffness * st.GuideDeflectionRad)
	for look := range 60 {
		resist, slope := between(spring+float64(k.guideSlope*w), k.guideSlope, r.guideDown, r.guideCapacity)
		r.guide = resist
		resist, slope = resist+float64(k.viscous*w), slope+k.viscous
		if r.brake.capacity > 0 {
			brake, d := s.brake.friction.torque(st.BrakeDeflectionRad, w-r.brake.creep, k.tick, r.brake.capacity)
			r.brake.torque = brake
			resist, slope = resist+brake, slope+d
		}
		if s.second != nil || r.stops {
			resist, slope = s.resistMore(w, r, resist, slope)
		}
		step := float64((float64(k.perTick*(w-st.SpeedRadS)) - torque + resist) * s.mobilityOf(slope))
		if negligibleStep(step, w) {
			return w - step
		}
		if look < 2 {
			w -= step
		} else {
			w = b.next(w, step)
		}
	}
	return w
}

// mobilityOf is the inverse of the slope with the inertia.
func (s *shaft) mobilityOf(slope float64) float64 {
	if slope != s.slope {
		s.slope, s.mobility = slope, 1/(s.k.perTick+slope)
	}
	return s.mobility
}

// negligibleStep is whether a step in rad/s is within the rounding of w.
func negligibleStep(step, w float64) bool {
	return math.Abs(step) <= 1e-12+float64(1e-12*math.Abs(w))
}

// bounds enclose the solution of an iteration: with an element stiffer than the inertia Newton's method would cycle.
type bounds struct{ low, high float64 }

func unbounded() bounds { return bounds{math.Inf(-1), math.Inf(1)} }

// next is x less a step, or the middle between the bounds if that is beyond them. The sign of the step says on which
// side of the solution x is.
func (b *bounds) next(x, step float64) float64 {
	if step > 0 {
		b.high = x
	} else {
		b.low = x
	}
	next := x - step
	if next <= b.low || next >= b.high {
		next = b.low + float64((b.high-b.low)/2)
	}
	return next
}

// forgetSlope lets the next solution work out its mobility anew, after a change of the constants.
func (s *shaft) forgetSlope() { s.slope = math.NaN() }

// resistMore adds the torques of a second brake, of hard stops and of a support against a mean speed w.
func (s *shaft) resistMore(w float64, r *resistances, torque, slope float64) (sum, slopes float64) {
	k, st, h := &s.k, &s.state, s.k.tick
	if b := s.second; b != nil && b.now.capacity > 0 {
		brake, d := b.friction.torque(b.state.BrakeDeflectionRad, w-b.now.creep, h, b.now.capacity)
		b.now.torque = brake
		torque, slope = torque+brake, slope+d
	}
	if r.stops {
		high, d := unilateral(k.stopStiffness, k.stopDamping, st.AngleRad-k.stopHigh, w, h)
		low, e := unilateral(k.stopStiffness, k.stopDamping, k.stopLow-st.AngleRad, -w, h)
		support, f := unilateral(k.supportStiffness, k.supportDamping, k.support-st.AngleRad, -w, h)
		r.high, r.low, r.support = high, low, support
		torque, slope = torque+high-low-support, slope+d+e+f
	}
	return torque, slope
}

// move advances the shaft to the end of the tick at mean speed w.
func (s *shaft) move(w float64, r *resistances) {
	k, st := &s.k, &s.state
	s.turn(w)
	if r.guide < r.guideCapacity && r.guide > -r.guideDown { // it sticks
		st.GuideDeflectionRad, st.guideSlipRadS = st.GuideDeflectionRad+float64(k.tick*w), 0
	} else {
		s.slideGuide(w, r.guide)
	}
	st.GuideTorqueNM, st.StopTorqueNM, st.SupportTorqueNM = 0-r.guide, r.low-r.high, r.support
	s.brake.advance(&st.BrakeState, w, k.tick, &r.brake)
	if b := s.second; b != nil {
		b.advance(&b.state, w, k.tick, &b.now)
	}
}

// turn advances angle and speed at mean speed w.
func (s *shaft) turn(w float64) {
	st, before := &s.state, s.state.SpeedRadS
	st.SpeedRadS = float64(2*w) - before
	st.accelerationRS = (st.SpeedRadS - before) / s.k.tick
	st.AngleRad += float64(s.k.tick * w)
}

// slideGuide advances a guide that slides, at mean speed w with its torque in N·m.
func (s *shaft) slideGuide(w, torque float64) {
	st := &s.state
	st.GuideDeflectionRad, st.guideSlipRadS = s.k.guide.slide(st.GuideDeflectionRad, w, s.k.tick, torque)
}

// glide gives the elements of a shaft in steady motion the deflections that belong to it and
// returns the torque against the motion in N·m: friction and viscous torque of the guide, drag
// of the brake. At rest it is zero, and the guide carries nothing.
//
//	z = τ/σ₀ of an element that slides at the speed of the shaft (slider, dz/dt = 0)
func (s *shaft) glide() float64 {
	st, v := &s.state, s.state.SpeedRadS
	if v == 0 {
		return 0
	}
	friction := s.k.guideCurve.at(v)
	if v < 0 {
		friction = -max(0, friction+s.k.guideLowering)
	}
	st.GuideDeflectionRad, st.guideSlipRadS, st.GuideTorqueNM = s.k.guide.deflectionOf(friction), v, -friction
	torque := friction + float64(s.k.viscous*v) + s.brake.glide(&st.BrakeState, v)
	if b := s.second; b != nil {
		torque += b.glide(&b.state, v)
	}
	return torque
}

package plant

import (
	"math"
	"time"
)

// brake is one holding brake on a shaft: its armature and the constants of its friction. Its
// truth is a [BrakeState]; a shaft may have any number of such pairs.
type brake struct {
	armature
	commandedClosed bool
	obeyed          bool // nothing follows from the command that has not followed yet
	timedCommand    bool // the command whose time is known
	commandedAt     time.Duration

	friction slider
	curve    curve
	times    brakeTimes
	coil     coil
	disc     frictionDisc
	yields   float64 // rad/s per N·m, speed that the shaft loses until the middle of a tick
	seen     seenBrake
	rest     brakeRest
	warm     bool // the disc has to cool down
}

// brakeRest is what a brake without a command to follow does, so that a tick need not work it out anew.
type brakeRest uint8

const (
	notAtRest     brakeRest = iota
	openAtRest              // it is open, and nothing changes but its temperature
	holdingAtRest           // it sticks at a capacity that stays, and nothing changes but deflection and temperature
)

// seenBrake holds the values of the rig that a run starts with, as they were last applied.
type seenBrake struct{ gap, glaze, returnsTo, adhesion, excess float64 }

// BrakeState is the truth of a brake, in SI units.
type BrakeState struct {
	Engagement         float64
	BrakeTorqueNM      float64 // on the shaft, opposite to the slip; mean of the last tick
	CapacityNM         float64 // at the present engagement
	SlipRad            float64 // accumulated slip
	SlipWorkJ          float64
	BrakeTempC         float64
	BrakeGapMM         float64
	BrakeGlaze         float64
	BrakeAdhesion      float64 // bond of the disc as a share of the rated static torque
	BrakeFactor        float64 // capacity divided by rated capacity
	BrakeDeflectionRad float64

	brakeSlipRadS float64
}

// open initialises the brake as open.
func (b *brake) open(st *BrakeState, r *Brake) {
	b.from, b.powered = r.OpensTo, true
	b.commandedAt = -r.ReleaseTime // open long enough for a timer
	st.Engagement = r.OpensTo
	st.BrakeTempC = r.AmbientC
	st.BrakeGapMM, st.BrakeGlaze = r.GapMM, r.Glaze
}

// reload recalculates the constants after a change of the rig's values, for a shaft of an
// inertia in kg·m².
func (b *brake) reload(st *BrakeState, r *Brake, tick time.Duration, inertia float64) {
	stiffness, damper := elasticity(r.StaticNM, r.WindUpDeg, r.DampingRatio, inertia)
	b.friction = sliderInTick(stiffness, damper, tick.Seconds())
	b.friction.halfPlay = rad(r.PlayDeg) / 2
	b.curve = curve{static: r.StaticNM, sliding: r.SlidingNM, scale: radS(r.StribeckRPM)}
	if r.SlidingNM == 0 {
		b.curve.sliding = r.StaticNM
	}
	b.retime(timesOf(r))
	b.coil = coilOf(r)
	b.disc = frictionDiscOf(r, tick)
	b.yields = tick.Seconds() / (2 * inertia)
	b.settled, b.obeyed, b.rest = false, false, notAtRest
	b.sense(st.Engagement)
	b.start(st, r)
	b.refresh(st)
}

// start sets what a run starts with if the rig has new values of it; otherwise the present
// values remain.
func (b *brake) start(st *BrakeState, r *Brake) {
	now := seenBrake{r.GapMM, r.Glaze, r.GlazeReturnsTo, r.Adhesion, r.ExcessK}
	if now.gap != b.seen.gap {
		st.BrakeGapMM = now.gap
	}
	if now.glaze != b.seen.glaze {
		st.BrakeGlaze = now.glaze
	}
	if now.returnsTo != b.seen.returnsTo {
		st.BrakeGlaze = max(st.BrakeGlaze, now.returnsTo)
	}
	if now.adhesion != b.seen.adhesion {
		st.BrakeAdhesion = now.adhesion
	}
	if now.excess != b.seen.excess {
		st.BrakeTempC = r.AmbientC + now.excess
	}
	b.seen = now
}

// capacity is the maximum torque of the brake in N·m, with v the slip speed in rad/s and a the
// bond of a disc that has rested for long:
//
//	C = e κ f(v) + a T_s
func (b *brake) capacity(st *BrakeState, engagement, slip float64) float64 {
	friction := b.curve.static
	if slip != 0 {
		friction = b.curve.at(slip)
	}
	return float64(engagement*st.BrakeFactor*friction) + float64(st.BrakeAdhesion*b.curve.static)
}

// staticCapacity is the torque in N·m that the brake holds after a close command, in its present
// condition, without the bond of a disc at rest, which the first slip breaks.
func (b *brake) staticCapacity(st *BrakeState) float64 {
	if b.coil.stuckOn {
		return 0
	}
	return b.curve.static * st.BrakeFactor * b.times.closesTo * b.disc.creepShare
}

// idle is whether the brake is open and stays so.
func (b *brake) idle(st *BrakeState) bool {
	return b.settled && st.Engagement == 0 && st.BrakeAdhesion == 0
}

// prepare returns the capacity at the middle of a tick h of a shaft that is at a speed in rad/s
// and will be faster by ahead at its end, and the speed at which the brake creeps.
func (b *brake) prepare(st *BrakeState, speed, ahead, h float64) (capacity, creep float64) {
	e := b.engagement(st, h/2)
	if e <= 0 && st.BrakeAdhesion == 0 {
		return 0, 0
	}
	switch {
	case b.settled && st.brakeSlipRadS == 0 && st.BrakeTorqueNM != 0:
		capacity = st.CapacityNM // nothing has changed since
	case st.BrakeTorqueNM == 0:
		capacity = b.firstCapacity(st, e, speed+float64(ahead/2), h)
	case st.brakeSlipRadS == 0 && !b.settled && !b.closing:
		capacity = b.partingCapacity(st, h)
	case st.brakeSlipRadS != 0:
		capacity = b.slidingCapacity(st, e, speed+float64(ahead/2), h)
	default:
		capacity = b.capacity(st, e, 0)
	}
	if b.disc.creep > 0 {
		creep = b.creepSpeed(st, h, capacity)
	}
	return capacity, creep
}

// partingCapacity is the mean torque of an opening brake that sticks, over a tick in which its
// capacity falls from C₀ to C₁ past the torque τ that it carries: the breakaway is inside the
// tick.
//
//	(1/h) ∫ min(τ, C(t)) dt = τ − (τ − C₁)²/(2 (C₀ − C₁))  for C₁ < τ < C₀
//
// Otherwise it is the capacity in the middle of the tick. Source: the integral, by hand.
func (b *brake) partingCapacity(st *BrakeState, h float64) float64 {
	begin, end := b.capacity(st, st.Engagement, 0), b.capacity(st, b.at(&b.times, h), 0)
	torque := math.Abs(st.BrakeTorqueNM)
	if end < torque && torque < begin {
		return torque - (torque-end)*(torque-end)/(2*(begin-end))
	}
	return b.capacity(st, b.at(&b.times, h/2), 0)
}

// firstCapacity is the capacity in the first tick of contact, which has no slip speed before it.
// An element that can take over the speed v of the shaft within the tick sticks; of any other the
// slip speed s solves
//
//	s = |v| − C(s)/(σ₀ h + σ₁) − C(s) h/(2J)
//
// what its spring and damper take up and what the shaft loses. The iteration converges, as C falls
// with s by less than σ₁ (else the slip speed is not unique).
func (b *brake) firstCapacity(st *BrakeState, engagement, v, h float64) float64 {
	slope := float64(b.friction.stiffness*h) + b.friction.damping
	capacity := b.capacity(st, engagement, 0)
	for range 8 {
		slip := math.Abs(v) - float64(capacity*(1/slope+b.yields))
		if slip <= 0 {
			return b.capacity(st, engagement, 0)
		}
		capacity = b.capacity(st, engagement, slip)
	}
	return capacity
}

// slidingCapacity is the capacity of an element that slides, at a speed v of the shaft in the
// middle of the tick. Its mean slip speed s is what its spring and damper do not take up,
//
//	s = |v| − (C(s) − σ₀ z)/(σ₀ h + σ₁)
//
// z its deflection in the direction of the slip: the equation of [slider], solved for s from the
// slip speed of the last tick. See firstCapacity for the convergence.
func (b *brake) slidingCapacity(st *BrakeState, engagement, v, h float64) float64 {
	f := &b.friction
	slope := float64(f.stiffness*h) + f.damping
	side := math.Copysign(1, st.brakeSlipRadS)
	depth := max(0, float64(side*st.BrakeDeflectionRad)-f.halfPlay)
	taken := float64(side*v) + float64(f.stiffness*depth)/slope
	slip := math.Abs(st.brakeSlipRadS)
	for range 12 {
		before := slip
		slip = max(0, taken-b.capacity(st, engagement, slip)/slope)
		if math.Abs(slip-before) <= 1e-3*before {
			break
		}
	}
	return b.capacity(st, engagement, slip)
}

// advance takes the brake to the end of a tick h with mean speed w and its torque in N·m.
func (b *brake) advance(st *BrakeState, w, h float64, r *braking) {
	faded := b.coolDown(st)
	steady := !faded && st.BrakeTempC >= b.disc.ambient // it will not fade, as it cools
	st.BrakeTorqueNM, b.rest = 0-r.torque, notAtRest
	if b.idle(st) {
		st.BrakeDeflectionRad, st.brakeSlipRadS, st.CapacityNM = 0, 0, 0
		b.restAt(openAtRest, steady)
		return
	}
	b.since += h
	if !faded && b.sticks(st, r) {
		st.BrakeDeflectionRad += float64(h * w) // and nothing else changes
		b.restAt(holdingAtRest, steady && b.disc.creep == 0)
		return
	}
	st.Engagement = b.engagement(st, 0)
	if r.capacity > 0 {
		b.yield(st, w, h, r)
	} else {
		st.BrakeDeflectionRad, st.brakeSlipRadS = 0, 0
	}
	if st.Engagement == 0 && st.BrakeAdhesion == 0 {
		st.BrakeDeflectionRad, st.CapacityNM = 0, 0
	} else {
		st.CapacityNM = b.capacity(st, st.Engagement, st.brakeSlipRadS)
	}
}

func (b *brake) restAt(rest brakeRest, steady bool) {
	if steady {
		b.rest = rest
	}
}

// holdOn is advance of a brake that holds at rest and goes on to do so.
func (b *brake) holdOn(st *BrakeState, w, h, torque float64) {
	st.BrakeTorqueNM = 0 - torque
	st.BrakeDeflectionRad += float64(h * w)
	b.since += h
}

// sticks is whether a brake that has settled sticks on, as a healthy one does in most ticks.
func (b *brake) sticks(st *BrakeState, r *braking) bool {
	return b.settled && st.brakeSlipRadS == 0 && math.Abs(r.torque) < r.capacity && r.creep == 0 && b.disc.returnsTo == 0
}

// yield advances the deflection of a brake with capacity and applies slip, creep and rest.
func (b *brake) yield(st *BrakeState, w, h float64, r *braking) {
	st.BrakeDeflectionRad, st.brakeSlipRadS = b.friction.update(st.BrakeDeflectionRad, w-r.creep, h, r.torque, r.capacity)
	if st.brakeSlipRadS != 0 {
		b.slip(st, h, float64(st.brakeSlipRadS*h), r.torque)
	} else if b.disc.returnsTo > 0 {
		b.regain(st)
	}
	if r.creep != 0 {
		b.creeps(st, h, r.creep, r.torque)
	}
}

// glide gives a dragging brake the deflection of a steady slip at v in rad/s and returns its
// torque against the motion, in N·m.
func (b *brake) glide(st *BrakeState, v float64) float64 {
	drag := math.Copysign(b.capacity(st, st.Engagement, v), v)
	if drag == 0 {
		return 0
	}
	st.BrakeDeflectionRad = b.friction.deflectionOf(drag)
	st.brakeSlipRadS, st.BrakeTorqueNM = v, -drag
	return drag
}

package plant

import "math"

// Step latches the command and integrates the shaft over one tick:
//
//	J dω/dt = τ_m + τ_g + τ_f + τ_b + τ_stop,  dθ/dt = ω
//
// With w the mean speed of the tick, ω' = 2w − ω and θ' = θ + h w, so that kinetic
// energy and the work of every torque balance exactly; w solves
//
//	2J (w − ω)/h = τ_m + τ_g − b w − Σ τ_friction(w) − Σ τ_stop(w)
//
// whose right side falls with w piece by piece linearly. Source: Newton-Euler; the
// midpoint rule, e.g. Hairer, Lubich, Wanner, Geometric Numerical Integration, ch. II
// (from memory).
func (p *Plant) Step(c Command) {
	p.brake.command(&p.rig.Brake, c.CloseBrake)
	p.drive.step(p, c)
	p.stepShaft(p.stepCurrent())
	p.brake.since += p.k.tick
	p.state.Engagement = p.brake.at(&p.rig.Brake, 0)
	if p.state.Engagement == 0 {
		p.state.BrakeGiveRad = 0
	}
	p.state.CapacityNM = p.capacity(p.state.Engagement, p.state.brakeSlipRadS)
}

// stepCurrent solves di/dt = (i_cmd − i)/τ_i over the tick and returns the motor's
// mean torque, τ_m = k_t i, in N·m.
func (p *Plant) stepCurrent() float64 {
	gap := p.state.CurrentRMSA - p.drive.commandRMSA
	p.state.CurrentRMSA = p.drive.commandRMSA + float64(gap*p.k.currentDecay)
	mean := p.drive.commandRMSA + float64(gap*p.k.currentMean)
	p.state.MotorTorqueNM = mean * p.k.torqueConstant
	return p.state.MotorTorqueNM
}

// resistances are the torques that depend on the mean speed of the tick.
type resistances struct {
	guideCapacity, brakeCapacity float64
	guide, brake, low, high      float64
}

func (p *Plant) stepShaft(motor float64) {
	k, s := &p.k, &p.state
	ahead := float64(s.accelerationRS * k.tick / 2)
	r := resistances{
		guideCapacity: stribeck(k.guideStatic, k.guideSliding, k.guideStribeck, predict(s.guideSlipRadS, ahead)),
		brakeCapacity: p.capacity(p.brake.at(&p.rig.Brake, k.tick/2), predict(s.brakeSlipRadS, ahead)),
	}
	w := p.meanSpeed(motor+k.gravity, &r)
	before := s.SpeedRadS
	s.SpeedRadS = 2*w - before
	s.accelerationRS = (s.SpeedRadS - before) / k.tick
	s.AngleRad += float64(k.tick * w)
	p.settleFriction(w, &r)
	s.LoadTorqueNM = k.gravity
	s.StopTorqueNM = r.low - r.high
}

// predict is the slip speed half a tick ahead; an element that sticks stays stuck.
func predict(slip, change float64) float64 {
	if slip == 0 || slip*(slip+change) < 0 {
		return 0
	}
	return slip + change
}

// meanSpeed finds w by Newton's method between bounds: the sum is monotone and
// linear in pieces, so it ends as soon as no element changes its piece.
func (p *Plant) meanSpeed(drive float64, r *resistances) float64 {
	const most = 60
	inertia := 2 * p.k.inertia / p.k.tick
	w := p.state.SpeedRadS
	low, high := math.Inf(-1), math.Inf(1)
	for range most {
		resist, slope := p.resist(w, r)
		excess := float64(inertia*(w-p.state.SpeedRadS)) - drive + resist
		if excess > 0 {
			high = w
		} else {
			low = w
		}
		next := w - excess/(inertia+slope)
		if math.Abs(next-w) <= 1e-12+1e-12*math.Abs(w) {
			return next
		}
		if next <= low || next >= high { // an element stiffer than the inertia: it would cycle
			next = low + (high-low)/2
		}
		w = next
	}
	return w
}

// resist sums what opposes the mean speed w, with its slope.
func (p *Plant) resist(w float64, r *resistances) (torque, slope float64) {
	k, s, h := &p.k, &p.state, p.k.tick
	torque, slope = float64(k.viscous*w), k.viscous
	var d float64
	r.guide, d = k.guide.torque(s.GuideGiveRad, w, h, r.guideCapacity)
	torque, slope = torque+r.guide, slope+d
	if r.brakeCapacity > 0 {
		r.brake, d = k.shoe.torque(s.BrakeGiveRad, w, h, r.brakeCapacity)
		torque, slope = torque+r.brake, slope+d
	}
	r.high, d = pushing(k.stopStiffness, k.stopDamping, s.AngleRad-k.stopHigh, w, h)
	torque, slope = torque+r.high, slope+d
	r.low, d = pushing(k.stopStiffness, k.stopDamping, k.stopLow-s.AngleRad, -w, h)
	return torque - r.low, slope + d
}

// settleFriction moves the give of both sliders on and books what the brake slipped.
func (p *Plant) settleFriction(w float64, r *resistances) {
	k, s, h := &p.k, &p.state, p.k.tick
	s.GuideGiveRad, s.guideSlipRadS = k.guide.settle(s.GuideGiveRad, w, h, r.guide, r.guideCapacity)
	s.GuideTorqueNM, s.BrakeTorqueNM = 0-r.guide, 0-r.brake
	if r.brakeCapacity > 0 {
		s.BrakeGiveRad, s.brakeSlipRadS = k.shoe.settle(s.BrakeGiveRad, w, h, r.brake, r.brakeCapacity)
	} else {
		s.BrakeGiveRad, s.brakeSlipRadS = 0, 0
	}
	power := math.Abs(float64(r.brake * s.brakeSlipRadS))
	s.SlipRad += math.Abs(float64(s.brakeSlipRadS * h))
	s.SlipWorkJ += float64(power * h)
	p.warm(power)
}

// warm solves the brake's lumped heat node over the tick, with P the slip power:
//
//	C_th dT/dt = P − (T − T_amb)/R_th
//
// Elastic work heats nothing. Source: lumped capacitance, e.g. Incropera and DeWitt,
// Fundamentals of Heat and Mass Transfer, ch. 5.1 (from memory).
func (p *Plant) warm(power float64) {
	settled := p.rig.Brake.AmbientC + float64(power*p.k.heatPath)
	p.state.BrakeTempC = settled + float64((p.state.BrakeTempC-settled)*p.k.heatDecay)
}

package plant

import (
	"math"
	"time"

	"holdbench/plant/portable"
)

// drive is the control cascade: position P, speed PI, torque limit, current; a trapezoidal
// profile for moves and a torque ramp for a press. Its only measurement is the encoder.
type drive struct {
	mode        Mode
	switchOn    float64 // s until it has torque
	setpoint    float64 // rad
	setSpeed    float64 // rad/s, of the profile
	target      float64 // rad
	integral    float64 // N·m
	press       float64 // N·m, ramped
	overshootNM float64 // N·m, by which the torque overshoots the ramp
	commandRMSA float64

	count        int64   // increments over several turns
	angle        float64 // rad, measured
	speed        float64 // rad/s, measured and filtered
	referenceRad float64 // rad, reading of the encoder at zero travel at start-up

	hindered                     bool
	limit                        float64 // N·m
	constant, ampsPerNM          float64 // nominal, N·m per A rms, and its inverse
	pressRate, overshoot         float64 // shares, see pressTorque
	overshootDecay               float64 // of the overshoot in one tick
	creep                        float64 // rad per tick
	gain, integralGain           float64
	positionGain, filter         float64
	topSpeed, acceleration       float64
	brakesWithin                 float64 // rad, distance from which on no speed is limited by it
	standstill, inPosition       float64
	tick, ticksPerS, millimetres float64
}

func (d *drive) reload(r *Rig, v *Derived) {
	d.tick = r.Clock.Tick.Seconds()
	d.ticksPerS = 1 / d.tick
	d.millimetres = v.MMPerRad
	d.constant, d.ampsPerNM = r.Motor.TorqueConstant, 1/r.Motor.TorqueConstant
	d.hindered, d.limit = d.hinders(r), v.DriveTorqueLimitNM
	d.gain = v.SpeedGain
	d.integralGain = v.SpeedGain / r.Drive.SpeedIntegralTime.Seconds()
	d.positionGain = r.Drive.PositionGainPerS
	d.filter = filterShare(d.tick, r.Drive.SpeedFilter)
	d.topSpeed = r.Drive.SpeedMMS / v.MMPerRad
	d.acceleration = r.Drive.AccelerationMMS2 / v.MMPerRad
	d.brakesWithin = brakesWithin(d.topSpeed, d.acceleration, d.tick)
	d.standstill = radS(r.Drive.StandstillRPM)
	d.pressRate, d.overshoot = r.Drive.PressRateFactor, r.Drive.PressOvershoot
	d.overshootDecay = portable.Exp(-d.tick / overshootTime)
	d.creep = r.Drive.CreepMMS / v.MMPerRad * d.tick
	d.inPosition = r.Drive.InPositionMM / v.MMPerRad
}

// filterShare is the response of a first-order filter to a unit step after one tick.
func filterShare(tick float64, constant time.Duration) float64 {
	if constant == 0 {
		return 1
	}
	return 1 - portable.Exp(-tick/constant.Seconds())
}

// start initialises the drive as on with the present current, at rest or in steady motion: its last
// reading is then one tick old, its profile has the speed of the axis, and a hold decelerates
// from it.
func (d *drive) start(p *Plant) {
	d.mode = Hold
	d.referenceRad = p.c.encoder0
	d.count = p.c.increments(p.state.AngleRad-float64(p.state.SpeedRadS*d.tick), 0)
	p.sensor.count, p.sensor.held = d.count, wrap(d.count, p.c.encoderTurn)
	d.angle = float64(float64(d.count)*p.c.encoderStep) - d.referenceRad
	d.speed = p.state.SpeedRadS
	d.commandRMSA = p.loop.measured(p.state.CurrentRMSA)
	d.hold(d.commandRMSA * d.constant)
	d.setSpeed = p.state.SpeedRadS
}

func (d *drive) report(p *Plant, currentRMSA float64) Reading {
	r := &p.rig
	fault := d.fault(r)
	one, two := p.switches()
	return Reading{
		PositionMM:   d.angle * d.millimetres,
		PositionDeg:  p.armDeg(d.angle),
		SingleTurn:   p.judgeTurn(p.sensor.held),
		PositionLost: r.Encoder.Lost,
		SpeedMMS:     d.speed * d.millimetres,
		CurrentRMSA:  currentRMSA,
		TorqueNM:     currentRMSA * d.constant,
		DriveReady:   r.Drive.Ready && !fault,
		DriveOn:      d.mode != Off,
		DriveFault:   fault,
		Standstill:   math.Abs(d.speed) < d.standstill,
		InPosition:   d.mode == Move && d.setpoint == d.target && math.Abs(d.target-d.angle) <= d.inPosition,
		BrakeClosed:  one,
		Brake2Closed: two,
		Coupled:      p.partner != nil && p.partner.reported(&r.Partner),
	}
}

// hinders is whether the drive may not do what it is commanded, once it is on.
func (d *drive) hinders(r *Rig) bool { return d.fault(r) || !r.Drive.Ready || r.Drive.IgnoresPress }

func (d *drive) fault(r *Rig) bool { return r.Drive.Tripped || r.Encoder.Lost }

// step calculates the current command.
func (d *drive) step(p *Plant, c *Command) {
	if c.Mode != d.mode || c.Mode == Off || d.hindered {
		d.enterMode(p, d.permittedMode(p, c.Mode))
	}
	limit := p.heat.limitNM(d.limit)
	if c.TorqueLimitNM > 0 && c.TorqueLimitNM < limit {
		limit = c.TorqueLimitNM
	}
	switch d.mode {
	case Off:
		d.commandRMSA = 0
		return
	case Press:
		d.commandRMSA = d.pressTorque(p, c, limit) * d.ampsPerNM
		return
	case Hold:
		d.setpoint += d.creep
		if d.setSpeed != 0 {
			d.profile(d.stopAt(), c)
		}
	case Move:
		d.target = c.TargetMM / d.millimetres
		d.profile(d.target, c)
	}
	d.commandRMSA = d.cascade(limit) * d.ampsPerNM
}

// permittedMode is the commanded mode, or Off if the drive is not ready or not yet switched
// on.
func (d *drive) permittedMode(p *Plant, commanded Mode) Mode {
	r := &p.rig
	if commanded == Off || d.fault(r) || !r.Drive.Ready {
		d.switchOn = r.Drive.SwitchOnTime.Seconds()
		return Off
	}
	if d.mode == Off && d.switchOn > d.tick/2 {
		d.switchOn -= d.tick
		return Off
	}
	if commanded == Press && r.Drive.IgnoresPress {
		return Hold
	}
	return commanded
}

// enterMode changes the mode without a step of torque.
func (d *drive) enterMode(p *Plant, mode Mode) {
	if mode == d.mode {
		return
	}
	present := p.loop.measured(p.state.CurrentRMSA) * d.constant
	from := d.mode
	d.mode = mode
	switch {
	case mode == Press:
		d.press, d.overshootNM = present, 0
	case from == Off || from == Press:
		d.hold(present)
	}
}

// hold starts position control from the measured position and the present torque.
func (d *drive) hold(torque float64) {
	d.setpoint, d.setSpeed = d.angle, 0
	d.integral = torque
}

// overshootTime is the time constant in s of the decay of an overshoot (a choice).
const overshootTime = 0.1

// pressTorque ramps the torque to its setpoint at the commanded rate times the rate factor,
// up to the limit. A current loop with too high a gain adds an overshoot o to this ramp τ_p,
//
//	do = s dτ_p during the ramp,  do/dt = −o/T after it
//
// so that a ramp of height h peaks s h above its end. Only the limit of the drive applies to
// the overshoot, as it arises after the commanded limit. Source: s is the relative overshoot
// of a step response, any text on control; the shape is a choice.
func (d *drive) pressTorque(p *Plant, c *Command, limit float64) float64 {
	setpoint := c.PressTorqueNM
	if p.rig.Drive.TorqueSignReversed {
		setpoint = -setpoint
	}
	step := d.pressRate * c.PressRateNMS * d.tick
	if step <= 0 {
		step = math.Inf(1)
	}
	before := d.press
	d.press = clamp(d.press+clamp(setpoint-d.press, step), limit)
	if d.press == before {
		d.overshootNM *= d.overshootDecay
	} else {
		d.overshootNM += float64(d.overshoot * (d.press - before))
	}
	return clamp(d.press+d.overshootNM, p.heat.limitNM(d.limit))
}

// stopAt is the position in which the profile stops if it decelerates now.
func (d *drive) stopAt() float64 {
	return d.setpoint + d.setSpeed*math.Abs(d.setSpeed)/(2*d.acceleration)
}

// profile advances the setpoint by one tick of a trapezoidal profile. Its speed is limited
// so that it can stop within the remaining distance, v = √(2 a s).
func (d *drive) profile(target float64, c *Command) {
	top := d.topSpeed
	if c.SpeedMMS > 0 {
		top = min(top, c.SpeedMMS/d.millimetres)
	}
	remaining := target - d.setpoint
	step := float64(d.acceleration * d.tick)
	if math.Abs(remaining) <= min(step, top)*d.tick && math.Abs(d.setSpeed) <= 2*step {
		d.setpoint, d.setSpeed = target, 0
		return
	}
	if math.Abs(remaining) < d.brakesWithin {
		top = min(top, brakingSpeed(math.Abs(remaining), d.acceleration, d.tick))
	}
	speed := math.Copysign(top, remaining)
	d.setSpeed += clamp(speed-d.setSpeed, step)
	d.setpoint += float64(d.setSpeed * d.tick)
}

// brakingSpeed is the maximum speed of the next tick from which the deceleration a stops
// within s: v h + v²/(2a) = s.
func brakingSpeed(s, a, h float64) float64 {
	return a * (math.Sqrt(float64(h*h)+2*s/a) - h)
}

// brakesWithin is a distance beyond which brakingSpeed is above a speed v for certain, rounding included.
func brakesWithin(v, a, h float64) float64 { return 1.001 * (float64(v*h) + v*v/(2*a)) }

// cascade is a position P controller with speed feed-forward, followed by a speed PI
// controller whose integral is frozen while the torque is at its limit (anti-windup).
func (d *drive) cascade(limit float64) float64 {
	speed := float64(d.positionGain*(d.setpoint-d.angle)) + d.setSpeed
	deviation := speed - d.speed
	torque := float64(d.gain*deviation) + d.integral
	limited := clamp(torque, limit)
	if limited == torque || deviation*torque < 0 {
		d.integral = clamp(d.integral+float64(d.integralGain*deviation*d.tick), limit)
	}
	return limited
}

// clamp limits x to ±limit. Branches, which are nearly always predicted, are quicker in a tick than
// min and max, on whose results all that follows waits.
func clamp(x, limit float64) float64 {
	switch {
	case x > limit:
		return limit
	case x < -limit:
		return -limit
	}
	return x
}

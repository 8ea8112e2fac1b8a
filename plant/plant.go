package plant

// Mode is the commanded mode of the drive.
type Mode uint8

// The modes of the drive.
const (
	Off   Mode = iota // no torque
	Hold              // hold the present position
	Move              // travel to a target with a trapezoidal profile
	Press             // torque mode with a ramp
)

// Command holds the commands of the controllers for one tick.
type Command struct {
	Mode          Mode
	TargetMM      float64
	SpeedMMS      float64 // of a move; 0 for the speed of the drive
	PressTorqueNM float64
	PressRateNMS  float64 // 0 for a step
	TorqueLimitNM float64 // 0 for the limit of the drive
	CloseBrake    bool
	CloseBrake2   bool
	Decouple      bool // open the coupling to the partner
}

// CloseBrakes commands every brake to close.
func (c *Command) CloseBrakes() { c.CloseBrake, c.CloseBrake2 = true, true }

// Reading holds the signals of sensors and drive in one tick.
type Reading struct {
	PositionMM   float64 // of the drive, over several turns
	PositionDeg  float64 // of an arm: angle above the horizontal
	SingleTurn   int64   // encoder increments within one turn, from 0
	PositionLost bool
	SpeedMMS     float64
	CurrentRMSA  float64
	TorqueNM     float64 // current times the nominal torque constant
	DriveReady   bool
	DriveOn      bool
	DriveFault   bool
	Standstill   bool
	InPosition   bool
	BrakeClosed  bool // signal of the brake switch
	Brake2Closed bool // of the second brake; false without one
	Coupled      bool // signal of the switch on the partner's coupling
}

// State is the truth of a shaft, in SI units.
type State struct {
	AngleRad           float64 // zero at zero travel
	SpeedRadS          float64
	CurrentRMSA        float64
	MotorTorqueNM      float64 // mean of the last tick, like the torques below
	GuideTorqueNM      float64
	StopTorqueNM       float64
	SupportTorqueNM    float64 // with which the support carries the load
	LoadTorqueNM       float64
	CouplingNM         float64 // from the axis to its partner
	GuideDeflectionRad float64
	BrakeState

	guideSlipRadS  float64
	accelerationRS float64
}

// Plant is one axis. The zero value is not usable; call [New].
type Plant struct {
	shaft
	rig     Rig
	c       conversions
	drive   drive
	loop    currentLoop
	angle   fieldAngle
	heat    thermal
	sensor  sensors
	free    freeLoad
	brake2  *secondBrake // nil without one
	partner *partner     // nil without one
	simple  bool         // one shaft with one brake, and the load on it
}

// New returns the plant of a rig that [Validate] accepts, at the start of its run with the
// brake open and the drive holding. The seed determines the noise of its sensors.
func New(rig Rig, seed uint64) *Plant {
	p := &Plant{rig: rig}
	if rig.Partner.InertiaKGM2 > 0 {
		p.partner = newPartner(&p.rig)
	}
	p.brake.open(&p.state.BrakeState, &rig.Brake)
	if rig.Brake2.Exists() {
		p.brake2 = newSecondBrake(&p.rig)
		p.second = p.brake2
	}
	millimetres := metresPerRad(&rig) * 1000
	p.state.AngleRad = rig.Load.StartMM / millimetres
	p.state.SpeedRadS = rig.Load.StartSpeedMMS / millimetres
	p.Reload() // a load that is severed from the start falls from its start position
	if p.partner != nil {
		p.partner.state.AngleRad, p.partner.state.SpeedRadS = p.state.AngleRad, p.state.SpeedRadS
	}
	p.sensor = newSensors(seed, rig.Encoder.Scale)
	p.startDrive()
	return p
}

// startDrive starts with the drive on and carrying the load, at rest or in steady motion, its
// commutation correct.
func (p *Plant) startDrive() {
	p.state.LoadTorqueNM = p.k.weight.torque(p.state.AngleRad)
	p.state.CurrentRMSA = clamp(p.glide()-p.state.LoadTorqueNM, p.drive.limit) / p.drive.constant
	p.state.MotorTorqueNM = p.state.CurrentRMSA * p.c.torqueConstant
	p.loop.start(&p.rig, p.state.CurrentRMSA)
	p.sensor.amps = p.loop.measured(p.state.CurrentRMSA)
	p.heat.start(p.sensor.amps)
	p.angle.start(p)
	p.drive.start(p)
}

// glide is that of the shaft, with a coupled partner that it draws along.
func (p *Plant) glide() float64 {
	torque := p.shaft.glide()
	if q := p.partner; q != nil && p.state.SpeedRadS != 0 {
		drag := q.glide()
		q.state.AngleRad -= q.coupling.deflectionOf(drag)
		p.state.CouplingNM, q.state.CouplingNM = drag, drag
		torque += drag
	}
	return torque
}

// Step latches the command and integrates over one tick.
func (p *Plant) Step(c Command) { p.StepBy(&c) }

// StepBy is Step without copying the command, which it only reads.
func (p *Plant) StepBy(c *Command) {
	p.brake.command(&p.state.BrakeState, c.CloseBrake)
	if p.heat.perAmp != 0 {
		p.heat.step(p.loop.measured(p.state.CurrentRMSA))
	}
	p.drive.step(p, c)
	switch motor := p.stepCurrent(); {
	case !p.simple:
		p.advanceAll(c, motor)
	case !p.advanceSteady(motor):
		p.advanceAny(motor)
	}
}

// advanceAll integrates an axis with a second brake, a partner or a severed transmission over one tick.
func (p *Plant) advanceAll(c *Command, motor float64) {
	if b := p.brake2; b != nil {
		b.command(&b.state, c.CloseBrake2)
	}
	if p.partner == nil {
		p.advance(motor)
	} else {
		p.stepPartner(c, motor)
	}
	if p.free.severed {
		p.fallFree()
	}
}

func (p *Plant) stepPartner(c *Command, motor float64) {
	q := p.partner
	q.command(&p.rig.Partner, c)
	q.switchCoupling(&p.state)
	if q.engaged {
		q.advancePair(&p.shaft, motor)
		return
	}
	p.state.CouplingNM, q.state.CouplingNM = 0, 0
	p.advance(motor)
	q.advance(q.driveTorque())
}

// Clone returns an independent copy of the plant in its present state.
func (p *Plant) Clone() *Plant {
	c := *p
	if p.partner != nil {
		q := *p.partner
		c.partner = &q
	}
	p.cloneSecond(&c)
	return &c
}

// Rig returns the values of the rig; call [Plant.Reload] after a change.
func (p *Plant) Rig() *Rig { return &p.rig }

// State returns the truth of the axis.
func (p *Plant) State() *State { return &p.state }

// PartnerState returns the truth of the partner, nil without one.
func (p *Plant) PartnerState() *State {
	if p.partner == nil {
		return nil
	}
	return &p.partner.state
}

// LoadMM is the true position of the load in mm; of an arm along the arc of its
// centre of mass.
func (p *Plant) LoadMM() float64 {
	if p.free.severed {
		return p.free.angle * p.c.millimetres
	}
	return p.state.AngleRad * p.c.millimetres
}

// SetpointMM is where the drive's profile is in mm.
func (p *Plant) SetpointMM() float64 { return p.drive.setpoint * p.c.millimetres }

// DemandNM is the torque setpoint of the drive's current loop, in N·m.
func (p *Plant) DemandNM() float64 { return p.drive.commandRMSA * p.drive.constant }

// Profiling reports whether the motion profile of the drive is active: a move, or the
// deceleration after a move was aborted.
func (p *Plant) Profiling() bool {
	return p.drive.mode != Off && p.drive.mode != Press && p.drive.setSpeed != 0
}

// BrakeAtRest reports whether engagement and slip of the brake have not changed since the tick before; false if
// that is not known. It is not about a second brake.
func (p *Plant) BrakeAtRest() bool { return p.brake.rest != notAtRest }

// Travelling reports whether the drive moves to a target.
func (p *Plant) Travelling() bool { return p.drive.mode == Move && p.drive.setSpeed != 0 }

// DriveMode is the present mode of the drive; Off while it has no torque.
func (p *Plant) DriveMode() Mode { return p.drive.mode }

// StaticCapacityNM is the torque that the axis's brake holds after a close command, in its
// present condition: its static capacity, or less if it creeps, see test.hold_time of a rig.
func (p *Plant) StaticCapacityNM() float64 {
	return p.brake.staticCapacity(&p.state.BrakeState)
}

// RequiredTestNM is the factor times the maximum static load torque over the travel, with the
// payload in operation for which it is greatest.
func (p *Plant) RequiredTestNM() float64 { return p.rig.Test.Factor * p.c.worstLoadNM }

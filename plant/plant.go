package plant

// Mode is what the drive is told to do.
type Mode uint8

// The modes of the drive.
const (
	Off   Mode = iota // no torque
	Hold              // stay where it is
	Move              // travel to a target with a trapezoid profile
	Press             // torque mode, ramped
)

// Command is what the controllers send in one tick.
type Command struct {
	Mode          Mode
	TargetMM      float64
	SpeedMMS      float64 // of a move; 0 is the drive's own
	PressTorqueNM float64
	PressRateNMS  float64 // 0 is a step
	TorqueLimitNM float64 // 0 is the drive's own
	CloseBrake    bool
	Decouple      bool // separate the partner
}

// Reading is what the sensors and the drive report in one tick.
type Reading struct {
	PositionMM   float64 // by the drive, turns counted
	PositionDeg  float64 // of an arm: how high it points
	SingleTurn   int64   // encoder increments, 0 up to a full turn
	PositionLost bool
	SpeedMMS     float64
	CurrentRMSA  float64
	TorqueNM     float64 // current times the torque constant that the drive knows
	DriveReady   bool
	DriveOn      bool
	DriveFault   bool
	Standstill   bool
	InPosition   bool
	BrakeClosed  bool // by the switch on the brake
	Coupled      bool // by the switch on the partner's coupling
}

// State is the truth of a shaft, in SI units.
type State struct {
	AngleRad           float64 // zero where the travel is zero
	SpeedRadS          float64
	CurrentRMSA        float64
	Engagement         float64
	MotorTorqueNM      float64 // mean of the last tick, as are the torques below
	BrakeTorqueNM      float64 // as it acts on the shaft: against the slip
	GuideTorqueNM      float64
	StopTorqueNM       float64
	LoadTorqueNM       float64
	CouplingNM         float64 // that the axis puts into its partner
	CapacityNM         float64 // of the brake at its present engagement
	SlipRad            float64 // path that the closed brake has slipped
	SlipWorkJ          float64
	BrakeTempC         float64
	BrakeGapMM         float64
	BrakeGlaze         float64
	BrakeFactor        float64 // what is left of the rated capacity
	BrakeDeflectionRad float64
	GuideDeflectionRad float64

	brakeSlipRadS  float64
	guideSlipRadS  float64
	accelerationRS float64
}

// Plant is one axis. The zero value is not usable; call [New].
type Plant struct {
	shaft
	rig     Rig
	c       conversions
	drive   drive
	sensor  sensors
	free    freeLoad
	partner *partner // nil without one
}

// New returns the plant of a rig that [Validate] accepts, at rest at its start with
// the brake open and the drive holding. The seed sets the noise of its sensors.
func New(rig Rig, seed uint64) *Plant {
	p := &Plant{rig: rig}
	if rig.Partner.InertiaKGM2 > 0 {
		p.partner = newPartner(&p.rig)
	}
	p.openBrake(&rig.Brake)
	millimetres := metresPerRad(&rig) * 1000
	p.state.AngleRad = rig.Load.StartMM / millimetres
	p.state.SpeedRadS = rig.Load.StartSpeedMMS / millimetres
	p.Reload() // a load that is severed from the start falls from there
	if p.partner != nil {
		p.partner.state.AngleRad, p.partner.state.SpeedRadS = p.state.AngleRad, p.state.SpeedRadS
	}
	p.sensor = newSensors(seed, rig.Encoder.Scale)
	p.startDrive()
	return p
}

// openBrake gives a shaft an open brake as the rig describes it.
func (s *shaft) openBrake(b *Brake) {
	s.brake.from = b.OpensTo
	s.state.Engagement = b.OpensTo
	s.state.BrakeTempC = b.AmbientC
	s.state.BrakeGapMM, s.state.BrakeGlaze = b.GapMM, b.Glaze
}

// startDrive starts the drive on, carrying the load.
func (p *Plant) startDrive() {
	p.state.LoadTorqueNM = p.k.weight.torque(p.state.AngleRad)
	p.drive.start(p)
	p.state.CurrentRMSA = p.drive.commandRMSA
	p.state.MotorTorqueNM = p.state.CurrentRMSA * p.c.torqueConstant
}

// Step latches the command and integrates over one tick.
func (p *Plant) Step(c Command) { p.StepBy(&c) }

// StepBy is Step without a copy of the command, which it only reads.
func (p *Plant) StepBy(c *Command) {
	p.command(c.CloseBrake)
	p.drive.step(p, c)
	motor := p.stepCurrent()
	if p.partner == nil {
		p.advance(motor)
	} else {
		p.stepPartner(c, motor)
	}
	if p.free.severed {
		p.free.fall(p.k.tick, p.rig.Stops.LowMM/p.c.millimetres, p.rig.Stops.HighMM/p.c.millimetres)
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

// stepCurrent solves di/dt = (i_cmd − i)/τ_i over the tick and returns the motor's
// mean torque, τ_m = k_t i, in N·m.
func (p *Plant) stepCurrent() float64 {
	gap := p.state.CurrentRMSA - p.drive.commandRMSA
	p.state.CurrentRMSA = p.drive.commandRMSA + float64(gap*p.c.currentDecay)
	mean := p.drive.commandRMSA + float64(gap*p.c.currentMean)
	p.state.MotorTorqueNM = mean * p.c.torqueConstant
	return p.state.MotorTorqueNM
}

// Clone returns a plant that goes on from the present state on its own.
func (p *Plant) Clone() *Plant {
	c := *p
	if p.partner != nil {
		q := *p.partner
		c.partner = &q
	}
	return &c
}

// Rig gives access to the rig's values; call [Plant.Reload] after a change.
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

// DemandNM is the motor torque that the drive asks of its current loop, in N·m.
func (p *Plant) DemandNM() float64 { return p.drive.commandRMSA * p.drive.constant }

// Profiling is whether the drive's profile is on its way: a move, or the ramp down that
// follows when a move is cut short.
func (p *Plant) Profiling() bool {
	return p.drive.mode != Off && p.drive.mode != Press && p.drive.setSpeed != 0
}

// Travelling is whether the drive moves to a target.
func (p *Plant) Travelling() bool { return p.drive.mode == Move && p.drive.setSpeed != 0 }

// DriveMode is the mode that the drive is in; Off while it has no torque.
func (p *Plant) DriveMode() Mode { return p.drive.mode }

// StaticCapacityNM is what the brake of the axis alone holds at rest when told to
// close, with its present condition.
func (p *Plant) StaticCapacityNM() float64 {
	return p.k.brakeCurve.static * p.state.BrakeFactor * p.k.times.closesTo
}

// RequiredTestNM is the factor times the worst static load torque of the travel.
func (p *Plant) RequiredTestNM() float64 { return p.rig.Test.Factor * p.c.maximumLoadNM }

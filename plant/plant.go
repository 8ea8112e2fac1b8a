package plant

import "math"

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
}

// Reading is what the sensors and the drive report in one tick.
type Reading struct {
	PositionMM   float64 // by the drive, turns counted
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
}

// State is the truth of the shaft, in SI units.
type State struct {
	AngleRad       float64 // zero where the travel is zero
	SpeedRadS      float64
	CurrentRMSA    float64
	Engagement     float64
	MotorTorqueNM  float64 // mean of the last tick, as are the torques below
	BrakeTorqueNM  float64 // as it acts on the shaft: against the slip
	GuideTorqueNM  float64
	StopTorqueNM   float64
	LoadTorqueNM   float64
	CapacityNM     float64 // of the brake at its present engagement
	SlipRad        float64 // path that the closed brake has slipped
	SlipWorkJ      float64
	BrakeTempC     float64
	BrakeGiveRad   float64
	GuideGiveRad   float64
	brakeSlipRadS  float64
	guideSlipRadS  float64
	accelerationRS float64
}

// Plant is one axis. The zero value is not usable; call [New].
type Plant struct {
	rig    Rig
	k      constants
	state  State
	brake  armature
	drive  drive
	sensor sensors
}

// constants are what a tick needs of the rig, computed once.
type constants struct {
	tick                               float64
	inertia, gravity, viscous          float64
	guide, shoe                        slider
	guideStatic, guideSliding          float64
	guideStribeck                      float64
	brakeStatic, brakeSliding          float64
	brakeStribeck                      float64
	stopLow, stopHigh                  float64 // rad
	stopStiffness, stopDamping         float64
	heatPath, heatDecay                float64
	torqueConstant                     float64 // true, N·m per A rms
	currentDecay, currentMean          float64
	millimetres                        float64 // per rad
	encoderStep, encoderTurn, encoder0 float64
}

// New returns the plant of a rig that [Validate] accepts, at rest at its start with
// the brake open and the drive holding. The seed sets the noise of its sensors.
func New(rig Rig, seed uint64) *Plant {
	p := &Plant{rig: rig}
	p.Reload()
	p.state.AngleRad = rig.Load.StartMM / p.k.millimetres
	p.state.SpeedRadS = rig.Load.StartSpeedMMS / p.k.millimetres
	p.state.Engagement = rig.Brake.OpensTo
	p.brake.from = rig.Brake.OpensTo
	p.state.BrakeTempC = rig.Brake.AmbientC
	p.sensor = newSensors(seed)
	p.settle()
	return p
}

// settle starts the drive on, carrying the load.
func (p *Plant) settle() {
	p.drive.start(p)
	p.state.CurrentRMSA = p.drive.commandRMSA
	p.state.MotorTorqueNM = p.state.CurrentRMSA * p.k.torqueConstant
	p.state.LoadTorqueNM = p.k.gravity
}

// Clone returns a plant that goes on from the present state on its own.
func (p *Plant) Clone() *Plant {
	c := *p
	c.sensor = p.sensor.clone()
	return &c
}

// Rig gives access to the rig's values; call [Plant.Reload] after a change.
func (p *Plant) Rig() *Rig { return &p.rig }

// State returns the truth.
func (p *Plant) State() *State { return &p.state }

// LoadMM is the true position of the load in mm.
func (p *Plant) LoadMM() float64 { return p.state.AngleRad * p.k.millimetres }

// SetpointMM is where the drive's profile is in mm, and whether it is travelling.
func (p *Plant) SetpointMM() (position float64, travelling bool) {
	return p.drive.setpoint * p.k.millimetres, p.drive.mode == Move && p.drive.setSpeed != 0
}

// DriveMode is the mode that the drive is in; Off while it has no torque.
func (p *Plant) DriveMode() Mode { return p.drive.mode }

// StaticCapacityNM is what the brake holds at rest when told to close, with its
// present condition.
func (p *Plant) StaticCapacityNM() float64 {
	return p.k.brakeStatic * p.rig.Brake.Condition * p.rig.Brake.ClosesTo
}

// RequiredTestNM is the factor times the worst static load torque.
func (p *Plant) RequiredTestNM() float64 {
	return p.rig.Test.Factor * math.Abs(p.k.gravity)
}

// Reload computes the constants anew after a change of the rig's values.
func (p *Plant) Reload() {
	r := &p.rig
	d := Derive(r)
	k := &p.k
	k.tick = r.Clock.Tick.Seconds()
	k.inertia, k.gravity, k.viscous = d.InertiaKGM2, gravityTorque(r), r.Guide.ViscousNMS
	k.millimetres = d.MMPerRad
	k.guide = slider{stiffness: max(d.GuideStiffness, 1e-9), damping: max(d.GuideDamping, 1e-9)}
	k.guideStatic, k.guideSliding = d.GuideBreakawayNM, d.GuideSlidingNM
	k.guideStribeck = radS(r.Guide.StribeckRPM)
	k.shoe = slider{stiffness: d.BrakeStiffness, damping: d.BrakeDamping, halfPlay: rad(r.Brake.PlayDeg) / 2}
	k.brakeStatic, k.brakeSliding = r.Brake.StaticNM, r.Brake.SlidingNM
	if k.brakeSliding == 0 {
		k.brakeSliding = k.brakeStatic
	}
	k.brakeStribeck = radS(r.Brake.StribeckRPM)
	k.stopLow, k.stopHigh = r.Stops.LowMM/d.MMPerRad, r.Stops.HighMM/d.MMPerRad
	k.stopStiffness, k.stopDamping = d.StopStiffness, d.StopDamping
	k.heatPath = r.Brake.HeatPath
	k.heatDecay = math.Exp(-k.tick / (r.Brake.HeatPath * r.Brake.HeatCapacity))
	k.torqueConstant = r.Motor.TorqueConstant * r.Motor.MagnetCondition
	k.reloadCurrent(r)
	k.reloadEncoder(r)
	p.drive.reload(r, &d)
}

// reloadCurrent prepares the exact solution of the current loop over one tick.
func (k *constants) reloadCurrent(r *Rig) {
	x := k.tick / r.Drive.CurrentLag.Seconds()
	k.currentDecay = math.Exp(-x)
	k.currentMean = (1 - k.currentDecay) / x
}

func (k *constants) reloadEncoder(r *Rig) {
	k.encoderTurn = r.Encoder.IncrementsPerTurn
	k.encoderStep = 2 * math.Pi / k.encoderTurn
	k.encoder0 = rad(r.Encoder.OffsetDeg)
}

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }

func radS(rpm float64) float64 { return rpm * 2 * math.Pi / 60 }

package sequence

import "time"

// Inputs is the image of the inputs of one functional scan.
//
// Torque and current are signed: positive raises the load.
type Inputs struct {
	Trigger bool // start the test
	Cancel  bool // abort the test in an orderly way
	Estop   bool // emergency stop is asked for
	Reset   bool // the reset button of the safety side is pressed

	Acknowledge bool // the button that acknowledges a failure of the judge is pressed
	GuardClosed bool // closed and locked
	SetupMode   bool // the mode switch is at setup
	Access      bool // a person asks to have the guard unlocked

	DriveReady bool
	DriveOn    bool
	DriveFault bool

	PositionMM  float64 // mm
	PositionDeg float64 // deg, on an arm
	Speed       float64 // mm/s
	TorqueNM    float64 // N·m at the motor shaft
	CurrentRMSA float64 // A rms, torque-forming

	Standstill     bool
	InPosition     bool
	BrakeClosed    bool // feedback
	Brake2Closed   bool // of the second brake; false without one
	PartnerCoupled bool

	JudgeBusy   bool
	Proof       bool
	JudgeFailed bool
	JudgeCause  string  // one of JudgeCauses
	ProofLeftS  float64 // s
	ProofDue    bool    // the proof has lapsed, or lapses within the warning time
	Tested      string  // one of TestedWords: what the newest test of the closed brake has passed
	TestCount   float64 // verdicts of the judge so far, also before a loss of power
	// What the proof of each brake has left; the proof as a whole is the shorter of the two.
	Brake1ProofLeftS float64 // s
	Brake2ProofLeftS float64 // s; 0 without a second brake

	SafeStop    bool   // the safety side overrides drive and brake
	ResetNeeded bool   // the demand of its stop is gone, and a reset ends it
	StopCause   string // one of StopCauses: what demanded the stop first
	// the safety side withholds operation, whatever the sequence releases
	OperationInhibited bool

	InStateS float64 // s; the machine fills it in, whatever the caller wrote
	ScanS    float64 // s, between two scans; the machine fills it in as well

	// Clock is the time of the scan by the controller's own clock, from the start of the run. It is
	// no signal. Left at 0, scans come at their scan time.
	Clock time.Duration

	kept   memory  // the machine fills it in as well
	before *Inputs // of the scan before, while a scan runs; nil: there is none
}

// scanBefore is the image of the scan before, or this one if there was none.
func (in *Inputs) scanBefore() *Inputs {
	if in.before == nil {
		return in
	}
	return in.before
}

// maxKept is how many values of each kind a sequence can keep.
const maxKept = 16

// memory holds the values that states keep, numbers and booleans by their place. It is a
// value, so that a copy of an image or of a machine has its own.
type memory struct {
	numbers  [maxKept]float64
	booleans [maxKept]bool
}

// ForgetKept empties the memory, as a controller without power does.
func (in *Inputs) ForgetKept() { in.kept = memory{} }

// Outputs is the image of the outputs of one functional scan.
type Outputs struct {
	Drive            DriveMode
	TargetMM         float64 // mm
	TargetDeg        float64 // deg, on an arm
	PressTorqueNM    float64 // N·m, signed
	PressRateNMS     float64 // N·m/s
	TorqueLimitNM    float64 // N·m; 0 is the drive's own limit
	MoveSpeed        float64 // mm/s; 0 is the drive's own speed
	RequiredCurrentA float64 // A amplitude, signed by direction
	Brake            BrakeCommand
	Brake2           SecondBrakeCommand // as brake, until a state sets it
	Decouple         bool
	Ask              Ask
	Operation        Operation
	Alarm            string
}

// DefaultOutputs is what every run starts from: the drive holds, the brake is
// open, operation is allowed, everything else is off.
func DefaultOutputs() Outputs { return Outputs{Drive: DriveHold} }

// PowerUpOutputs are the outputs of a controller after a loss of power: the
// drive is off, the brake closed, operation inhibited, everything else off.
func PowerUpOutputs() Outputs {
	return Outputs{Drive: DriveOff, Brake: BrakeClosed, Operation: OperationInhibited}
}

package safety

// Inputs is the image of what the safety side reads in one of its scans.
type Inputs struct {
	Request
	Readings
}

// Readings is what the safety side reads from sensors, without the functional side.
type Readings struct {
	Estop        bool // the emergency stop is pressed
	Reset        bool // the reset button is pressed
	Acknowledge  bool // the button that acknowledges a failure is pressed
	GuardClosed  bool // and locked; true without a guard
	SetupMode    bool
	Access       bool // a person asks to have the guard unlocked
	BrakeClosed  bool
	Brake2Closed bool
	SingleTurn   int64 // increments
	PositionLost bool
	CurrentAmpA  float64 // amplitude, A
	SpeedMMS     float64 // mm/s
	Standstill   bool
}

// Status is what the safety side tells the functional side over the link. Its zero value, which the
// functional side reads of a link that is down, is no proof.
type Status struct {
	Verdict
	SafeStop    bool // a stop function acts on drive and brakes
	ResetNeeded bool // its demand is gone, and a reset ends it
	StopCause   StopCause
	// Operation is withheld, whatever the sequence releases: see [operation].
	OperationInhibited bool
}

// Outputs is the image of what the safety side commands, and what it tells the functional side.
type Outputs struct {
	Status
	SS1 bool // the drive brings the axis to rest and holds it there
	SBC bool // every brake is closed
	STO bool // the drive has no torque
	// The guard locking is released.
	GuardUnlocked bool
}

// Stop is the stop function that acts on the drive as people write it; empty if none does.
func (o *Outputs) Stop() string {
	switch {
	case o.STO:
		return "STO"
	case o.SS1:
		return "SS1"
	}
	return ""
}

// Events is the set of what happened in a scan.
type Events uint16

// The events, in the order in which they can happen within one scan.
const (
	ProofBecameDue Events = 1 << iota // its warning time has begun
	ProofLapsed
	Acknowledged // a failure
	AskDropped   // before the check was over
	AskRose
	AskRefused // a failure stands
	PositionLatched
	DirectionPassed // another one is still required for a proof
	ProofGiven
	CheckFailed
	StopBegan
	StopReset
	OperationWithheld
	OperationReturned
	AccessGranted
	AccessRefused
)

// The causes of a failed check, as the output judge_cause carries them.
const (
	CauseNone         = ""
	CauseBrakeOpen    = "brake-open"
	CauseBothClosed   = "both-closed"
	CauseMoved        = "moved"
	CauseNoTorque     = "no-torque"
	CauseNoDwell      = "no-dwell"
	CauseOverTorque   = "over-torque"
	CausePositionLost = "position-lost"
)

// Causes lists every word that judge_cause may carry.
func Causes() []string {
	return []string{
		CauseNone, CauseBrakeOpen, CauseBothClosed, CauseMoved, CauseNoTorque,
		CauseNoDwell, CauseOverTorque, CausePositionLost,
	}
}

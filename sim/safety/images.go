package safety

// Inputs is the image of what the safety side reads in one of its scans.
type Inputs struct {
	Request
	Readings
}

// Readings is what the safety side reads from sensors, without the functional side.
type Readings struct {
	BrakeClosed  bool
	Brake2Closed bool
	SingleTurn   int64 // increments
	PositionLost bool
	CurrentAmpA  float64 // amplitude, A
}

// Outputs is the image of what the safety side commands, and what it tells the functional side.
type Outputs struct {
	Verdict
	SS1 bool // the drive holds the axis at rest
	SBC bool // every brake is closed
	STO bool // the drive has no torque
}

// Stopped is whether a stop function overrides the commands of the functional side.
func (o *Outputs) Stopped() bool { return o.SS1 || o.STO }

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
type Events uint8

// The events, in the order in which they can happen within one scan.
const (
	ProofLapsed Events = 1 << iota
	AskDropped         // before the check was over
	AskRose
	PositionLatched
	ProofGiven
	CheckFailed
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

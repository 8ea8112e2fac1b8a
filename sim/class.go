package sim

// Class is a run compared with the truth.
type Class string

// The classes.
const (
	SoundPass  Class = "sound-pass"  // proof given, brake torque sufficient, load held
	Missed     Class = "missed"      // proof given, brake torque insufficient or load not held
	Caught     Class = "caught"      // no proof, brake torque insufficient
	Refused    Class = "refused"     // no proof, brake torque sufficient, another fault active
	FalseAlarm Class = "false-alarm" // no proof, brake torque sufficient, no fault active
)

// Classes lists every class, the dangerous one first.
func Classes() []Class { return []Class{Missed, Caught, Refused, FalseAlarm, SoundPass} }

// facts are the four facts that a class rests on.
type facts struct {
	proven           bool // the judge's last verdict of this run is a proof
	torqueSufficient bool // static capacity is at least the required test torque
	loadHeld         bool // the load never dropped more than the limit
	disturbed        bool // a fault was active, or the operator ended the run
}

func (f facts) class() Class {
	switch {
	case f.proven && f.torqueSufficient && f.loadHeld:
		return SoundPass
	case f.proven:
		return Missed
	case !f.torqueSufficient:
		return Caught
	case f.disturbed:
		return Refused
	}
	return FalseAlarm
}

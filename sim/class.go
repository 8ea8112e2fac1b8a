package sim

import "holdbench/sequence"

// Class is a run compared with the truth: the whole run, from its start to its end.
type Class string

// The classes.
const (
	SoundPass  Class = "sound-pass"  // released on a proof of this run, torque sufficient, load held
	Missed     Class = "missed"      // released, torque insufficient or load not held
	Caught     Class = "caught"      // not released, torque insufficient
	Refused    Class = "refused"     // not released, torque sufficient, another fault active, or the load not held
	FalseAlarm Class = "false-alarm" // not released, torque sufficient, no fault active, load held
)

// Classes lists every class, the dangerous one first.
func Classes() []Class { return []Class{Missed, Caught, Refused, FalseAlarm, SoundPass} }

// facts are what a class rests on. Torque is sufficient if it is so at the verdict and at the end
// of the run, as a brake can lose it in between.
type facts struct {
	released         bool // operation is released, or the sequence ended in a pass
	proven           bool // the judge's last verdict of this run is a proof
	passed           bool // the sequence ended in a pass, whatever the judge said, and the safety side withholds nothing
	torqueSufficient bool // static capacity is at least the required test torque
	loadHeld         bool // from the start of the run to its end
	disturbed        bool // a fault was active, or the operator ended the run
}

// class joins the facts. A pass without a proof of this run, for a brake with insufficient torque or
// after the load was not held, is the worst of both: nothing has caught the fault. A load that was not
// held is itself a fault, of the controller or of the rig's values where there is no other.
func (f facts) class() Class {
	onProof := f.released && f.proven
	sound := f.torqueSufficient && f.loadHeld
	switch {
	case onProof && sound:
		return SoundPass
	case onProof, f.passed && !sound:
		return Missed
	case !f.torqueSufficient:
		return Caught
	case f.disturbed, !f.loadHeld:
		return Refused
	}
	return FalseAlarm
}

// right is whether a verdict agrees with the truth of its moment: a proof with the torque of each
// brake, a failure with insufficient torque or with another fault, which leaves nothing to prove.
func right(verdict string, torqueSufficient, disturbed bool) bool {
	if verdict == proven {
		return torqueSufficient
	}
	return !torqueSufficient || disturbed
}

// torques are the static capacities of the brakes and the required test torque at one moment, in
// N·m at the motor shaft.
type torques struct {
	first, second float64 // second is 0 without a second brake
	two           bool    // there is a second brake
	required      float64
}

// sufficient is whether each brake alone holds the required torque.
func (t *torques) sufficient() bool {
	return t.first >= t.required && (!t.two || t.second >= t.required)
}

// torquesNow are the torques of the present moment.
func (b *Bench) torquesNow() torques {
	return torques{b.plant.StaticCapacityNM(), b.plant.StaticCapacity2NM(), b.plant.Brake2State() != nil, b.plant.RequiredTestNM()}
}

// torquesAtVerdict are those of the judge's last verdict; of the end if there was none.
func (b *Bench) torquesAtVerdict() torques {
	return torques{b.capacityNM, b.capacity2NM, b.plant.Brake2State() != nil, b.requiredNM}
}

// disturbedAtVerdict is whether a fault or the operator had disturbed the run when the judge gave
// its last verdict.
func (b *Bench) disturbedAtVerdict() bool {
	disturbed, before := false, false
	for i := range b.events {
		switch e := &b.events[i]; e.Type {
		case EventFaultBegan:
			before = true
		case EventButtonOn:
			before = before || e.Subject != buttonTrigger
		case EventProven, EventFailed:
			disturbed = before
		}
	}
	return disturbed && b.disturbed
}

// operates is whether the machine may be operated: the sequence releases it, and the safety side does not
// withhold it.
func (b *Bench) operates() bool {
	return b.out.Operation == sequence.OperationAllowed && !b.safety.Out().OperationInhibited
}

// assess sets what compares a run with the truth.
func (r *Result) assess(b *Bench) {
	verdict, end := b.torquesAtVerdict(), b.torquesNow()
	r.RequiredTorqueNM, r.BrakeCapacityNM = verdict.required, verdict.first
	r.RequiredAtEndNM, r.BrakeCapacityAtEndNM = end.required, end.first
	if end.two {
		r.Brake2CapacityNM, r.Brake2CapacityAtEndNM = &verdict.second, &end.second
	}
	r.Withheld = b.safety.Out().OperationInhibited
	passed := b.end() == sequence.EndPass && !r.Withheld
	r.Released = passed || b.operates()
	r.Operation = sequence.OperationInhibited.String()
	if b.operates() {
		r.Operation = sequence.OperationAllowed.String()
	}
	r.LoadHeld = r.Obligations[noDrop].Kept && !b.loadLost()
	r.DropCommanded = b.monitors.letGo.fell
	if r.Verdict != none {
		agrees := right(r.Verdict, verdict.sufficient(), b.disturbedAtVerdict())
		r.VerdictRight = &agrees
	}
	r.Class = facts{
		released: r.Released, proven: r.Verdict == proven, passed: passed,
		torqueSufficient: verdict.sufficient() && end.sufficient(),
		loadHeld:         r.LoadHeld, disturbed: b.disturbed,
	}.class()
}

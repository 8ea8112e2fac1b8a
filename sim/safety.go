package sim

import (
	"time"

	"holdbench/sim/safety"
)

// safetyScan is one scan of the safety side, and records what happened in it.
func (b *Bench) safetyScan() {
	b.safety.Scan(b.outgoing(), b.safetyReadings(&b.reading))
	b.recordJudge()
}

// setProof gives the judge a proof, or takes its proof away. At the start of a run both sides
// have read it already; a judge without power keeps none.
func (b *Bench) setProof(left time.Duration) {
	if b.unpowered {
		return
	}
	b.safety.SetProof(left, b.tick == 0)
}

// recordJudge records what happened in the judge's last scan.
func (b *Bench) recordJudge() {
	v, events := b.safety.Out(), b.safety.Events()
	if events == 0 {
		return
	}
	if events&safety.StopBegan != 0 {
		b.record(EventStopBegan, "safe stop: "+b.stopCause())
	}
	if events&safety.StopReset != 0 {
		b.record(EventStopReset, "safe stop reset")
	}
	if events&safety.ProofLapsed != 0 {
		b.record(EventProofLapsed, "proof lapsed")
	}
	if events&(safety.AskDropped|safety.ProofGiven|safety.CheckFailed) != 0 {
		b.checkedTick = b.tick
	}
	if events&safety.AskDropped != 0 {
		b.record(EventAskDropped, "ask dropped, no verdict")
	}
	if events&safety.AskRose != 0 {
		b.record(EventAsked, "asked")
	}
	if events&safety.PositionLatched != 0 {
		b.latchTick = b.tick
		b.record(EventTorqueReached, "torque reached, position latched")
	}
	if events&safety.ProofGiven != 0 {
		b.monitors.proofTick = b.tick
		b.recordVerdict(proven)
		b.record(EventProven, b.ofBrakes(b.safety.Tested())+"proven for "+shortDuration(b.plant.Rig().Judge.Interval))
	}
	if events&safety.CheckFailed != 0 {
		b.recordVerdict(failed)
		b.recordOf(EventFailed, b.ofBrakes(b.safety.Tested())+"failed: "+v.Cause, "", v.Cause)
	}
}

// stopCause is what demands a stop.
func (b *Bench) stopCause() string {
	if b.safety.In().Estop {
		return "emergency stop"
	}
	return b.safety.Out().Cause
}

// recordVerdict keeps a verdict and what the brakes are capable of at that moment. Of two brakes
// the run is proven once each of them is, and has failed while one of them has.
func (b *Bench) recordVerdict(verdict string) {
	if verdict == proven {
		b.proven, b.failed = b.proven|b.safety.Tested(), b.failed&^b.safety.Tested()
	} else {
		b.proven, b.failed = b.proven&^b.safety.Failing(), b.failed|b.safety.Failing()
	}
	switch {
	case b.failed != 0:
		b.lastVerdict = failed
	case b.proven == b.safety.Brakes():
		b.lastVerdict = proven
	default:
		b.lastVerdict = none
	}
	b.recordCapacity()
}

// loseProofs takes away what the judge has proven in this run.
func (b *Bench) loseProofs() {
	b.proven = 0
	if b.lastVerdict == proven {
		b.lastVerdict = none
	}
}

// ofBrakes is which of two brakes an event is of, empty with one brake.
func (b *Bench) ofBrakes(set safety.Brakes) string {
	if b.safety.Brakes() == safety.FirstBrake || set == 0 {
		return ""
	}
	return set.Name(b.safety.Brakes()) + ": "
}

// recordCapacity keeps the true capacity of the brakes and the required test torque.
func (b *Bench) recordCapacity() {
	b.capacityNM, b.requiredNM = b.plant.StaticCapacityNM(), b.plant.RequiredTestNM()
	b.capacity2NM, b.rigAtVerdict = b.plant.StaticCapacity2NM(), b.plant.RigNow()
}

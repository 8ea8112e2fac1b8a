package sim

import (
	"fmt"
	"time"

	"holdbench/plant/problem"
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

// recordJudge records what happened in the last scan of the safety side.
func (b *Bench) recordJudge() {
	events := b.safety.Events()
	if events == 0 {
		return
	}
	b.recordStops(events)
	b.recordProof(events)
	b.recordCheck(events)
	b.recordOperation(events)
}

// recordStops records stops and what they are demanded by.
func (b *Bench) recordStops(events safety.Events) {
	if events&safety.AccessGranted != 0 {
		b.record(EventAccess, "access granted: the guard is unlocked at standstill, outside setup mode once the torque is off")
	}
	if events&safety.AccessRefused != 0 {
		b.record(EventAccess, "access refused: "+b.accessRefused())
	}
	if events&safety.StopBegan != 0 {
		b.recordOf(EventStopBegan, "safe stop: "+b.stopText(), "", b.safety.Out().StopCause.String())
	}
	if events&safety.StopReset != 0 {
		b.record(EventStopReset, "safe stop reset")
	}
}

func (b *Bench) accessRefused() string {
	switch {
	case !b.safety.Out().Proof:
		return "no valid proof"
	case !b.safety.In().Released:
		return "operation is not released, during a test or after a failure"
	}
	return "a test is running"
}

// recordProof records what becomes of proof and failure without a check.
func (b *Bench) recordProof(events safety.Events) {
	if events&safety.ProofBecameDue != 0 {
		b.record(EventProofDue, "proof due: lapses in "+problem.Time(b.safety.Out().ProofLeft.Round(time.Second)))
	}
	if events&safety.ProofLapsed != 0 {
		b.record(EventProofLapsed, "proof lapsed")
	}
	if events&safety.Acknowledged != 0 {
		b.record(EventAcknowledged, "failure acknowledged")
	}
}

// recordCheck records beginning and end of a check.
func (b *Bench) recordCheck(events safety.Events) {
	v := b.safety.Out()
	if events&(safety.AskDropped|safety.DirectionPassed|safety.ProofGiven|safety.CheckFailed) != 0 {
		b.checkedTick = b.tick
	}
	if events&safety.AskDropped != 0 {
		b.record(EventAskDropped, "ask dropped, no verdict")
	}
	if events&safety.AskRose != 0 {
		b.record(EventAsked, "asked: "+b.safety.In().Ask.String())
	}
	if events&safety.AskRefused != 0 {
		b.record(EventAskRefused, "asked: "+b.safety.In().Ask.String()+", not started: the failure is not acknowledged")
	}
	if events&safety.PositionLatched != 0 {
		b.latchTick = b.tick
		b.record(EventTorqueReached, "torque reached, position latched")
	}
	if events&safety.DirectionPassed != 0 {
		b.record(EventDirectionPassed, b.ofBrakes(b.safety.UnderTest())+v.Tested.String()+" passed")
	}
	if events&safety.ProofGiven != 0 {
		b.monitors.proofTick = b.tick
		b.recordVerdict(proven)
		b.recordVerdictOf(b.safety.Proven(), EventProven, "proven for "+problem.Time(b.plant.Rig().Judge.Interval), "")
	}
	if events&safety.CheckFailed != 0 {
		b.recordVerdict(failed)
		b.recordVerdictOf(b.safety.UnderTest(), EventFailed, "failed: "+v.Cause, v.Cause)
	}
}

// recordVerdictOf adds the event of a verdict on brakes.
func (b *Bench) recordVerdictOf(of safety.Brakes, t EventType, what, cause string) {
	b.recordOf(t, b.ofBrakes(of)+what, "", cause)
	b.events[len(b.events)-1].Brakes = of
}

func (b *Bench) recordOperation(events safety.Events) {
	if events&safety.OperationWithheld != 0 {
		b.record(EventOperationWithheld, "operation withheld"+b.withheldBecause())
	}
	if events&safety.OperationReturned != 0 {
		b.record(EventOperationReturned, "operation no longer withheld")
	}
}

func (b *Bench) withheldBecause() string {
	if b.safety.Out().Failed {
		return "" // the line above says why
	}
	return ": no valid proof"
}

// stopText is what demands a stop, in words.
func (b *Bench) stopText() string {
	switch cause := b.safety.Out().StopCause; cause {
	case safety.StopEmergency:
		return "emergency stop"
	case safety.StopGuard:
		if b.guardOpen {
			return "guard open"
		}
		return "guard unlocked or about to be"
	case safety.StopSetupSpeed:
		return fmt.Sprintf("faster than %g mm/s in setup mode with the guard open", b.plant.Rig().Safety.SetupSpeedMMS)
	case safety.StopCeiling:
		return safety.CauseOverTorque
	case safety.StopLapse:
		return "proof lapsed"
	default:
		return cause.String()
	}
}

// recordVerdict keeps a verdict and what the brakes are capable of at that moment. Of two brakes
// the run is proven once each of them is, and has failed while one of them has.
func (b *Bench) recordVerdict(verdict string) {
	if verdict == proven {
		b.proven, b.failed = b.proven|b.safety.Proven(), b.failed&^b.safety.Proven()
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

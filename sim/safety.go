package sim

import "time"

// safetyScan is one scan of the judge: the request of the functional side comes in over the
// link, the verdict goes out over it.
func (b *Bench) safetyScan() {
	clock := &b.plant.Rig().Clock
	q := b.requests.carry(b.outgoing(), clock.LinkDelayScans, &b.toSafety, clock.SafetyScan, clock.LinkWatchdog)
	q.ask = q.ask || b.toSafety.stuck
	b.judge.step(b.judgeInput(&b.reading, q))
	b.recordJudge()
	b.verdict = b.verdicts.carry(b.judge.verdict, clock.LinkDelayScans, &b.toFunctional, clock.SafetyScan, clock.LinkWatchdog)
	if b.toFunctional.stuck {
		b.verdict = Verdict{}
		b.judge.give(&b.verdict, b.judge.brakes, b.plant.Rig().Judge.Interval)
	}
}

// setProof gives the judge a proof, or takes its proof away. At the start of a run both sides
// have read it already; a judge without power keeps none.
func (b *Bench) setProof(left time.Duration) {
	if b.unpowered {
		return
	}
	b.judge.setProof(left)
	if b.tick == 0 {
		b.verdict = b.judge.verdict
		b.verdicts.fill(b.verdict)
	}
}

// recordJudge records what happened in the judge's last scan.
func (b *Bench) recordJudge() {
	v, events := &b.judge.verdict, b.judge.events
	if events == 0 {
		return
	}
	if events&proofLapsed != 0 {
		b.record(EventProofLapsed, "proof lapsed")
	}
	if events&(askDropped|proofGiven|checkFailed) != 0 {
		b.checkedTick = b.tick
	}
	if events&askDropped != 0 {
		b.record(EventAskDropped, "ask dropped, no verdict")
	}
	if events&askRose != 0 {
		b.record(EventAsked, "asked")
	}
	if events&positionLatched != 0 {
		b.latchTick = b.tick
		b.record(EventTorqueReached, "torque reached, position latched")
	}
	if events&proofGiven != 0 {
		b.monitors.proofTick = b.tick
		b.recordVerdict(proven)
		b.record(EventProven, b.ofBrakes(b.judge.tested)+"proven for "+shortDuration(b.judge.data.Interval))
	}
	if events&checkFailed != 0 {
		b.recordVerdict(failed)
		b.recordOf(EventFailed, b.ofBrakes(b.judge.tested)+"failed: "+v.Cause, "", v.Cause)
	}
}

// recordVerdict keeps a verdict and what the brakes are capable of at that moment. Of two brakes
// the run is proven once each of them is, and has failed while one of them has.
func (b *Bench) recordVerdict(verdict string) {
	if verdict == proven {
		b.proven, b.failed = b.proven|b.judge.tested, b.failed&^b.judge.tested
	} else {
		b.proven, b.failed = b.proven&^b.judge.failing(), b.failed|b.judge.failing()
	}
	switch {
	case b.failed != 0:
		b.lastVerdict = failed
	case b.proven == b.judge.brakes:
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
func (b *Bench) ofBrakes(set brakeSet) string {
	if b.judge.brakes == firstBrake || set == 0 {
		return ""
	}
	return set.name(b.judge.brakes) + ": "
}

// recordCapacity keeps the true capacity of the brakes and the required test torque.
func (b *Bench) recordCapacity() {
	b.capacityNM, b.requiredNM = b.plant.StaticCapacityNM(), b.plant.RequiredTestNM()
	b.capacity2NM = b.plant.StaticCapacity2NM()
}

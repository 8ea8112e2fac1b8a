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
		b.verdict = Verdict{Proof: true, ProofLeft: b.plant.Rig().Judge.Interval}
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
		b.record(EventProven, "proven for "+shortDuration(v.ProofLeft))
	}
	if events&checkFailed != 0 {
		b.recordVerdict(failed)
		b.recordOf(EventFailed, "failed: "+v.Cause, "", v.Cause)
	}
}

// recordVerdict keeps a verdict and what the brake is capable of at that moment.
func (b *Bench) recordVerdict(verdict string) {
	b.lastVerdict = verdict
	b.recordCapacity()
}

// recordCapacity keeps the true capacity of the brake and the required test torque.
func (b *Bench) recordCapacity() {
	b.capacityNM, b.requiredNM = b.plant.StaticCapacityNM(), b.plant.RequiredTestNM()
}

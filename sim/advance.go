package sim

// Tick advances the run by one tick, in the order of the package documentation. It is false
// once the run is over.
func (b *Bench) Tick() bool { return b.Advance(1) }

// Advance advances the run by so many ticks, or to its end. It is false once the run is over. The run is
// the same whatever the steps in which it is advanced.
func (b *Bench) Advance(ticks int64) bool {
	for until := b.tick + ticks; b.tick < until && !b.done; {
		b.stretch(until)
	}
	return !b.done
}

// ToNextScan advances the run to the next tick in which a scan, a fault or a button is due: the sequence has
// the same state in all these ticks once the first of them is done. It is false once the run is over.
func (b *Bench) ToNextScan() bool {
	if !b.done {
		b.stretch(b.stopTick)
	}
	return !b.done
}

// stretch is one tick with all that is due in it, and those behind it in which nothing is due, at most until a
// tick.
func (b *Bench) stretch(until int64) {
	b.dueTick()
	if b.done || b.halted || b.unpowered { // of one without a controller, each tick may be the last
		return
	}
	for until = min(until, b.nextDue()); b.tick < until; b.tick++ {
		b.plant.Observe()
		b.plant.StepBy(&b.command)
		if !b.limits.take(b.plant, &b.monitors.drop) {
			b.look()
		}
	}
	b.finishIfOver()
}

// dueTick is one tick with the faults, buttons and scans that are due.
func (b *Bench) dueTick() {
	if len(b.script) > 0 {
		b.applyScript()
		b.limits.lookAlways()
	}
	if len(b.schedule) > 0 && b.tick >= b.nextFault {
		b.applyFaults()
		b.limits.lookAlways()
	}
	recorded := b.folded.recorded
	b.plant.Observe()
	functional, safety := b.tick >= b.nextFunctional+b.scans.late, b.tick == b.nextSafety
	if functional || safety {
		b.moveGuard()
		b.reading = b.plant.Read()
		b.control(functional, safety)
	}
	b.mayLetGo = b.couldLetGo()
	b.plant.StepBy(&b.command)
	if b.folded.recorded != recorded || b.commandsNeedLook() || !b.limits.take(b.plant, &b.monitors.drop) {
		b.look()
	}
	b.monitors.watchCommand(b)
	if functional && b.trace != nil && b.err == nil {
		b.err = b.traceRow()
	}
	b.tick++
	b.finishIfOver()
}

// look watches the truth of the tick.
func (b *Bench) look() {
	b.monitors.watch(b)
	if !b.truth.unchanged(b) {
		b.watchTruth()
	}
	b.renewLimits()
}

// nextDue is the next tick in which a scan, a fault or a button is due, or with which the run is over.
func (b *Bench) nextDue() int64 {
	due := min(b.nextFunctional+b.scans.late, b.nextSafety, b.stopTick)
	if len(b.script) > 0 {
		due = min(due, b.script[0].tick)
	}
	if len(b.schedule) > 0 {
		due = min(due, b.nextFault)
	}
	return due
}

// finishIfOver ends a run that is over.
func (b *Bench) finishIfOver() {
	if b.tick >= b.stopTick || b.err != nil || (b.halted || b.unpowered) && b.isQuiet() {
		b.finish()
	}
}

package sim

import (
	"errors"
	"strings"

	"holdbench/sequence"
)

// functionalScan is one scan of the sequence: inputs image in, outputs image out.
func (b *Bench) functionalScan() {
	if b.scans.overrun && !b.halted {
		b.stopController("the watchdog, after a scan that overran its time")
	}
	if b.scans.passesOver() {
		return // both images stay
	}
	b.readInputs(&b.reading)
	switch {
	case b.halted:
		b.in.InStateS = 0
		b.in.ForgetKept()
		b.known.ForgetKept()
		return
	case b.forced != nil:
		b.out = *b.forced
		return
	}
	before := b.out
	fired, err := b.controller.Scan(&b.in, &b.out)
	if err != nil {
		b.lose(err)
		return
	}
	b.state = b.controller.StateIndex()
	if b.out.Ask != before.Ask && b.out.Ask != sequence.AskNone {
		b.monitors.askTick = b.tick
	}
	if !fired.OK {
		b.recordFirstOutputs()
		return
	}
	if !b.monitors.begun {
		b.monitors.begin(before)
	}
	states := b.c.Sequence.States
	if states[fired.FromIndex].End == sequence.EndFail && states[fired.ToIndex].End == sequence.EndStop { // acknowledged
		b.monitors.checkLockedOut(b, fired.From, before)
	}
	b.recordTransition(fired)
}

// lose ends the scans of a controller that has stopped itself: from then on it is one without power.
// A controller that is lost for another reason ends the run.
func (b *Bench) lose(err error) {
	var halt *sequence.Halt
	if !errors.As(err, &halt) {
		b.err = err
		return
	}
	if b.stopped == nil {
		b.stopped = &ControllerStop{AtS: b.seconds(b.tick), Because: halt.Because}
	}
	b.stopController(halt.Because)
}

// stopController takes the power from the controller of the sequence, with the reason.
func (b *Bench) stopController(because string) {
	b.monitors.controllerStops(b)
	b.halted, b.haltTick = true, b.tick
	b.out = sequence.PowerUpOutputs()
	b.recordOf(EventControllerStopped, "controller stopped: "+because, b.stateName(), "")
}

// recordFirstOutputs keeps what a state sets that was entered without a transition.
func (b *Bench) recordFirstOutputs() {
	newest := len(b.entries) - 1
	if s := b.entries[newest]; !s.set {
		s.out, s.set = b.out, true
		own := make([]stateEntry, newest+1, newest+usualEvents)
		copy(own, b.entries)
		own[newest] = s
		b.entries = own // a copy of the run may share the old list
		b.known = b.in
	}
}

// recordTransition records a transition, and the end of the sequence if it leads to one.
func (b *Bench) recordTransition(f sequence.Fired) {
	b.slipsBrake = b.c.Sequence.States[f.ToIndex].SlipsBrake
	b.entries = append(b.passedOver.fold(b.entries), stateEntry{f.ToIndex, f.Event, b.tick, b.out, true})
	kept := b.keptText(f.ToIndex)
	b.known = b.in
	b.recordOf(EventStateEntered, f.From+" → "+f.To+because(f.Cause)+kept, f.From, f.Cause)
	b.events[len(b.events)-1].Kept = kept
	b.scheduleFaults(f.ToIndex)
	if end := b.c.Sequence.States[f.ToIndex].End; end != sequence.EndNone {
		b.ended, b.endTick = true, b.tick
		b.atEnd = ending{end, f.ToIndex, b.controller.Cause()}
		b.stopTick = min(b.runLimit(), max(b.tick, b.lastAction())+ticksOf(settleTime, b.c.Rig.Clock.Tick))
		b.recordOf(EventEnded, end.String()+because(b.atEnd.cause), "", b.atEnd.cause)
	} else if b.ended {
		b.goOn()
	}
}

// runLimit is the tick at which a run is over in any case.
func (b *Bench) runLimit() int64 { return ticksOf(b.c.RunLimit(), b.c.Rig.Clock.Tick) }

// lastAction is the tick of the last thing that the operator will do: until then a run that has ended
// waits, as the sequence may leave its end. 0 if there is none.
func (b *Bench) lastAction() int64 {
	last := int64(0)
	if n := len(b.script); n > 0 {
		last = b.script[n-1].tick
	}
	for _, f := range b.schedule {
		if f.operates && !f.over && f.due >= 0 {
			last = max(last, f.due+f.duration)
		}
	}
	return last
}

// waitOn lets a run that has ended go on for a while, as the operator has done something.
func (b *Bench) waitOn() {
	if b.ended {
		b.stopTick = min(b.runLimit(), max(b.stopTick, b.tick+ticksOf(settleTime, b.c.Rig.Clock.Tick)))
	}
}

// goOn continues a run that had ended: the sequence has left its end, or begins anew.
func (b *Bench) goOn() {
	b.ended, b.endTick, b.stopTick = false, -1, b.runLimit()
	b.disturbed = b.disturbed || b.disturbedInEnd
}

// keptText is what a state has just kept, behind its name, where that is another value than before.
func (b *Bench) keptText(state int) string {
	var text strings.Builder
	for _, k := range b.c.Sequence.States[state].Kept {
		if now := k.InputText(&b.in); now != k.InputText(&b.known) {
			text.WriteString(", " + k.Name + " = " + now)
		}
	}
	return text.String()
}

// scheduleFaults sets the time of the faults that wait for a state.
func (b *Bench) scheduleFaults(state int) {
	b.visited[state] = true
	for _, f := range b.schedule {
		if f.state == state && f.due < 0 {
			f.due, b.nextFault = b.tick+f.delay, 0
		}
	}
}

// because is a cause in brackets behind a text.
func because(cause string) string {
	if cause == "" {
		return ""
	}
	return " (" + cause + ")"
}

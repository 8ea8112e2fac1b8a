package sim

import (
	"strings"

	"holdbench/sequence"
)

// functionalScan is one scan of the sequence: inputs image in, outputs image out.
func (b *Bench) functionalScan() {
	b.readInputs(&b.reading)
	if b.forced != nil {
		b.out = *b.forced
		return
	}
	before := b.out
	fired, err := b.machine.Scan(&b.in, &b.out)
	if err != nil {
		b.err = err
		return
	}
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
	states := b.c.Program.States()
	if states[fired.FromIndex].End == sequence.EndFail && states[fired.ToIndex].End == sequence.EndStop { // acknowledged
		b.monitors.checkLockedOut(b, fired.From, before)
	}
	b.recordTransition(fired)
}

// recordFirstOutputs keeps what a state sets that was entered without a transition.
func (b *Bench) recordFirstOutputs() {
	if s := &b.entries[len(b.entries)-1]; !s.set {
		s.out, s.set = b.out, true
	}
}

// recordTransition records a transition, and the end of the sequence if it leads to one.
func (b *Bench) recordTransition(f sequence.Fired) {
	b.slipsBrake = b.c.Program.States()[f.ToIndex].SlipsBrake
	b.entries = append(b.entries, stateEntry{f.ToIndex, f.Edge.Event, b.tick, b.out, true})
	kept := b.keptText(f.ToIndex)
	b.recordOf(EventStateEntered, f.From+" → "+f.To+because(f.Cause)+kept, f.From, f.Cause)
	b.events[len(b.events)-1].Kept = kept
	b.scheduleFaults(f.ToIndex)
	if end, ended := b.machine.Ended(); ended {
		b.ended, b.endTick = true, b.tick
		b.stopTick = min(b.runLimit(), max(b.tick, b.lastAction(f.ToIndex))+ticksOf(settleTime, b.c.Rig.Clock.Tick))
		b.recordOf(EventEnded, end.String()+because(b.machine.Cause()), "", b.machine.Cause())
	} else if b.ended {
		b.goOn()
	}
}

// runLimit is the tick at which a run is over in any case.
func (b *Bench) runLimit() int64 { return ticksOf(b.c.Rig.Clock.RunLimit, b.c.Rig.Clock.Tick) }

// lastAction is the tick of the last thing that the operator will do, if the state is an end that
// can be left: until then the run waits in it. 0 if there is none.
func (b *Bench) lastAction(state int) int64 {
	last := int64(0)
	if len(b.c.Program.States()[state].Edges) == 0 {
		return last
	}
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
	if b.ended && len(b.c.Program.States()[b.machine.StateIndex()].Edges) > 0 {
		b.stopTick = min(b.runLimit(), max(b.stopTick, b.tick+ticksOf(settleTime, b.c.Rig.Clock.Tick)))
	}
}

// goOn continues a run that had ended: the sequence has left its end, or begins anew.
func (b *Bench) goOn() {
	b.ended, b.endTick, b.stopTick = false, -1, b.runLimit()
}

// keptText is what a state has just kept, behind its name.
func (b *Bench) keptText(state int) string {
	var text strings.Builder
	for _, k := range b.c.Program.States()[state].Keeps {
		text.WriteString(", " + k.Signal.Name + " = " + k.Signal.InputText(&b.in))
	}
	return text.String()
}

// scheduleFaults sets the time of the faults that wait for a state.
func (b *Bench) scheduleFaults(state int) {
	b.visited[state] = true
	for _, f := range b.schedule {
		if f.state == state && f.due < 0 {
			f.due = b.tick + f.delay
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

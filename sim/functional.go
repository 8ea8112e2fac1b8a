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
	if end, ended := b.machine.Ended(); ended && !b.ended {
		b.ended, b.endTick = true, b.tick
		b.stopTick = min(b.stopTick, b.tick+ticksOf(settleTime, b.c.Rig.Clock.Tick))
		b.recordOf(EventEnded, end.String()+because(b.machine.Cause()), "", b.machine.Cause())
	}
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

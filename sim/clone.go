package sim

import (
	"errors"
	"slices"
	"time"

	"holdbench/sequence"
)

// Clone copies a run at its present moment. The two go on independently, and in the same way
// until one of them is changed. The copy is not traced. Where the controller cannot be copied, the
// copy is the same run once more from its beginning, with what was changed on the way, and takes as
// long as that; see [Bench.RunAgain].
func (b *Bench) Clone() *Bench {
	controller, ok := b.controller.Copy()
	switch {
	case !ok && b.c.Live():
		return b.lastMoment()
	case !ok:
		return b.rerun()
	}
	c := b.body()
	c.controller = controller
	return c
}

// lastMoment is the present moment of a run that cannot be gone on with.
func (b *Bench) lastMoment() *Bench {
	c := b.body()
	c.done, c.err = true, errors.New("the controller takes part in real time: there is one run, and no way back in it")
	return c
}

// Keep keeps the present moment, to be cloned later; it costs little whatever the controller is.
// What it returns must not be run itself.
func (b *Bench) Keep() *Bench {
	c := b.body()
	if controller, ok := b.controller.Copy(); ok {
		c.controller = controller
		return c
	}
	c.controller = &absent{about: b.c.Sequence, state: b.state, in: b.controller.InState(), cause: b.controller.Cause(), lost: true}
	return c
}

// RunAgain is how many ticks were run again to make this copy; 0 where the controller can be
// copied.
func (b *Bench) RunAgain() int64 { return b.again }

// body copies a run but for its controller, in whose place one stands that does nothing.
func (b *Bench) body() *Bench {
	c := *b
	c.trace, c.again = nil, 0
	c.controller = &absent{about: b.c.Sequence, state: b.state, in: b.controller.InState(), cause: b.controller.Cause()}
	c.plant = b.plant.Clone()
	c.safety.UseRig(c.plant.Rig())
	c.events, c.entries = slices.Clip(b.events), slices.Clip(b.entries)
	c.buttonsSet, c.script = slices.Clip(b.buttonsSet), slices.Clip(b.script)
	c.changes = slices.Clip(b.changes)
	c.visited = slices.Clone(b.visited)
	c.schedule, c.pending, c.nextFault = make([]*scheduledFault, len(b.schedule)), nil, 0
	c.active = b.active.clone()
	for i, old := range b.schedule {
		own := *old
		own.effect.on = slices.Clone(old.effect.on)
		c.schedule[i] = &own
		if at := slices.Index(b.active.list, old); at >= 0 {
			c.active.list[at] = &own
		}
	}
	return &c
}

// change is something that was done to a run on the way, before a tick.
type change struct {
	tick int64
	make func(*Bench) error
}

// changed remembers a change, with which the run can be run again.
func (b *Bench) changed(what func(*Bench) error) {
	b.changes = append(b.changes, change{b.tick, what})
}

// rerun is the same run once more, from its beginning to the present moment. What was accepted once
// is accepted again.
func (b *Bench) rerun() *Bench {
	c := NewBench(b.c, nil)
	c.attended = b.attended
	for _, done := range b.changes {
		c.advance(done.tick)
		if err := done.make(c); err != nil {
			panic("sim: a change was refused when the run was run again: " + err.Error())
		}
	}
	c.advance(b.tick)
	c.again = b.tick
	return c
}

// advance goes on until so many ticks are done.
func (b *Bench) advance(ticks int64) {
	b.Advance(ticks - b.tick)
}

// absent stands in for a controller: where no controller runs because outputs are forced, or in a
// moment that is kept.
type absent struct {
	about *sequence.Description
	state int
	in    time.Duration
	cause string
	lost  bool // the controller itself is needed again
}

// Scan does nothing.
func (a *absent) Scan(*sequence.Inputs, *sequence.Outputs) (sequence.Fired, error) {
	return sequence.Fired{}, nil
}

// StateIndex is the state of the controller.
func (a *absent) StateIndex() int { return a.state }

// InState is that of the controller.
func (a *absent) InState() time.Duration { return a.in }

// Cause is that of the controller.
func (a *absent) Cause() string { return a.cause }

// Waiting is not known.
func (a *absent) Waiting() []sequence.Condition { return nil }

// PowerUp does as the controller would.
func (a *absent) PowerUp() { a.state = a.about.PowerUp }

// Copy copies only what needs no controller.
func (a *absent) Copy() (sequence.Controller, bool) {
	c := *a
	return &c, !a.lost
}

// Trace sends every functional scan from now on to a tracer; nil ends it.
func (b *Bench) Trace(trace Tracer) { b.trace = trace }

package sim

import (
	"math"
	"time"

	"holdbench/sequence"
)

// Sustained is what the best reaction can do for the load.
type Sustained struct {
	Sinks       bool // more than the rig's limit, whatever is done
	Unsupported bool // it sinks, or nothing supports it in the end, whatever is done
	Over        bool // the sequence has ended by then and given the axis back
}

// Sustain tells what could be done for the load by somebody who knows everything: with the
// brake closed or open, the drive holding its position or carrying the load's true torque.
// It begins a reaction time from now, for what happens must show and be told from noise
// first; before the test has begun, its beginning is the moment. An emergency stop
// that has taken the torque away does not give it back (IEC 60204-1, stop categories 0 and
// 1; from memory). The run itself stays as it is; its faults come.
func (b *Bench) Sustain() Sustained {
	const lasts = 3 * time.Second // a load that is going to fall has fallen
	from := b.nextReaction()
	best := Sustained{Sinks: true, Unsupported: true, Over: from.ended && from.out.Operation == sequence.OperationAllowed}
	for _, out := range from.reactions() {
		c := from.Clone()
		c.forced = &out
		c.stopTick = c.tick + ticksOf(lasts, c.c.Rig.Clock.Tick)
		for c.Tick() {
		}
		sinks := c.monitors.breaches[noDrop].broken
		best.Sinks = best.Sinks && sinks
		best.Unsupported = best.Unsupported && (sinks || c.unsupported() != "")
	}
	return best
}

// nextReaction is a copy of the run at the moment from which something can be done.
func (b *Bench) nextReaction() *Bench {
	const reaction = 20 * time.Millisecond // some scans of debouncing, common practice
	c := b.Clone()
	from := c.tick + ticksOf(reaction, c.c.Rig.Clock.Tick)
	for (c.tick < from || !c.monitors.begun) && c.Tick() {
	}
	c.done = false
	return c
}

func (b *Bench) reactions() []sequence.Outputs {
	out := sequence.PowerUpOutputs()
	out.Decouple = b.out.Decouple
	if b.operator.estop && b.out.Drive == sequence.DriveOff {
		return []sequence.Outputs{out}
	}
	out.PressTorqueNM = math.Abs(b.plant.State().LoadTorqueNM)
	var list []sequence.Outputs
	for _, out.Brake = range []sequence.BrakeCommand{sequence.BrakeClosed, sequence.BrakeOpen} {
		for _, out.Drive = range []sequence.DriveMode{sequence.DriveHold, sequence.DrivePress} {
			list = append(list, out)
		}
	}
	return list
}

package sim

import (
	"math"
	"time"

	"holdbench/sequence"
)

// BestReaction is what the best reaction can do for the load.
type BestReaction struct {
	LoadDrops   bool // more than the rig's limit, whatever is done
	Unsupported bool // it sinks, or nothing supports it in the end, whatever is done
	TestOver    bool // by then the twin has ended and given the axis back to production
}

// reactionTime passes until a fault has shown and was told from noise: some scans of
// debouncing, common practice.
const reactionTime = 20 * time.Millisecond

// BestReaction tells what could be done for the load by somebody who knows everything: with the
// brake closed or open, the drive holding its position or carrying the load's true torque.
// It begins a reaction time from now; before the test has begun, from its beginning. Until
// then the outputs are those of the twin, which is the same run without the fault: nobody
// knows yet that there is one. An emergency stop that has taken the torque away does not
// give it back (IEC 60204-1, stop categories 0 and 1; from memory). Neither run is changed;
// faults that are due come.
func (b *Bench) BestReaction(twin *Bench) BestReaction {
	const lasts = 3 * time.Second // a load that is going to fall has fallen
	from, lead := b.afterReactionTime(twin)
	best := BestReaction{LoadDrops: true, Unsupported: true, TestOver: lead.ended && lead.out.Operation == sequence.OperationAllowed}
	for _, out := range b.reactions() {
		c := from.Clone()
		out.PressTorqueNM = math.Abs(from.plant.State().LoadTorqueNM)
		c.forced = &out
		c.stopTick = c.tick + ticksOf(lasts, c.c.Rig.Clock.Tick)
		for c.Tick() {
		}
		sinks := c.monitors.breaches[noDrop].broken
		best.LoadDrops = best.LoadDrops && sinks
		best.Unsupported = best.Unsupported && (sinks || c.unsupported() != "")
	}
	return best
}

// afterReactionTime are copies of the run and of the twin when something can be done; the
// twin leads until then.
func (b *Bench) afterReactionTime(twin *Bench) (c, lead *Bench) {
	c, lead = b.Clone(), twin.Clone()
	wait := ticksOf(reactionTime, c.c.Rig.Clock.Tick)
	for wait > 0 && !c.done && lead.Tick() {
		out := lead.out
		c.forced = &out
		if lead.monitors.begun {
			c.monitors.begun = true
			wait--
		}
		c.Tick()
	}
	c.done = false
	return c, lead
}

// reactions are the outputs that somebody can set at this moment.
func (b *Bench) reactions() []sequence.Outputs {
	out := sequence.PowerUpOutputs()
	out.Decouple = b.out.Decouple
	if b.operator.estop && b.out.Drive == sequence.DriveOff {
		return []sequence.Outputs{out}
	}
	var list []sequence.Outputs
	for _, out.Brake = range []sequence.BrakeCommand{sequence.BrakeClosed, sequence.BrakeOpen} {
		for _, out.Drive = range []sequence.DriveMode{sequence.DriveHold, sequence.DrivePress} {
			list = append(list, out)
		}
	}
	return list
}

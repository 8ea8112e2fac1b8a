package sim

import (
	"math"
	"time"

	"holdbench/sequence"
)

// Sustained is what the best reaction can do for the load.
type Sustained struct {
	Sinks       bool // more than the rig's limit, whatever is done
	Unsupported bool // in the end, whatever is done
}

// Sustain tells what could be done for the load from this moment on by somebody who knows
// everything, at once: with the brake closed or open, the drive holding its position or
// carrying the load's true torque. Before the test has begun, its beginning is the
// moment. The run itself stays as it is; its faults come.
func (b *Bench) Sustain() Sustained {
	const lasts = 3 * time.Second // a load that is going to fall has fallen
	best := Sustained{Sinks: true, Unsupported: true}
	begun := b.Clone()
	for !begun.monitors.begun && begun.Tick() {
	}
	for _, out := range begun.reactions() {
		c := begun.Clone()
		c.forced = &out
		c.stopTick = c.tick + ticksOf(lasts, c.c.Rig.Clock.Tick)
		for c.Tick() {
		}
		best.Sinks = best.Sinks && c.monitors.breaches[noDrop].broken
		best.Unsupported = best.Unsupported && c.unsupported() != ""
	}
	return best
}

func (b *Bench) reactions() []sequence.Outputs {
	var list []sequence.Outputs
	for _, brake := range []sequence.BrakeCommand{sequence.BrakeClosed, sequence.BrakeOpen} {
		for _, drive := range []sequence.DriveMode{sequence.DriveHold, sequence.DrivePress} {
			out := sequence.PowerUpOutputs()
			out.Brake, out.Drive, out.Decouple = brake, drive, b.out.Decouple
			out.PressTorqueNM = math.Abs(b.plant.State().LoadTorqueNM)
			list = append(list, out)
		}
	}
	return list
}

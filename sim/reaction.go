package sim

import (
	"time"

	"holdbench/sequence"
)

// BestReaction is what the best possible reaction achieves for the load.
type BestReaction struct {
	LoadDrops   bool // by more than the rig's limit, whatever the reaction
	Unsupported bool // it drops, or nothing supports it in the end, whatever the reaction
	TestOver    bool // by then the run without the fault has ended and released the axis to production
}

// ReactionTime passes until a fault is detected in the signals: some scans of debouncing,
// common practice.
const ReactionTime = 20 * time.Millisecond

// BestReaction finds out whether a controller with full knowledge could hold the load: with
// each brake closed or open, and the drive holding its position or carrying the true torque of
// the load. The reaction begins one reaction time from now; before the test has begun, one
// reaction time after its beginning, as no test watches the axis of a machine in operation. Until then the outputs are those of the twin, the same
// run without the fault, because the fault is not detected yet. The safety side overrides each
// reaction as it overrides a sequence: what falls after a stop has taken the torque away, as the
// brake had failed, no sequence could have prevented.
// Neither run is changed; faults that are due come.
func (b *Bench) BestReaction(twin *Bench) BestReaction {
	const lasts = 3 * time.Second // after which a load that drops has dropped
	from, lead := b.afterReactionTime(twin)
	best := BestReaction{LoadDrops: true, Unsupported: true, TestOver: lead.ended && lead.operates()}
	for _, out := range b.reactions() {
		c := from.body()
		s := from.plant.State()
		out.PressTorqueNM = -(s.LoadTorqueNM + s.SupportTorqueNM)
		c.forced = &out
		c.stopTick = c.tick + ticksOf(lasts, c.c.Rig.Clock.Tick)
		for c.ToNextScan() {
		}
		drops := c.monitors.breaches[noDrop].broken
		best.LoadDrops = best.LoadDrops && drops
		best.Unsupported = best.Unsupported && (drops || c.unsupported() != "")
	}
	return best
}

// afterReactionTime are copies of the run and of the twin when the reaction begins; until
// then the run takes the outputs of the twin.
func (b *Bench) afterReactionTime(twin *Bench) (c, lead *Bench) {
	c, lead = b.body(), twin.Clone()
	wait := ticksOf(ReactionTime, c.c.Rig.Clock.Tick)
	for wait > 0 && !c.done && lead.Tick() {
		out := lead.out
		c.forced = &out
		if lead.testBegun() {
			wait--
		}
		c.Tick()
	}
	c.done = false
	return c, lead
}

// testBegun is whether the test was started: the first state is left, or the start is commanded, as of a
// controller that tells no states.
func (b *Bench) testBegun() bool { return b.monitors.begun || b.operator.trigger }

// reactions are the outputs that are possible at this moment.
func (b *Bench) reactions() []sequence.Outputs {
	out := sequence.PowerUpOutputs()
	out.Decouple = b.out.Decouple
	second := []sequence.SecondBrakeCommand{sequence.Brake2AsFirst}
	if b.plant.Brake2State() != nil {
		second = []sequence.SecondBrakeCommand{sequence.Brake2Closed, sequence.Brake2Open}
	}
	var list []sequence.Outputs
	for _, out.Brake = range []sequence.BrakeCommand{sequence.BrakeClosed, sequence.BrakeOpen} {
		for _, out.Brake2 = range second {
			for _, out.Drive = range []sequence.DriveMode{sequence.DriveHold, sequence.DrivePress} {
				list = append(list, out)
			}
		}
	}
	return list
}

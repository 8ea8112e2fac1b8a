package sim

import (
	"math"
	"time"
)

// A run whose controller has stopped, or is without power for good, has no end of its own. It is over
// once nothing can change any more: what the truth says of it then is what it would say at the time
// limit.

// quietTime is how long nothing may have changed, beyond the times of the brakes.
const quietTime = 3 * time.Second

// quietLook is how often that is looked at.
const quietLook = 100 * time.Millisecond

// quiet is what must not change, and since when it has not.
type quiet struct {
	since  int64 // tick
	events int
	values [quietValues]float64
}

const quietValues = 10

// same is whether nothing has changed: a load at rest settles exponentially, so that values may differ
// by what adds up to nothing until the time limit.
func (q *quiet) same(now *quiet) bool {
	const settled = 1e-6 // mm, rad, N·m, share
	for i := range q.values {
		if !(math.Abs(q.values[i]-now.values[i]) <= settled) {
			return false
		}
	}
	return q.events == now.events
}

// quietNow is the present moment.
func (b *Bench) quietNow() quiet {
	s := b.plant.State()
	q := quiet{since: b.tick, events: b.folded.recorded}
	q.values = [quietValues]float64{
		b.plant.LoadMM(), s.AngleRad, b.monitors.drop.largest,
		s.Engagement, s.SlipRad, b.plant.StaticCapacityNM(),
	}
	if second := b.plant.Brake2State(); second != nil {
		q.values[6], q.values[7], q.values[8] = second.Engagement, second.SlipRad, b.plant.StaticCapacity2NM()
	}
	if partner := b.plant.PartnerState(); partner != nil {
		q.values[9] = partner.AngleRad
	}
	return q
}

// Attend says that a person looks on, who may act at any time, such as switch the power on again: the
// run goes on until its time limit.
func (b *Bench) Attend() { b.attended = true }

// isQuiet is whether the run has stood still for long enough and nothing is to come. It is for a run
// without a controller.
func (b *Bench) isQuiet() bool {
	if b.ended || b.tick%ticksOf(quietLook, b.c.Rig.Clock.Tick) != 0 {
		return false
	}
	now := b.quietNow()
	if b.somethingToCome() || !b.quiet.same(&now) {
		b.quiet = now
		return false
	}
	r := b.plant.Rig()
	brakes := max(r.Brake.ResponseDelay+r.Brake.RiseTime, r.Brake2.ResponseDelay+r.Brake2.RiseTime)
	return b.tick-b.quiet.since >= ticksOf(quietTime+2*brakes, b.c.Rig.Clock.Tick)
}

// somethingToCome is whether the load moves, a fault or an operator is due, or the safety side is about
// to do something. A person who looks on may still act.
func (b *Bench) somethingToCome() bool {
	if len(b.script) > 0 || !b.plant.LoadAtStandstill() || b.c.Live() || b.attended {
		return true
	}
	for _, f := range b.schedule {
		if !f.over && f.due >= 0 && (!f.active || f.duration > 0) {
			return true
		}
	}
	if b.unpowered {
		return false
	}
	o := b.safety.Out()
	left := time.Duration(b.stopTick-b.tick) * b.c.Rig.Clock.Tick
	return o.Busy || o.SafeStop && !o.STO || o.Proof && o.ProofLeft <= left
}

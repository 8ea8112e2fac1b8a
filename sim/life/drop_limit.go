package life

import (
	"math"
	"sync"
	"time"

	"holdbench/plant"
)

// Falling is the motion of the load at a power failure.
type Falling int

// The motions: at rest, and downwards with the speed of the drive.
const (
	FromRest Falling = iota
	FromSpeed
	fallings
)

// Fallings lists every motion.
func Fallings() []Falling { return []Falling{FromRest, FromSpeed} }

// DropLimits are the static capacities that meet the drop limit of a rig at a power failure, of each
// brake alone. They depend on the air gap, as a brake with a larger one closes later, and on
// nothing else that changes in a history.
type DropLimits struct {
	rig  plant.Rig
	done sync.Map // of dropKey to float64; a pure function, so that the order does not matter
}

type dropKey struct {
	second bool
	from   Falling
	gap    int // of gapStepMM
}

// gapStepMM is the step of the air gap, between which the capacity is interpolated: a chord lies
// above the curve, which is on the safe side.
const gapStepMM = 0.01

// NewDropLimits are the limits of a rig.
func NewDropLimits(r *plant.Rig) *DropLimits {
	d := &DropLimits{rig: *r}
	exchanged(r).in(&d.rig)
	return d
}

// SpeedMMS is the speed of a motion in mm/s.
func (d *DropLimits) SpeedMMS(from Falling) float64 {
	if from == FromRest {
		return 0
	}
	return d.rig.Drive.SpeedMMS
}

// NeededNM is the static capacity in N·m at the motor shaft that the first or the second brake needs
// with an air gap in mm; infinite if none is enough.
func (d *DropLimits) NeededNM(second bool, from Falling, gapMM float64) float64 {
	steps := gapMM / gapStepMM
	low := math.Floor(steps + 1e-6)
	k := dropKey{second, from, int(low)}
	share := steps - low
	if share < 1e-6 {
		return d.at(k)
	}
	above := k
	above.gap++
	if high := d.at(above); math.IsInf(high, 1) {
		return high
	}
	return d.at(k) + float64(share*(d.at(above)-d.at(k)))
}

func (d *DropLimits) at(k dropKey) float64 {
	if needed, ok := d.done.Load(k); ok {
		return needed.(float64) //nolint:forcetypeassert // nothing else is kept
	}
	r := d.rig
	r.Brake.GapMM, r.Brake2.GapMM = float64(k.gap)*gapStepMM, float64(k.gap)*gapStepMM
	needed := plant.NewPowerFailure(&r, k.second).NeededNM(d.SpeedMMS(k.from), r.Test.DropLimitMM)
	d.done.Store(k, needed)
	return needed
}

// NewBrakeNM is the static capacity that a new brake needs.
func (d *DropLimits) NewBrakeNM(second bool, from Falling) float64 {
	gap := d.rig.Brake.GapMM
	if second {
		gap = d.rig.Brake2.GapMM
	}
	return d.NeededNM(second, from, gap)
}

// ratios are capacities of a brake over those that the drop limit needs.
func (d *DropLimits) ratios(b Brake, c capacities, from Falling) [2]float64 {
	over := [2]float64{0, math.Inf(1)}
	if c.first > 0 { // else its air gap can be any
		over[0] = c.first / d.NeededNM(false, from, b.GapMM)
	}
	if d.rig.Brake2.Exists() {
		over[1] = 0
		if c.second > 0 {
			over[1] = c.second / d.NeededNM(true, from, b.Second.GapMM)
		}
	}
	return over
}

// DropExposure is the time of one history with a brake that does not meet the drop limit. No test
// ends it, as a test proves the required test torque alone: it ends with the brake, or with a run-in.
type DropExposure struct {
	Times            int
	Time, Production time.Duration
}

// checkDrops finds out at an event that the brake meets the drop limit no longer, or again.
func (j *simulation) checkDrops(c capacities) {
	if j.drops == nil {
		return
	}
	for _, from := range Fallings() {
		each := j.drops.ratios(j.brake, c, from)
		switch met := min(each[0], each[1]) >= 1; {
		case !met && j.missedSince[from] == never:
			j.missedSince[from] = j.now
		case met && j.missedSince[from] != never:
			j.endDropExposure(from)
		}
	}
}

// endDropExposure adds a time that ends now.
func (j *simulation) endDropExposure(from Falling) {
	since := j.missedSince[from]
	if since == never {
		return
	}
	e := &j.record.Drops[from]
	e.Times++
	e.Time += j.now - since
	e.Production += j.plan.Scheduled(j.now) - j.plan.Scheduled(since)
	j.missedSince[from] = never
}

package sizing

import (
	"math"
	"time"

	"holdbench/plant"
)

// dropFigures are the load drops at a power failure, of each brake alone.
type dropFigures struct {
	brakes []brakeDrop
}

// brakeDrop is the load drop at a power failure with one brake alone. Factors are the static
// torque of the brake at the motor shaft divided by the worst-case load torque, infinite where
// none is enough.
type brakeDrop struct {
	stops                    []stopCase
	guaranteed               float64 // N·m at the motor shaft
	restTest, restGuaranteed float64 // mm at rest, with the test torque and the guaranteed torque
	speedGuaranteed          float64 // mm from the speed of the drive, with the guaranteed torque
	restFactor, speedFactor  float64
	permittedSpeed           float64 // mm/s from which the guaranteed torque meets the drop limit
}

const (
	stopTick    = 250 * time.Microsecond // holds a stop within 1e-3, see package plant
	stopTime    = 2 * time.Second        // any load is at rest by then on a brake that holds it
	mostFactor  = 10.0
	leastFactor = 0.1
	dropShare   = 5e-3 // relative accuracy of a factor and of a speed
)

// stopCase is one payload at its worst position, with one brake alone: the partner, a second
// brake, the support and the hard stops carry nothing.
type stopCase struct {
	rig    plant.Rig
	second bool    // the brake is the second one
	perNM  float64 // of the static torque of the data sheet, for 1 N·m of capacity at the motor shaft
	load   float64 // N·m, the worst-case load torque
	falls  float64 // direction in which the load pulls
}

// findDrop simulates a power failure at rest and while the load moves as it pulls, with the
// speed of the drive: the drive is off and the brakes are commanded to close at once.
func (f *figures) findDrop() {
	f.drop.brakes = []brakeDrop{f.dropOf(false)}
	if f.rig.Brake2.Exists() {
		f.drop.brakes = append(f.drop.brakes, f.dropOf(true))
	}
}

func (f *figures) dropOf(second bool) brakeDrop {
	d := brakeDrop{guaranteed: f.rig.Brake.StaticNM * f.w.GuaranteedShare}
	if second {
		d.guaranteed = f.rig.Brake2.StaticNM / f.gearOfBrake2() * f.w.GuaranteedShare
	}
	for _, r := range []*plant.Rig{&f.mostRig, &f.leastRig} {
		d.stops = append(d.stops, f.stopCaseOf(r, second))
	}
	speed, limit := f.rig.Drive.SpeedMMS, f.rig.Test.DropLimitMM
	share := d.guaranteed / f.load.maximum
	d.restTest = d.drop(f.w.Factor, 0, math.Inf(1))
	d.restGuaranteed = d.drop(share, 0, math.Inf(1))
	d.speedGuaranteed = d.drop(share, speed, math.Inf(1))
	meets := func(factor, speed float64) bool { return d.drop(factor, speed, limit) <= limit }
	d.restFactor = leastMeeting(func(factor float64) bool { return meets(factor, 0) })
	d.speedFactor = leastMeeting(func(factor float64) bool { return meets(factor, speed) })
	d.permittedSpeed = mostMeeting(speed, func(speed float64) bool { return meets(share, speed) })
	return d
}

// stopCaseOf is a rig with one brake alone, at the position of its greatest load torque.
func (f *figures) stopCaseOf(of *plant.Rig, second bool) stopCase {
	r := *of
	r.Clock.Tick = stopTick
	r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA, r.Partner.InertiaKGM2 = 0, 0, 0
	r.Stops.StiffnessNPerMM, r.Support.StiffnessNPerMM = 0, 0
	r.Load.StartMM, r.Load.StartSpeedMMS = plant.WorstPosition(&r, r.Stops.LowMM, r.Stops.HighMM), 0
	capacity, static := f.now.BrakeCapacityNM, r.Brake.StaticNM
	if second {
		capacity, static = f.now.Brake2CapacityNM, r.Brake2.StaticNM
		r.Brake.OutputStuckOn = true
	} else {
		r.Brake2.StaticNM = 0
	}
	return stopCase{rig: r, second: second, perNM: static / capacity, load: f.load.maximum, falls: math.Copysign(1, plant.LoadTorque(&r, r.Load.StartMM))}
}

// drop is the load drop in mm of the payload that drops more, with a brake of so many times the
// load torque and from a speed in mm/s; above the limit it is not followed further.
func (d *brakeDrop) drop(factor, speed, limit float64) float64 {
	largest := 0.0
	for i := range d.stops {
		largest = max(largest, d.stops[i].drop(factor, speed, limit))
	}
	return largest
}

// drop simulates the stop, until the brake has closed and the load no longer moves as it pulls.
// Static and sliding torque of the brake keep their ratio, and its spring its stiffness.
func (c *stopCase) drop(factor, speed, limit float64) float64 {
	r := c.rig
	own := &r.Brake
	if c.second {
		own = &r.Brake2.Brake
	}
	if share := factor * c.load * c.perNM / own.StaticNM; share > 0 && !math.IsInf(share, 0) {
		own.StaticNM, own.SlidingNM, own.WindUpDeg = own.StaticNM*share, own.SlidingNM*share, own.WindUpDeg*share
	}
	r.Load.StartSpeedMMS = c.falls * speed
	p := plant.New(r, 1)
	state := &p.State().BrakeState
	if c.second {
		state = p.Brake2State()
	}
	from, largest := p.LoadMM(), 0.0
	for range int(stopTime / stopTick) {
		p.Observe()
		p.Step(plant.Command{Mode: plant.Off, CloseBrake: true, CloseBrake2: true})
		largest = max(largest, c.falls*(p.LoadMM()-from))
		if largest > limit || state.Engagement > 0.5 && c.falls*p.State().SpeedRadS <= 0 {
			break
		}
	}
	return largest
}

// leastMeeting is the smallest factor for which a condition holds that holds for all above it;
// infinite if it holds for none that a rig can have.
func leastMeeting(meets func(float64) bool) float64 {
	low, high := leastFactor, mostFactor
	if !meets(high) {
		return math.Inf(1)
	}
	for high > low*(1+dropShare) {
		if middle := math.Sqrt(low * high); meets(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// mostMeeting is the largest speed up to a limit for which a condition holds that holds for all
// below it; 0 if it does not hold at rest.
func mostMeeting(limit float64, meets func(float64) bool) float64 {
	if meets(limit) {
		return limit
	}
	low, high := 0.0, limit
	for high-low > dropShare*limit {
		if middle := (low + high) / 2; meets(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// decides is the factor for which brake and test are to be chosen: that of the test, or the
// larger one with which the load, of a torque in N·m, does not drop by more than the limit. A
// limit that the guaranteed torque cannot meet while lowering is a matter of the speed.
func (d *brakeDrop) decides(factor, load float64) (decides float64, which string) {
	decides, which = factor, "the factor of the test decides"
	if d.restFactor > decides && !math.IsInf(d.restFactor, 1) {
		decides, which = d.restFactor, "the drop limit from rest decides"
	}
	if d.speedFactor > decides && d.speedFactor*load <= d.guaranteed {
		decides, which = d.speedFactor, "the drop limit while lowering decides"
	}
	return decides, which
}

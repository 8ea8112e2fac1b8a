package sizing

import (
	"math"

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
	guaranteed               float64 // N·m at the motor shaft
	restTest, restGuaranteed float64 // mm at rest, with the test torque and the guaranteed torque
	speedGuaranteed          float64 // mm from the speed of the drive, with the guaranteed torque
	restStops, speedStops    bool    // with both torques from rest, and with the guaranteed one from the speed
	restFactor, speedFactor  float64
	permittedSpeed           float64 // mm/s from which the guaranteed torque meets the drop limit
}

const (
	mostFactor = 10.0 // that is tried
	speedShare = 5e-3 // of the speed of the drive, accuracy of a permitted speed
)

// findDrop simulates a power failure at rest and while the load moves as it pulls, with the
// speed of the drive.
func (f *figures) findDrop() {
	f.drop.brakes = []brakeDrop{f.dropOf(false)}
	if f.rig.Brake2.Exists() {
		f.drop.brakes = append(f.drop.brakes, f.dropOf(true))
	}
}

func (f *figures) dropOf(second bool) brakeDrop {
	failure := plant.NewPowerFailureOf(second, &f.mostRig, &f.leastRig)
	d := brakeDrop{guaranteed: f.rig.Brake.StaticNM * f.w.GuaranteedShare}
	if second {
		d.guaranteed = f.rig.Brake2.StaticNM / f.gearOfBrake2() * f.w.GuaranteedShare
	}
	speed, limit := f.rig.Drive.SpeedMMS, f.rig.Test.DropLimitMM
	var stops bool
	d.restTest, stops = failure.DropMM(f.load.test, 0)
	d.restGuaranteed, d.restStops = failure.DropMM(d.guaranteed, 0)
	d.restStops = d.restStops && stops
	d.speedGuaranteed, d.speedStops = failure.DropMM(d.guaranteed, speed)
	d.restFactor = failure.NeededNM(0, limit) / f.load.maximum
	d.speedFactor = failure.NeededNM(speed, limit) / f.load.maximum
	d.permittedSpeed = mostMeeting(speed, func(speed float64) bool { return failure.Meets(d.guaranteed, speed, limit) })
	return d
}

// mostMeeting is the largest speed up to a limit for which a condition holds that holds for all
// below it; 0 if it does not hold at rest.
func mostMeeting(limit float64, meets func(float64) bool) float64 {
	if meets(limit) {
		return limit
	}
	low, high := 0.0, limit
	for high-low > speedShare*limit {
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

package sim

import (
	"fmt"
	"math"

	"holdbench/plant"
)

// setDown is the share of the load that a support or a stop carries of a load that is set down:
// the guide may hold the rest.
const setDown = 0.9

// unsupported says why the load is not supported at the end, empty if it is: it is at rest,
// and the drive holds it, or it is set down on its support or lies on a stop, or a brake with
// sufficient torque is closed. All of this is truth, whatever the sensors read.
func (b *Bench) unsupported() string {
	if !b.plant.LoadAtStandstill() {
		return "the load is moving; "
	}
	if b.plant.SupportShare() >= setDown || b.plant.StopShare() >= setDown || b.driveHolds() {
		return ""
	}
	closed, capacity := b.strongestClosed()
	required := b.plant.RequiredTestNM()
	switch {
	case !closed:
		return "nothing supports the load; "
	case capacity >= required:
		return ""
	case b.plant.Severed():
		return fmt.Sprintf("the drive cannot hold a severed load, and brake 2 has %.3g N·m of %.3g N·m required; ", capacity, required)
	}
	return fmt.Sprintf("the drive does not hold, and the brake has %.3g N·m of %.3g N·m required; ", capacity, required)
}

// driveHolds is whether the drive keeps the load where it is: in position control, or with a torque
// at which the load would stay at rest with the brake open. It does not hold a load whose
// transmission is severed.
func (b *Bench) driveHolds() bool {
	if b.plant.Severed() {
		return false
	}
	s := b.plant.State()
	switch b.plant.DriveMode() {
	case plant.Hold, plant.Move:
		return true
	case plant.Press:
		return math.Abs(s.MotorTorqueNM+s.LoadTorqueNM+s.SupportTorqueNM) <= b.guideNM
	}
	return false
}

package sim

import (
	"math"

	"holdbench/sim/safety"
)

// This file holds what truth and obligations ask of the brakes of an axis, one or two.

// ofEach says of which brakes a run needs a proof, in a rig with two.
func ofEach(brakes safety.Brakes) string {
	if brakes == safety.FirstBrake {
		return ""
	}
	return " of each brake"
}

// dragging is the engagement up to which a brake drags: maintenance has to find it.
const dragging = 0.1

// commandedClosed are the brakes whose command is to close. One that is not there is open.
func (b *Bench) commandedClosed() safety.Brakes {
	var closed safety.Brakes
	if b.command.CloseBrake {
		closed |= safety.FirstBrake
	}
	if b.command.CloseBrake2 {
		closed |= safety.SecondBrake
	}
	return closed & b.safety.Brakes()
}

// resisting is the engagement of the brake that resists a travel most, and whether one that does
// so is commanded to close. A second brake on a severed load does not resist the motor.
func (b *Bench) resisting() (engagement float64, commanded bool) {
	engagement = b.plant.State().Engagement
	commanded = b.command.CloseBrake && engagement > dragging
	if second := b.plant.Brake2State(); second != nil && !b.plant.Brake2OnLoad() {
		engagement = max(engagement, second.Engagement)
		commanded = commanded || b.command.CloseBrake2 && second.Engagement > dragging
	}
	return engagement, commanded
}

// holds is whether one of some brakes holds a torque in N·m at its present engagement. Only the
// second can hold a load whose transmission is severed.
func (b *Bench) holds(brakes safety.Brakes, torque float64) bool {
	second := b.plant.Brake2State()
	if brakes&safety.FirstBrake != 0 && !b.plant.Severed() && b.plant.State().CapacityNM >= torque {
		return true
	}
	if second == nil || brakes&safety.SecondBrake == 0 {
		return false
	}
	return (!b.plant.Severed() || b.plant.Brake2OnLoad()) && second.CapacityNM >= torque
}

// strongestClosed is the static capacity in N·m of the strongest brake that is closed and holds the
// load, and whether one does. The load of a severed transmission has only a brake behind it.
func (b *Bench) strongestClosed() (closed bool, capacity float64) {
	severed := b.plant.Severed()
	if !severed && b.plant.State().Engagement > 0 {
		closed, capacity = true, b.plant.StaticCapacityNM()
	}
	second := b.plant.Brake2State()
	if second != nil && second.Engagement > 0 && (!severed || b.plant.Brake2OnLoad()) {
		closed, capacity = true, math.Max(capacity, b.plant.StaticCapacity2NM())
	}
	return closed, capacity
}

// loadLost is whether nothing can hold the load any more: its transmission is severed, and no
// brake is behind it.
func (b *Bench) loadLost() bool { return b.plant.Severed() && !b.plant.Brake2OnLoad() }

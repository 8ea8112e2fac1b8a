package safety

import "holdbench/plant"

// requirement is what differs between judges: what must be measured while the brake is pressed in a
// direction, and how it is compared. The rest of a judge (ask, brakes, position, latch, window, dwell,
// deadline, ceiling, interval, directions, counter, failure) is common, see [judge].
//
// Each implementation is one possible judge and none of an existing product. Whoever uses one compares
// it with the block of his own safety controller, point by point: holdbench help judge has the list.
type requirement interface {
	// required is what must be measured, signed: positive raises the load. 0 is never met.
	required(data *plant.Judge, r *Request) float64
	// measured is what is compared with it, from the amplitude in A of a current and the judge's torque
	// constant in N·m per A rms.
	measured(data *plant.Judge, ampA, constant float64) float64
	// met compares the two.
	met(data *plant.Judge, required, measured float64) bool
	// quantity is what is compared, and its unit.
	quantity() (name, unit string)
}

// requirementOf is the requirement of a kind of judge.
func requirementOf(kind string) requirement {
	if kind == plant.JudgeTorque {
		return torqueRequirement{}
	}
	return currentRequirement{}
}

// signedMet is whether a value reaches the required one in its direction.
func signedMet(required, measured float64) bool {
	switch {
	case required < 0:
		return measured <= required
	case required > 0:
		return measured >= required
	}
	return false
}

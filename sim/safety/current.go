package safety

import (
	"math"

	"holdbench/plant"
)

// currentRequirement is a judge that compares the measured current with a required one, as amplitude
// or as rms value. The sequence sends the requirement in the same form with its ask, or it is a fixed value of the
// judge, the same for both directions. Nobody compares the sign of what is sent with the direction of
// the ask.
//
// By magnitude alone, a current that merely carries the load can meet the requirement of a press down.
// A judge that compares amplitudes and is sent an rms value requires 1/√2 of the torque and proves a
// weak brake; one that compares rms values and is sent an amplitude requires √2 times the torque.
type currentRequirement struct{}

func (currentRequirement) required(data *plant.Judge, r *Request) float64 {
	if data.Requirement == plant.RequirementFixed {
		return data.RequiredA
	}
	return r.RequiredA
}

func (currentRequirement) measured(data *plant.Judge, ampA, _ float64) float64 {
	if data.CurrentAs == plant.CurrentRMS {
		return ampA / math.Sqrt2
	}
	return ampA
}

func (currentRequirement) met(data *plant.Judge, required, measured float64) bool {
	if data.Sense == plant.SenseMagnitude {
		return required != 0 && math.Abs(measured) >= math.Abs(required)
	}
	return signedMet(required, measured)
}

func (currentRequirement) quantity() (name, unit string) { return "current", "A" }

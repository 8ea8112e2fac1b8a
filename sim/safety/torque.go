package safety

import (
	"math"

	"holdbench/plant"
)

// torqueRequirement is a judge that owns the required motor torque of each direction and compares it
// with the torque that it estimates from the current of its transducer. With k the judge's own torque
// constant in N·m per A rms and i the current amplitude in A:
//
//	τ = k i / √2
//
// The ask names the direction; nothing else comes from the sequence, so that a mistake in its values
// proves no brake. The direction counts: a torque that only carries the load meets no requirement
// downwards. The constant is engineering data: entered too large it proves a brake below the test
// torque. Source: definition of the torque constant by the rms current of a sine.
type torqueRequirement struct{}

func (torqueRequirement) required(data *plant.Judge, r *Request) float64 {
	switch r.Ask {
	case Down:
		return data.RequiredDownNM
	case Up:
		return data.RequiredUpNM
	}
	return 0
}

func (torqueRequirement) measured(_ *plant.Judge, ampA, constant float64) float64 {
	return constant * ampA / math.Sqrt2
}

func (torqueRequirement) met(_ *plant.Judge, required, measured float64) bool {
	return signedMet(required, measured)
}

func (torqueRequirement) quantity() (name, unit string) { return "torque", "N·m" }

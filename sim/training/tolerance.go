package training

import (
	"slices"

	"holdbench/sequence"
	"holdbench/sim/compare"
)

// tolerancesOf is how far a signal may differ from the nominal run without being a clue, for each
// scan; see [compare.Tolerances].
func tolerancesOf(r *Recording, xs []float64) []float64 {
	of := compare.Tolerances(xs, func(scan int) string { return r.scans[scan].state })
	tolerances := make([]float64, len(xs))
	for i := range tolerances {
		tolerances[i] = of[r.scans[i].state]
	}
	return tolerances
}

// visibleSignals lists the signals that can be a clue: not those of the operator, and not the time
// in a state, which is the sequence's own.
func visibleSignals() []sequence.Signal {
	own := []string{"trigger", "cancel", "estop", "reset", "in_state_s", "scan_s"}
	return slices.DeleteFunc(sequence.InputSignals(), func(s sequence.Signal) bool { return slices.Contains(own, s.Name) })
}

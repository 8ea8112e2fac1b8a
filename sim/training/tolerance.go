package training

import (
	"slices"
	"strings"

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

// ofOneOfTwo is whether a signal is that of one of two brakes alone.
func ofOneOfTwo(signal string) bool {
	return strings.HasPrefix(signal, "brake_1_") || strings.HasPrefix(signal, "brake_2_")
}

// isShown is whether a player can see a signal: the bench draws it, or a condition of the sequence reads it and is
// listed with its value.
func isShown(d *sequence.Description, signal string) bool {
	return isDrawn(signal) || signal == "proof_left_s" || d.Reads(signal)
}

// isDrawn is whether the bench draws a signal as a curve, a part of the axis or a word.
func isDrawn(signal string) bool {
	return slices.Contains([]string{
		"position_mm", "position_deg", "speed", "torque_nm", "current_rms_a", "brake_closed", "brake_2_closed", "partner_coupled",
		"judge_busy", "proof", "judge_failed", "judge_cause", "operation_inhibited",
	}, signal)
}

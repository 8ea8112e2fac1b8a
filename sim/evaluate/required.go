package evaluate

import (
	"math"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/plant/sizing"
	"holdbench/sim/safety"
)

// Where the requirement is from.
const (
	RequirementOwned    = "judge"       // of the rig's judge, by its data
	RequirementRecorded = "recorded"    // as the sequence sent it
	RequirementSized    = "sized"       // assumed: what a sizing of the rig gives
	RequirementBare     = "test-torque" // assumed: the test torque alone, which is too little
)

// readRequired finds what a judge requires that compares with what the sequence sends.
func (in *inputs) readRequired(r *recording.Recording) {
	j := &in.rig.Judge
	if j.Kind != plant.JudgeCurrent || j.Requirement != plant.RequirementDynamic {
		return
	}
	if in.required = trackOf(r, "required_current_a", 1); in.required != nil {
		in.requirement = RequirementRecorded
		in.use("required_current_a", "required_current_a", "as it was sent")
		return
	}
	in.use("required_current_a", "", "assumed, see below")
	why := in.size()
	down, up := in.assumedRequired(safety.Down), in.assumedRequired(safety.Up)
	if in.requirement == RequirementSized {
		in.assume("required_current_a is not recorded, and the judge of the rig compares with what the sequence sends. %.4g A down and %.4g A up (%s) are assumed: the requirement by holdbench size for the rig, with its defaults for tolerances and guide friction. A sequence that sends less or more is not seen.", down, up, j.CurrentAs)
		return
	}
	in.assume("required_current_a is not recorded, and the judge of the rig compares with what the sequence sends. %.4g A down and %.4g A up (%s) are assumed: what loads the brake with the test torque of the rig, %.4g N·m, without tolerances and guide friction, as the rig cannot be sized (%v). This proves no requirement.", down, up, j.CurrentAs, in.derived.RequiredTestNM, why)
}

// size assumes the requirement of a sizing, at the position where the brake was first closed. The error says why
// there is none.
func (in *inputs) size() error {
	in.requirement = RequirementBare
	w := sizing.DefaultAssumptions(in.rig, nil)
	w.TestPositionMM = in.closedAtMM()
	s, err := sizing.Compute(in.rig, nil, w)
	if err != nil {
		return err
	}
	down, ofDown := s.Line("required_down_a")
	up, ofUp := s.Line("required_up_a")
	if ofDown && ofUp {
		in.requirement, in.assumedDownA, in.assumedUpA = RequirementSized, down.Value, up.Value
	}
	return nil
}

// closedAtMM is the position at which the brake is first closed; NaN if it never is.
func (in *inputs) closedAtMM() float64 {
	for t, closed := range in.closed.samples() {
		if is(closed) {
			mm := reader{of: in.mm}
			at, _ := mm.at(t)
			return at
		}
	}
	return math.NaN()
}

// assumedRequired is the current that is assumed as required, as the judge reads it.
func (in *inputs) assumedRequired(d safety.Directions) float64 {
	amp := in.assumedDownA
	if d == safety.Up {
		amp = in.assumedUpA
	}
	if in.rig.Judge.CurrentAs == plant.CurrentRMS {
		return amp / math.Sqrt2
	}
	return amp
}

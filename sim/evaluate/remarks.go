package evaluate

import (
	"fmt"
	"math"

	"holdbench/sim/safety"
)

// remarkShare is the share of the window from which the movement of a check that passed is remarked on. A brake that holds
// moves by less than a tenth (the checks of the built-in scenarios).
const remarkShare = 0.15

// remarks name what changes no verdict and is no sign of a healthy brake: movement in a check that passed, far above what the
// press and the resolution of the position explain.
func (in *inputs) remarks(e *Evaluation, run *replay) []string {
	list := []string{}
	for i := range e.Checks {
		c := &e.Checks[i]
		if c.Outcome != Passed || c.Movement == nil || c.Torque == nil {
			continue
		}
		m, explained := c.Movement, in.explainedDeg(c.Torque, run.checks[i].reached)
		if m.LargestDeg <= remarkShare*m.WindowDeg || m.LargestDeg <= 2*explained {
			continue
		}
		list = append(list, fmt.Sprintf("The shaft moved %.3g deg in the check %s, %.3g %% of the window; press, play and resolution of the position explain %.2g deg: the brake slips or creeps.", m.LargestDeg, c.Direction, m.WindowPct, explained))
	}
	return list
}

// explainedDeg is the turn of the motor shaft since the latch by the spring of the closed brake, its play, and two steps of the
// recorded position.
func (in *inputs) explainedDeg(t *TorqueMargin, reached float64) float64 {
	step := 360 / in.rig.Encoder.IncrementsPerTurn
	if recorded := in.mm.step() / in.derived.MMPerRad * 180 / math.Pi; !math.IsInf(recorded, 1) {
		step = max(step, recorded)
	}
	turn := in.rig.Brake.PlayDeg + float64(2*step)
	if in.derived.BrakeStiffness > 0 {
		turn += max(0, reached-1) * math.Abs(t.RequiredNM) / in.derived.BrakeStiffness * 180 / math.Pi
	}
	return turn
}

// notTested says why a direction has no check.
func (in *inputs) notTested(d safety.Directions, withheld *withheldPress) string {
	switch {
	case in.down != nil:
		return "no check was asked for in this direction"
	case !in.closes():
		return "the brake is never closed in the recording"
	case withheld.direction&d != 0:
		return fmt.Sprintf("the shaft had moved %.3g deg under the closed brake, out of the window of %.3g deg, before it was pressed in this direction at %.4g s: such torque may arrest a load that the brake does not hold, and is no press", withheld.movedDeg, in.rig.Judge.WindowDeg, withheld.atS)
	}
	return "the closed brake was not pressed in this direction"
}

// closes is whether a brake is ever closed.
func (in *inputs) closes() bool {
	for _, t := range []*track{in.closed, in.closed2} {
		if t == nil {
			continue
		}
		for _, x := range t.samples() {
			if is(x) {
				return true
			}
		}
	}
	return false
}

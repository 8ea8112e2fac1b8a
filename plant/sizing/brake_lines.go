package sizing

import (
	"math"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// brakeLines are the torques at the brake, compared with its guaranteed torque.
func (f *figures) brakeLines() []Line {
	l, w, rated := &f.load, &f.w, f.rig.Brake.StaticNM
	guaranteed := rated * w.GuaranteedShare
	rating := []Input{{"rated", rated, "N·m"}, {"share", w.GuaranteedShare, ""}}
	origin := w.source("guaranteed-share", "from memory: ask the manufacturer")
	required := Line{
		ID: "required_test_torque_nm", Name: "required test torque", Value: l.test, Unit: "N·m", Formula: "factor · worst-case load torque",
		Inputs: []Input{{"factor", w.Factor, ""}, {"load torque", l.maximum, "N·m"}},
		Source: "1.3 is that of the information sheet of the German accident insurers (DGUV) on gravity-loaded axes, from memory; factor to be decided by the user: " + w.source("factor", "the rig's test.factor"),
	}.atMost(guaranteed, "the guaranteed torque of the brake", thinTorque)
	if now, ok := f.params["test_torque"]; ok {
		required = required.sufficient(now.key(), now.Value)
	}
	maximum := Line{
		ID: "maximum_brake_nm", Name: "maximum at the brake", Value: f.press.maximumBrake, Unit: "N·m",
		Also:    []Input{{"of the test torque", 100 * f.press.maximumBrake / l.test, "%"}, {"without the guide", f.press.withoutGuide, "N·m"}},
		Formula: f.maximumFormula(),
		Inputs:  f.maximumInputs(),
		Source:  balance,
	}.atMost(guaranteed, "the guaranteed torque of the brake; above it a good brake slips", thinTorque)
	lines := []Line{required}
	if counterbalanced(&f.rig.Load) {
		lines = append(lines, f.lostCounterbalanceLine(guaranteed))
	}
	return append(append(lines,
		Line{
			ID: "guaranteed_brake_nm", Name: "guaranteed brake torque", Value: guaranteed, Unit: "N·m", Formula: "rated static torque · guaranteed share",
			Inputs: rating, Source: origin,
		},
		maximum,
		f.creditedLine(),
		Line{
			ID: "friction_allowance_nm", Name: "friction allowance", Value: l.allowance, Unit: "N·m",
			Formula: "breakaway friction of the guide, added to the press; 0 with --credit-friction", Source: choice,
		}), f.secondBrakeLines()...)
}

// maximumFormula is the maximum at the brake in the directions that are tested. The friction of
// the guide takes part of the press, and gives it back where the shaft has turned round.
func (f *figures) maximumFormula() string {
	down, up := "press torque down · (1 + t_k)/(1 − t_i) + maximum load torque", "press torque up · (1 + t_k)/(1 − t_i) − minimum load torque"
	const guide = " + breakaway friction of the guide: an upper bound, for a shaft that has turned round against the friction. A brake with sufficient torque that carries less than this can be refused, and sweep shows how often"
	switch {
	case !f.up:
		return down + guide
	case !f.down:
		return up + guide
	}
	return "max(" + down + ", " + up + ")" + guide
}

func (f *figures) maximumInputs() []Input {
	p, l, w := &f.press, &f.load, &f.w
	var inputs []Input
	if f.down {
		inputs = append(inputs, Input{"press down", p.down, "N·m"}, Input{"maximum load", l.positionMaximum, "N·m"})
	}
	if f.up {
		inputs = append(inputs, Input{"press up", p.up, "N·m"}, Input{"minimum load", l.positionMinimum, "N·m"})
	}
	return append(inputs, Input{"guide", l.breakaway, "N·m"}, Input{"t_k", w.TorqueConstantTolerance, ""}, Input{"t_i", w.CurrentTolerance, ""})
}

// counterbalanced reports a counterbalance by mass or by force.
func counterbalanced(l *plant.Load) bool {
	return l.CounterbalanceKG != 0 || l.CounterbalanceN != 0 || l.CounterbalanceNPerMM != 0
}

// lostCounterbalanceLine is the test torque where the whole counterbalance can be lost: a rope
// breaks, a gas spring is empty. What the user has stated with --counterbalance-loss is no
// finding: then the design excludes more.
func (f *figures) lostCounterbalanceLine(guaranteed float64) Line {
	r := *f.rig
	carry(&r.Load, f.mostKG(), 0)
	load := math.Abs(loadTorque(&r, plant.WorstPosition(&r, r.Stops.LowMM, r.Stops.HighMM)))
	line := Line{
		ID: "counterbalance_lost_nm", Name: "counterbalance lost", Value: f.w.Factor * load, Unit: "N·m", Formula: "factor · worst-case load torque with the whole counterbalance lost",
		Inputs: []Input{{"factor", f.w.Factor, ""}, {"load torque", load, "N·m"}}, Source: statics,
	}
	if f.w.source("counterbalance-loss", "") != "" || line.Value <= f.load.test {
		return line
	}
	line.Finding = problem.Text("%.4g N·m needed, %.4g guaranteed; exclude it (--counterbalance-loss 0) or size with it (1)", line.Value, guaranteed)
	return line
}

// gearOfBrake2 is how many turns the motor makes for one of the shaft of the second brake.
func (f *figures) gearOfBrake2() float64 {
	if f.rig.Brake2.Place == plant.PlaceLoad {
		return f.rig.Transmission.GearRatio
	}
	return 1
}

// secondBrakeLines are the torques of a second brake at its own shaft: each brake must hold the test
// torque alone, and the press of the one is that of the other.
func (f *figures) secondBrakeLines() []Line {
	b := &f.rig.Brake2
	if !b.Exists() {
		return nil
	}
	n, w := f.gearOfBrake2(), &f.w
	guaranteed := b.StaticNM * w.GuaranteedShare
	gear := Input{"gear ratio to its shaft", n, ""}
	return []Line{
		Line{
			ID: "required_brake_2_nm", Name: "required of brake 2", Value: f.load.test * n, Unit: "N·m",
			Formula: "required test torque · gear ratio, at its own shaft: each brake must hold it alone",
			Inputs:  []Input{{"test torque", f.load.test, "N·m"}, gear}, Source: balance,
		}.atMost(guaranteed, "the guaranteed torque of brake 2", thinTorque),
		{
			ID: "guaranteed_brake_2_nm", Name: "guaranteed of brake 2", Value: guaranteed, Unit: "N·m", Formula: "rated static torque · guaranteed share",
			Inputs: []Input{{"rated", b.StaticNM, "N·m"}, {"share", w.GuaranteedShare, ""}}, Source: w.source("guaranteed-share", "from memory: ask the manufacturer"),
		},
		Line{
			ID: "maximum_brake_2_nm", Name: "maximum at brake 2", Value: f.press.maximumBrake * n, Unit: "N·m",
			Formula: "maximum at the brake · gear ratio, at its own shaft",
			Inputs:  []Input{{"maximum", f.press.maximumBrake, "N·m"}, gear}, Source: balance,
		}.atMost(guaranteed, "the guaranteed torque of brake 2; above it a good brake slips", thinTorque),
	}
}

// creditedLine is the torque by which a brake may be weaker and still be proven.
func (f *figures) creditedLine() Line {
	l := &f.load
	line := Line{
		ID: "credited_friction_nm", Name: "credited friction", Value: l.breakaway - l.allowance, Unit: "N·m",
		Also:    []Input{{"of the test torque", 100 * (l.breakaway - l.allowance) / l.test, "%"}},
		Formula: "breakaway friction of the guide − friction allowance: a brake that is weaker by this torque can be proven where the friction is at its maximum",
		Source:  balance,
	}
	if line.Value > 0 {
		line.Warning = "a brake that is weaker by this torque can be proven: omit --credit-friction, or justify it"
	}
	return line
}

package sizing

import "holdbench/plant"

// brakeLines are the torques at the brake, compared with its guaranteed torque.
func (f *figures) brakeLines() []Line {
	l, w, rated := &f.load, &f.w, f.rig.Brake.StaticNM
	guaranteed := rated * w.GuaranteedShare
	rating := []Input{{"rated", rated, "N·m"}, {"share", w.GuaranteedShare, ""}}
	origin := w.source("guaranteed-share", "from memory: ask the manufacturer")
	required := Line{
		ID: "required_test_torque_nm", Name: "required test torque", Value: l.test, Unit: "N·m", Formula: "factor · worst-case load torque",
		Inputs: []Input{{"factor", w.Factor, ""}, {"load torque", l.maximum, "N·m"}},
		Source: "common practice, from memory; factor to be decided by the user: " + w.source("factor", "the rig's test.factor"),
	}.atMost(guaranteed, "the guaranteed torque of the brake", thinTorque)
	if now, ok := f.params["test_torque"]; ok {
		required = required.sufficient(now.key(), now.Value)
	}
	maximum := Line{
		ID: "maximum_brake_nm", Name: "maximum at the brake", Value: f.press.maximumBrake, Unit: "N·m",
		Also:    []Input{{"of the test torque", 100 * f.press.maximumBrake / l.test, "%"}},
		Formula: "max(press torque down (1 + t_k) + maximum load torque, press torque up (1 + t_k) − minimum load torque); a brake with sufficient torque that carries less than this can be refused, and sweep shows how often",
		Inputs:  []Input{{"press down", f.press.down, "N·m"}, {"press up", f.press.up, "N·m"}, {"t_k", w.TorqueConstantTolerance, ""}, {"maximum load", l.positionMaximum, "N·m"}, {"minimum load", l.positionMinimum, "N·m"}},
		Source:  balance,
	}.atMost(guaranteed, "the guaranteed torque of the brake; above it a good brake slips", thinTorque)
	return append([]Line{
		required,
		{
			ID: "guaranteed_brake_nm", Name: "guaranteed brake torque", Value: guaranteed, Unit: "N·m", Formula: "rated static torque · guaranteed share",
			Inputs: rating, Source: origin,
		},
		maximum,
		f.creditedLine(),
		{
			ID: "friction_allowance_nm", Name: "friction allowance", Value: l.allowance, Unit: "N·m",
			Formula: "breakaway friction of the guide, added to the press; 0 with --credit-friction", Source: choice,
		},
	}, f.secondBrakeLines()...)
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

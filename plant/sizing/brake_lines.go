package sizing

// brakeLines are the torque that the test must bring to the brake, and whether brake and
// guide are up to it.
func (f *figures) brakeLines() []Line {
	l, w, rated := &f.load, &f.w, f.rig.Brake.StaticNM
	guaranteed := rated * w.BrakeGuaranteed
	rating := []Input{{"rated", rated, "N·m"}, {"share", w.BrakeGuaranteed, ""}}
	origin := w.origin("brake-guaranteed", "from memory: ask the maker")
	required := Line{
		ID: "required_test_torque_nm", Name: "required test torque", Value: l.test, Unit: "N·m", Formula: "factor · load torque",
		Inputs: []Input{{"factor", w.Factor, ""}, {"load torque", l.worst, "N·m"}},
		Source: "common practice, from memory; the factor is yours to set: " + w.origin("factor", "the rig's test.factor"),
	}.atMost(guaranteed, "the guaranteed torque of the brake", thinTorque)
	if now, ok := f.params["test_torque_nm"]; ok {
		required = required.enough("sequence.test_torque_nm", now)
	}
	most := Line{
		ID: "brake_most_nm", Name: "most at the brake", Value: f.press.brakeMost, Unit: "N·m",
		Also:    []Input{{"of the test torque", 100 * f.press.brakeMost / l.test, "%"}},
		Formula: "the larger of press down (1 + t_m) + heaviest load and press up (1 + t_m) − lightest load; a fit brake that bears less than this can be refused, and sweep shows how often",
		Inputs:  []Input{{"press down", f.press.down, "N·m"}, {"press up", f.press.up, "N·m"}, {"t_m", w.MagnetTolerance, ""}, {"heaviest", l.heavy, "N·m"}, {"lightest", l.light, "N·m"}},
		Source:  balance,
	}.atMost(guaranteed, "the guaranteed torque of the brake, or a good one slips", thinTorque)
	return []Line{
		required,
		{
			ID: "guaranteed_brake_nm", Name: "guaranteed brake torque", Value: guaranteed, Unit: "N·m", Formula: "rated static torque · guaranteed share",
			Inputs: rating, Source: origin,
		},
		most,
		f.lentLine(),
		{
			ID: "covered_friction_nm", Name: "pressed on top for it", Value: l.cover, Unit: "N·m",
			Formula: "guide, from rest; 0 with --lend-friction", Source: choice,
		},
	}
}

// lentLine is by how much a brake may fall short and still be proven.
func (f *figures) lentLine() Line {
	l := &f.load
	line := Line{
		ID: "lent_by_guide_nm", Name: "lent by the guide", Value: l.breakaway - l.cover, Unit: "N·m",
		Also:    []Input{{"of the test torque", 100 * (l.breakaway - l.cover) / l.test, "%"}},
		Formula: "guide, from rest − what is pressed on top: by so much less can a brake be proven, where friction is at its most",
		Source:  balance,
	}
	if line.Value > 0 {
		line.Warning = "a brake that is weaker by this can be proven: leave out --lend-friction, or know it"
	}
	return line
}

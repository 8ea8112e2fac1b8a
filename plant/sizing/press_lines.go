package sizing

import "fmt"

// pressLines are the torques of the motor by direction.
func (f *figures) pressLines() []Line {
	p, l, w := &f.press, &f.load, &f.w
	tolerances := []Input{{"t_m", w.MagnetTolerance, ""}, {"t_i", w.CurrentTolerance, ""}}
	lines := []Line{
		{
			ID: "need_down_nm", Name: "needed down", Value: -p.needDown, Unit: "N·m", Formula: "−(test torque − lightest load + guide): less by the load, which helps",
			Inputs: []Input{{"test torque", l.test, "N·m"}, {"lightest", l.light, "N·m"}, {"guide", l.cover, "N·m"}}, Source: balance,
		},
		{
			ID: "need_up_nm", Name: "needed up", Value: p.needUp, Unit: "N·m", Formula: "test torque + heaviest load + guide: more by the load, which hinders",
			Inputs: []Input{{"test torque", l.test, "N·m"}, {"heaviest", l.heavy, "N·m"}, {"guide", l.cover, "N·m"}}, Source: balance,
		},
		{
			ID: "tolerance", Name: "raised for tolerances", Value: p.tolerance, Formula: "(1 + t_i) / (1 − t_m): weak magnets give less torque than the current says, and a current may be measured too high",
			Inputs: tolerances, Source: w.origin("magnet-tolerance", "t_m from memory") + ", " + w.origin("current-tolerance", "t_i from memory"),
		},
		f.leftOutLine(),
		f.requiredLine("required_down_nm", "required down", -p.requiredDown, "needed down · raised for tolerances, as measured torque"),
		f.requiredLine("required_up_nm", "required up", p.requiredUp, "needed up · raised for tolerances, as measured torque"),
		f.pressMarginLine(),
	}
	return append(lines, f.pressLine("press_down_nm", "press down", -p.down, "required down · press margin"),
		f.pressLine("press_up_nm", "press up", p.up, "required up · press margin"), f.mostLine())
}

// leftOutLine tells which direction of the magnets is the unsafe one, in N·m.
func (f *figures) leftOutLine() Line {
	p := &f.press
	down, up := p.needDown*(1-1/p.tolerance), p.needUp*(1-1/p.tolerance)
	return Line{
		ID: "lost_without_tolerance_nm", Name: "lost if not raised, up", Value: up, Unit: "N·m",
		Also:    []Input{{"of the test torque", 100 * up / f.load.test, "%"}, {"down", down, "N·m"}, {"of it down", 100 * down / f.load.test, "%"}},
		Formula: "needed · (1 − (1 − t_m)/(1 + t_i)): with weak magnets the judge sees enough current and the brake gets less by this",
		Source:  balance,
	}
}

// requiredLine shows what the sequence requires now, as the torque that it makes certain at
// the brake.
func (f *figures) requiredLine(id, name string, value float64, formula string) Line {
	line := Line{ID: id, Name: name, Value: value, Unit: "N·m", Formula: formula, Source: balance}
	now, ok := f.params[id]
	if !ok {
		return line
	}
	l := &f.load
	certain, direction := -now/f.press.tolerance+l.light-l.cover, "down"
	if value > 0 {
		certain, direction = now/f.press.tolerance-l.heavy-l.cover, "up"
	}
	short := certain/l.test - 1
	fits := short >= -rounding
	says := fmt.Sprintf("makes %.4g N·m certain at the brake, %.3g %% of the test torque, %s", certain, 100+100*short, direction)
	return line.present("sequence."+id, now, fits, "%s", says)
}

func (f *figures) pressMarginLine() Line {
	p := &f.press
	line := Line{
		ID: "press_margin", Name: "press margin", Value: f.w.PressMargin, Formula: "at least (1 + z σ_τ / required down) / (1 − t_i): above the noise, and above a current that is measured too low",
		Inputs: []Input{{"z", p.dipDeviations, ""}, {"σ_τ", p.noise, "N·m"}, {"t_i", f.w.CurrentTolerance, ""}},
		Source: f.w.origin("press-margin", "the sequence's, or a choice"),
	}.atLeast(p.leastMargin, "or a healthy press can dip below the requirement", thinPress)
	if now, ok := f.params["press_margin"]; ok {
		line = line.present("sequence.press_margin", now, now >= p.leastMargin, "at least %.4g", p.leastMargin)
	}
	return line
}

// pressLine is a setpoint, which the drive must be able to give: a light load can make the
// one down the larger.
func (f *figures) pressLine(id, name string, value float64, formula string) Line {
	line := Line{
		ID: id, Name: name, Value: value, Unit: "N·m", Formula: formula,
		Inputs: []Input{{"press margin", f.w.PressMargin, ""}}, Source: choice,
	}
	return line.atMost(f.now.DriveTorqueLimitNM, "drive.current_limit_rms_a times the torque constant", thinTorque)
}

// mostLine is the largest true torque before the safety side stops the drive.
func (f *figures) mostLine() Line {
	line := Line{
		ID: "motor_most_nm", Name: "most at the motor", Value: f.ceiling.value * (1 + f.w.MagnetTolerance) / (1 - f.w.CurrentTolerance), Unit: "N·m",
		Formula: "ceiling · (1 + t_m) / (1 − t_i): strong magnets give more than the current says",
		Inputs:  []Input{{"ceiling", f.ceiling.value, "N·m"}}, Source: balance,
	}
	if f.w.MotorPeakNM == 0 && f.w.MechanicsNM == 0 {
		line.Source += "; motor and mechanics not looked at: give --motor-peak-nm and --mechanics-nm"
	}
	if f.w.MotorPeakNM > 0 {
		line = line.atMost(f.w.MotorPeakNM, "the short-time torque of the motor", 0)
	}
	if f.w.MechanicsNM > 0 {
		line = line.atMost(f.w.MechanicsNM, "what the mechanics take", 0)
	}
	return line
}

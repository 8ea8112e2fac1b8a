package sizing

import (
	"holdbench/plant"
	"holdbench/plant/problem"
)

// pressLines are the motor torques by direction.
func (f *figures) pressLines() []Line {
	p, l, w := &f.press, &f.load, &f.w
	tolerances := []Input{{"t_k", w.TorqueConstantTolerance, ""}, {"t_i", w.CurrentTolerance, ""}}
	lines := f.tested(
		Line{
			ID: "true_down_nm", Name: "true motor torque, down", Value: -p.trueDown, Unit: "N·m", Formula: "−(test torque − minimum load torque + friction allowance): the load adds to the press",
			Inputs: []Input{{"test torque", l.test, "N·m"}, {"minimum load", l.positionMinimum, "N·m"}, {"allowance", l.allowance, "N·m"}}, Source: balance,
		},
		Line{
			ID: "true_up_nm", Name: "true motor torque, up", Value: p.trueUp, Unit: "N·m", Formula: "test torque + maximum load torque + friction allowance: the load subtracts from the press",
			Inputs: []Input{{"test torque", l.test, "N·m"}, {"maximum load", l.positionMaximum, "N·m"}, {"allowance", l.allowance, "N·m"}}, Source: balance,
		})
	lines = append(lines,
		Line{
			ID: "tolerance_factor", Name: "tolerance factor", Value: p.tolerance, Formula: "(1 + t_i) / (1 − t_k): for a torque constant below its nominal value and a current that is measured too high",
			Inputs: tolerances, Source: w.source("torque-constant-tolerance", "t_k from memory") + ", " + w.source("current-tolerance", "t_i from memory"),
		},
		f.shortfallLine())
	lines = append(lines, f.tested(
		f.requiredLine("required_down", "required torque, down", -p.requiredDown, "true motor torque · tolerance factor; measured torque that the judge requires"),
		f.requiredLine("required_up", "required torque, up", p.requiredUp, "true motor torque · tolerance factor; measured torque that the judge requires"))...)
	lines = append(lines, f.judgeLines()...)
	return append(append(append(lines, f.pressMarginLine()), f.tested(
		f.pressLine("press_down_nm", "press torque, down", -p.down, "required torque · press margin"),
		f.pressLine("press_up_nm", "press torque, up", p.up, "required torque · press margin"))...), f.maximumMotorLine())
}

// tested are the lines of the directions that are tested.
func (f *figures) tested(down, up Line) []Line {
	var lines []Line
	if f.down {
		lines = append(lines, down)
	}
	if f.up {
		lines = append(lines, up)
	}
	return lines
}

// shortfallLine is the torque that is missing at the brake if the tolerances are ignored, in
// the unsafe direction.
func (f *figures) shortfallLine() Line {
	p := &f.press
	down, up := p.trueDown*(1-1/p.tolerance), p.trueUp*(1-1/p.tolerance)
	value, direction := up, "up"
	if !f.up {
		value, direction = down, "down"
	}
	also := []Input{{"of the test torque", 100 * value / f.load.test, "%"}}
	if f.down && f.up {
		also = append(also, Input{"down", down, "N·m"}, Input{"of the test torque, down", 100 * down / f.load.test, "%"})
	}
	return Line{
		ID: "shortfall_nm", Name: "shortfall at tolerance, " + direction, Value: value, Unit: "N·m", Also: also,
		Formula: "true motor torque · (1 − (1 − t_k)/(1 + t_i)): missing at the brake although the measured current is sufficient",
		Source:  balance,
	}
}

// judgeLines are the required torques that a judge owns: those of the sequence serve the sequence alone
// then.
func (f *figures) judgeLines() []Line {
	j := &f.rig.Judge
	if j.Kind != plant.JudgeTorque {
		return nil
	}
	const formula = "required torque of this direction; to be entered in the safety side, which owns it"
	line := func(direction string, value, now float64) Line {
		key := "judge.required_" + direction + "_nm"
		l := Line{ID: "judge_required_" + direction + "_nm", Name: "required by the judge, " + direction, Value: value, Unit: "N·m", Formula: formula, Source: balance}
		if now == 0 {
			return l.withPresent(key, 0, false, "the rig has none, and a requirement of 0 is never met")
		}
		return f.assuredBy(l, key, now)
	}
	return f.tested(line("down", -f.press.requiredDown, j.RequiredDownNM), line("up", f.press.requiredUp, j.RequiredUpNM))
}

// requiredLine compares the present requirement of the sequence.
func (f *figures) requiredLine(role, name string, value float64, formula string) Line {
	line := Line{ID: role + "_nm", Name: name, Value: value, Unit: "N·m", Formula: formula, Source: balance}
	if present, ok := f.params[role]; ok {
		return f.assuredBy(line, present.key(), present.Value)
	}
	return line
}

// assuredBy compares a present requirement by the torque that it guarantees at the brake.
func (f *figures) assuredBy(line Line, key string, now float64) Line {
	l, value := &f.load, line.Value
	assured, direction := -now/f.press.tolerance+l.positionMinimum-l.allowance, "down"
	if value > 0 {
		assured, direction = now/f.press.tolerance-l.positionMaximum-l.allowance, "up"
	}
	relative := assured/l.test - 1
	fits := relative >= -rounding
	says := problem.Text("assures %.4g N·m at the brake, %.3g %% of the test torque, %s", assured, 100+float64(100*relative), direction)
	return line.withPresent(key, now, fits, "%s", says)
}

func (f *figures) pressMarginLine() Line {
	p := &f.press
	line := Line{
		ID: "press_margin", Name: "press margin", Value: f.w.PressMargin, Formula: "at least u (1 + z σ_τ / smaller required torque): for the noise, and for a judge that reads less than the drive",
		Inputs: []Input{{"z", p.dipDeviations, ""}, {"σ_τ", p.noise, "N·m"}, {"u", p.reading, ""}},
		Source: f.w.source("press-margin", "the sequence's, or a choice"),
	}.atLeast(p.minimumMargin, "below it the measured torque of a healthy press can fall below the requirement", thinPress)
	if now, ok := f.params["press_margin"]; ok {
		line = line.withPresent(now.key(), now.Value, now.Value >= p.minimumMargin, "at least %.4g", p.minimumMargin)
	}
	return line
}

// pressLine is a torque setpoint, limited by the drive. With a small load the press down can
// be the larger one.
func (f *figures) pressLine(id, name string, value float64, formula string) Line {
	line := Line{
		ID: id, Name: name, Value: value, Unit: "N·m", Formula: formula,
		Inputs: []Input{{"press margin", f.w.PressMargin, ""}}, Source: choice,
	}
	return line.atMost(f.now.DriveTorqueLimitNM, "drive.current_limit_rms_a times the torque constant", thinTorque)
}

// maximumMotorLine is the largest true torque at which the safety side does not yet stop the
// drive.
func (f *figures) maximumMotorLine() Line {
	line := Line{
		ID: "maximum_motor_nm", Name: "maximum motor torque", Value: f.ceiling.value * (1 + f.w.TorqueConstantTolerance) / (1 - f.w.CurrentTolerance), Unit: "N·m",
		Formula: "ceiling · (1 + t_k) / (1 − t_i): for a torque constant above its nominal value and a current that is measured too low",
		Inputs:  []Input{{"ceiling", f.ceiling.value, "N·m"}}, Source: balance,
	}
	if f.w.MotorPeakNM == 0 && f.w.MechanicalLimitNM == 0 {
		line.Source += "; limits of motor and mechanics not specified: see --motor-peak-nm and --mechanical-limit-nm"
	}
	if f.w.MotorPeakNM > 0 {
		line = line.atMost(f.w.MotorPeakNM, "the peak torque of the motor", 0)
	}
	if f.w.MechanicalLimitNM > 0 {
		line = line.atMost(f.w.MechanicalLimitNM, "the torque limit of the mechanics", 0)
	}
	return line
}

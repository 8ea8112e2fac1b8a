package sizing

const noiseModel = "law of total probability over the latched sample, rounding exact; any text on statistics"

// windowLines are the window, its bounds and their derivation.
func (f *figures) windowLines() []Line {
	w := &f.window
	stiffness, play := f.softest()
	share := Line{
		ID: "permitted_alarm_rate", Name: "permitted false alarms", Value: w.share, Unit: "per dwell", Formula: "(1 − (1 − P)^(1/dwells)) / 3: one third each for the window, for current below the requirement and for current above the ceiling",
		Inputs: []Input{{"P", f.w.FalseAlarmRate, "per test"}, {"dwells", float64(w.dwells), ""}}, Source: f.w.source("false-alarm-rate", choice),
	}
	return []Line{
		share,
		{
			ID: "samples", Name: "samples per dwell", Value: float64(w.samples), Formula: "dwell / safety scan, rounded up; each sample is compared with the latched one",
			Inputs: []Input{{"dwell", w.dwell.Seconds(), inSeconds}, {"scan", f.scan().Seconds(), inSeconds}}, Source: ofTheRig,
		},
		f.angleLine("noise", "noise and rounding", float64(w.noiseIncrements)*w.increment, "smallest w with Σ_k P(Y=k) (1 − [1 − P(|Y − k| > w)]^N), not above the permitted false alarms", noiseModel,
			Input{"σ", f.rig.Encoder.NoiseDeg, "deg"}, Input{"increment", w.increment, "deg"}, Input{"N", float64(w.samples), ""}),
		f.angleLine("wind_up", "wind-up under the press", w.windUp, "maximum at the brake without the guide / stiffness + play", "linear spring; the rig", Input{"torque", f.press.withoutGuide, "N·m"}, Input{"stiffness", stiffness, "N·m/rad"}, Input{"play", play, "deg"}),
		f.angleLine("wind_up_after_latch", "wind-up after the latch", w.afterLatch, "(press torque − required torque / (1 + t_i)) (1 + t_k) / stiffness, in the direction of the larger value; without the noise of the current, which can cause an early latch", "linear spring; the rig", Input{"torque", f.riseAfterLatch(), "N·m"}),
		f.angleLine("window_min", "window, lower bound", w.low, "noise and rounding + wind-up after the latch, in whole increments", noiseModel),
		f.angleLine("window_max", "window, upper bound", w.high, "(whole increments within the permitted undetected movement − 0.5) · increment: a movement of the next increment is detected; the movement is limited to half a turn of the motor", w.highReason+"; "+f.w.source("undetected-mm", choice), Input{"permitted", f.w.UndetectedMM, "mm"}, Input{"at the motor", w.undetected, "deg"}, Input{"increment", w.increment, "deg"}),
		f.windowLine(), f.alarmLine(), f.windowAtLoadLine(),
	}
}

// angleLine is an angle of the motor, also in increments and as a movement of the load.
func (f *figures) angleLine(id, name string, deg float64, formula, source string, inputs ...Input) Line {
	also := []Input{{"", deg / f.window.increment, "increments"}, {"at the load", f.millimetres(deg), "mm"}}
	return Line{ID: id + "_deg", Name: name, Value: deg, Unit: "deg", Also: also, Formula: formula, Inputs: inputs, Source: source}
}

func (f *figures) windowLine() Line {
	w := &f.window
	line := f.angleLine("window", "window", w.value, "√(lower bound · upper bound), rounded down to whole increments, plus half an increment: the same ratio to both bounds", choice,
		Input{"lower bound", w.low, "deg"}, Input{"upper bound", w.high, "deg"})
	line = line.atLeast(w.low, "below it a brake that holds can fail the test", thinWindow).atMost(w.high, w.highReason, thinWindow)
	return line.between("judge.window_deg", f.rig.Judge.WindowDeg, w.low, w.high)
}

// alarmLine is the rate of false alarms of the window due to noise and rounding, after
// subtraction of the movement after the latch.
func (f *figures) alarmLine() Line {
	w := &f.window
	line := Line{
		ID: "alarm_rate", Name: "false alarms of the window", Value: f.alarmRate(w.value), Unit: "per dwell", Formula: "formula of noise and rounding, with the window − wind-up after the latch", Source: noiseModel,
	}
	now := f.alarmRate(f.rig.Judge.WindowDeg)
	return line.withPresent("judge.window_deg", f.rig.Judge.WindowDeg, now <= w.share, "%.2g per dwell", now).inDegrees()
}

// inDegrees sets the unit of the present value, which is a window.
func (l Line) inDegrees() Line {
	l.Set.Unit = "deg"
	return l
}

// alarmRate is the rate of false alarms per dwell of a window in deg.
func (f *figures) alarmRate(deg float64) float64 {
	w := &f.window
	whole := int(deg/w.increment) - ceil(w.afterLatch/w.increment)
	if whole < 0 {
		return 1
	}
	return AlarmRate(w.noise, whole, w.samples)
}

// windowAtLoadLine is the window as a parameter of the sequence.
func (f *figures) windowAtLoadLine() Line {
	value := f.millimetres(f.window.value)
	line := Line{ID: "suspect_slip_mm", Name: "window at the load", Value: value, Unit: "mm", Formula: "window · travel per radian", Inputs: []Input{{"travel per radian", f.now.MMPerRad, "mm"}}, Source: geometry}
	if now, ok := f.params["suspect_slip"]; ok {
		low, high := f.millimetres(f.window.low), f.millimetres(f.window.high)
		line = line.between(now.key(), now.Value, low, high)
	}
	if alarm, ok := f.params["slip_alarm"]; ok {
		line = line.warnIf(alarm.Value <= value, "%s of the sequence is %.4g mm and acts before the judge; must be well above the window", alarm.Name, alarm.Value)
	}
	return line
}

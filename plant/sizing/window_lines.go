package sizing

const noiseModel = "total probability over the latch, rounding exact; any text on statistics"

// windowLines are the bounds of the window and what lies between them.
func (f *figures) windowLines() []Line {
	w := &f.window
	share := Line{
		ID: "alarm_share", Name: "false alarms, at most", Value: w.share, Unit: "a dwell", Formula: "(1 − (1 − P)^(1/dwells)) / 3: a third each for window, dips of the current and peaks at the ceiling",
		Inputs: []Input{{"P", f.w.FalseAlarm, "a test"}, {"dwells", float64(w.dwells), ""}}, Source: f.w.origin("false-alarm", choice),
	}
	return []Line{
		share,
		{
			ID: "samples", Name: "samples of a dwell", Value: float64(w.samples), Formula: "dwell / safety scan, rounded up; each is compared with the latch",
			Inputs: []Input{{"dwell", w.dwell.Seconds(), inSeconds}, {"scan", f.scan().Seconds(), inSeconds}}, Source: ofTheRig,
		},
		f.inWindow("noise", "noise, rounding alone", float64(w.quiet)*w.increment, "smallest w with Σ_k P(Y=k) (1 − [1 − P(|Y − k| > w)]^N) at most the rate", noiseModel,
			Input{"σ", f.rig.Encoder.NoiseDeg, "deg"}, Input{"increment", w.increment, "deg"}, Input{"N", float64(w.samples), ""}),
		f.inWindow("wind_up", "wind-up under the press", w.windUp, "most at the brake / stiffness + play", "linear spring; the rig", Input{"torque", f.press.brakeMost, "N·m"}, Input{"stiffness", f.now.BrakeStiffness, "N·m/rad"}, Input{"play", f.rig.Brake.PlayDeg, "deg"}),
		f.inWindow("wind_up_after_latch", "of it after the latch", w.afterward, "(press − required / (1 + t_i)) (1 + t_m) / stiffness, of the direction with more: the press goes on; noise of the current, which latches early, is not in it", "linear spring; the rig", Input{"rest", f.rest(), "N·m"}),
		f.inWindow("window_least", "window, at least", w.low, "noise and rounding + wind-up after the latch, in whole increments", noiseModel),
		f.inWindow("window_most", "window, at most", w.high, "(whole increments in the movement allowed, as turn of the motor up to half a one, − 1) · increment, and half a one: the next increment is the first that is seen", w.highIs+", "+f.w.origin("allowed-mm", choice), Input{"allowed", f.w.AllowedMM, "mm"}, Input{"as turn", w.allowed, "deg"}, Input{"increment", w.increment, "deg"}),
		f.windowLine(), f.alarmLine(), f.doubtLine(),
	}
}

// inWindow is an angle of the motor, also in increments and as a way of the load.
func (f *figures) inWindow(id, name string, deg float64, formula, source string, inputs ...Input) Line {
	also := []Input{{"", deg / f.window.increment, "increments"}, {"at the load", f.millimetres(deg), "mm"}}
	return Line{ID: id + "_deg", Name: name, Value: deg, Unit: "deg", Also: also, Formula: formula, Inputs: inputs, Source: source}
}

func (f *figures) windowLine() Line {
	w := &f.window
	line := f.inWindow("window", "window", w.value, "√(least · most), down to whole increments and half a one: as far from one bound as from the other, by ratio", choice,
		Input{"least", w.low, "deg"}, Input{"most", w.high, "deg"})
	line = line.atLeast(w.low, "or a brake that holds is failed", thinWindow).atMost(w.high, w.highIs, thinWindow)
	return line.between("judge.window_deg", f.rig.Judge.WindowDeg, w.low, w.high)
}

// alarmLine is what a window makes of noise and rounding, the movement after the latch
// taken off it.
func (f *figures) alarmLine() Line {
	w := &f.window
	line := Line{
		ID: "alarm_rate", Name: "false alarms, window", Value: f.alarms(w.value), Unit: "a dwell", Formula: "the rate above at the window less the wind-up after the latch", Source: noiseModel,
	}
	now := f.alarms(f.rig.Judge.WindowDeg)
	return line.present("judge.window_deg", f.rig.Judge.WindowDeg, now <= w.share, "%.2g a dwell", now).inDegrees()
}

// inDegrees says that what is set now is a window, whatever the line is.
func (l Line) inDegrees() Line {
	l.Set.Unit = "deg"
	return l
}

// alarms is the rate of a window in deg.
func (f *figures) alarms(deg float64) float64 {
	w := &f.window
	whole := int(deg/w.increment) - ceil(w.afterward/w.increment)
	if whole < 0 {
		return 1
	}
	return AlarmRate(w.noise, whole, w.samples)
}

// doubtLine is the window as the sequence knows it.
func (f *figures) doubtLine() Line {
	value := f.millimetres(f.window.value)
	line := Line{ID: "suspect_slip_mm", Name: "window at the load", Value: value, Unit: "mm", Formula: "window · travel a radian", Inputs: []Input{{"travel a radian", f.now.MMPerRad, "mm"}}, Source: geometry}
	if now, ok := f.params["suspect_slip_mm"]; ok {
		low, high := f.millimetres(f.window.low), f.millimetres(f.window.high)
		line = line.between("sequence.suspect_slip_mm", now, low, high)
	}
	if alarm, ok := f.params["slip_alarm_mm"]; ok {
		line = line.doubt(alarm <= value, "the sequence's slip_alarm_mm is %.4g mm and comes before the judge; must be well above the window", alarm)
	}
	return line
}

package sizing

import (
	"math"
	"strings"
	"time"
)

func ceil(x float64) int { return int(math.Ceil(x)) }

// dwellLines are the dwell and the movements that window and dwell detect.
func (f *figures) dwellLines() []Line {
	w := &f.window
	hour := f.millimetres(w.creep) * 3600
	dwell := Line{
		ID: "dwell_s", Name: "dwell", Value: w.dwell.Seconds(), Unit: inSeconds, Formula: "whole safety scans; with --creep-mm-s long enough for this creep to leave the window",
		Inputs: []Input{{"scans", float64(w.samples), ""}}, Source: f.w.source("creep-mm-s", f.w.source("dwell", "the rig's judge.dwell; 1 s is common practice (from memory)")),
	}
	now := scansOf(f.rig.Judge.Dwell, f.scan())
	dwell = dwell.withPresent("judge.dwell", f.rig.Judge.Dwell.Seconds(), now >= w.samples, "%d scans, must be at least %d", now, w.samples).
		within(longestDwell.Seconds(), "the longest judge.dwell of a rig")
	dwell = dwell.warnIf(w.samples < fewSamples, "fewer than 10 scans: a short torque peak is sufficient")
	creep := Line{
		ID: "creep_deg_s", Name: "slowest detected creep", Value: w.creep, Unit: "deg/s", Also: []Input{{"at the load", f.millimetres(w.creep), "mm/s"}, {"per hour", hour, "mm"}},
		Formula: "(whole increments in the window + 1) · increment / dwell; a slower creep can remain undetected, with this load drop per hour under the test torque",
		Inputs:  []Input{{"whole increments", float64(w.whole), ""}, {"increment", w.increment, "deg"}, {"dwell", w.dwell.Seconds(), inSeconds}}, Source: geometry,
	}
	if specified := f.degrees(f.w.CreepMMS); specified > 0 {
		creep = creep.atMost(specified*(1+1e-9), "the creep to be detected, with the longest dwell of 600 s", 0)
	}
	return []Line{dwell, creep, f.relevantCreepLine(), f.creepDwellLine(), f.undetectedLine()}
}

// relevantCreepLine is the smallest creep under the test torque that matters: of a brake that
// lowers the load by the drop limit in the time for which it must hold.
func (f *figures) relevantCreepLine() Line {
	r := f.rig
	return Line{
		ID: "relevant_creep_deg_s", Name: "smallest relevant creep", Value: f.window.relevantCreep, Unit: "deg/s", Also: []Input{{"at the load", f.millimetres(f.window.relevantCreep), "mm/s"}},
		Formula: "drop limit / hold time · factor^4, under the test torque: a lining that creeps with the fourth power of its load then lowers the load by the drop limit in the hold time",
		Inputs:  []Input{{"drop limit", r.Test.DropLimitMM, "mm"}, {"hold time", r.Test.HoldTime.Seconds(), inSeconds}, {"factor", f.w.Factor, ""}}, Source: "the rig; power law of creep, from memory",
	}
}

// creepDwellLine is the dwell in which the smallest relevant creep leaves the window.
func (f *figures) creepDwellLine() Line {
	w := &f.window
	line := Line{
		ID: "creep_dwell_s", Name: "dwell for this creep", Value: w.creepDwell.Seconds(), Unit: inSeconds, Formula: "(whole increments in the window + 1) · increment / smallest relevant creep, in whole safety scans: with a shorter dwell a lining that creeps too fast can be proven",
		Inputs: []Input{{"window", f.detectedDeg(), "deg"}, {"creep", w.relevantCreep, "deg/s"}}, Source: geometry,
	}
	return line.sufficient("judge.dwell", f.rig.Judge.Dwell.Seconds())
}

const fewSamples = 10

// undetectedLine is the movement that can remain undetected, compared with the permitted one.
func (f *figures) undetectedLine() Line {
	line := f.angleLine("undetected", "undetected movement", f.detectedDeg(), "(whole increments in the window + 1) · increment: a smaller movement can remain undetected", geometry)
	return line.atMost(f.window.undetected, f.w.source("undetected-mm", "the permitted undetected movement")+", at the motor", 0)
}

// timeLines are the ramps, the deadline and the dependent times of the sequence.
func (f *figures) timeLines() []Line {
	t, c := &f.times, f.rig.Clock
	scans := []Input{{"safety scan", c.SafetyScan.Seconds(), inSeconds}, {"link delay", float64(c.LinkDelayScans), "scans"}}
	rate := Line{
		ID: "press_rate_nm_s", Name: "press rate", Value: f.w.PressRateNMS, Unit: "N·m/s", Formula: "slow enough to be supervised, fast enough for the deadline", Source: f.w.source("press-rate-nm-s", "the sequence's, or a choice"),
	}
	if now, ok := f.params["press_rate"]; ok {
		rate = rate.withPresent(now.key(), now.Value, true, "used")
	}
	deadline := seconds("deadline_s", "deadline", t.deadline, "press time + dwell + one scan, rounded up to 0.1 s; from the ask, for a sequence that asks before it presses", choice,
		Input{"press", t.press.Seconds(), inSeconds}, Input{"dwell", f.window.dwell.Seconds(), inSeconds}).
		sufficient("judge.deadline", f.rig.Judge.Deadline.Seconds()).
		within(longestDeadline.Seconds(), "the longest judge.deadline of a rig: increase the press rate or shorten the dwell")
	lines := append([]Line{rate}, f.tested(
		seconds("ramp_down_s", "ramp time, down", t.rampDown, "(maximum load torque + breakaway friction + press torque down) / press rate: from carrying the load", "constant rate", Input{"change", f.load.positionMaximum + f.load.breakaway + f.press.down, "N·m"}),
		seconds("ramp_up_s", "ramp time, up", t.rampUp, f.rampUpFormula(), "constant rate", Input{"change", f.changeUp(), "N·m"}))...)
	return append(lines,
		f.compared(seconds("press_time_s", "press time", t.press, "longer ramp time + 5 time constants of the current + margin", "first-order lag: deviation of 0.7 % after 5 time constants",
			Input{"time constant", f.rig.Drive.CurrentLag.Seconds(), inSeconds}, Input{"margin", t.margin.Seconds(), inSeconds})),
		seconds("signal_delay_s", "signal delay, one way", t.oneWay, "(1 + link delay) · safety scan, maximum: a signal waits for the next scan", "sampling", scans...),
		f.compared(seconds("answer_time_s", "time from ask to answer", t.answer+t.margin, "signal delay + link delay · safety scan + functional scan + margin", "sampling", Input{"functional scan", c.FunctionalScan.Seconds(), inSeconds}, Input{"margin", t.margin.Seconds(), inSeconds})),
		deadline,
		f.compared(seconds("verdict_time_s", "time from ask to verdict", t.verdict, "deadline + time from ask to answer + margin", "sampling")),
		f.compared(seconds("ask_gap_s", "pause between asks", t.askGap, "safety scan + functional scan: the judge must sample the dropped ask", "sampling")),
		f.freshLine(),
		f.compared(seconds("travel_time_s", "travel time", t.travel, "whole travel / speed + speed / acceleration + margin", "constant acceleration",
			Input{"speed", f.rig.Drive.SpeedMMS, "mm/s"}, Input{"acceleration", f.rig.Drive.AccelerationMMS2, "mm/s²"})),
		f.runLine(),
	)
}

func (f *figures) rampUpFormula() string {
	if f.down {
		return "(press torque down + press torque up) / press rate: from the press down"
	}
	return "(press torque up − minimum load torque + breakaway friction) / press rate: from carrying the load"
}

// runLine is the minimum of clock.run_limit for a whole test.
func (f *figures) runLine() Line {
	formula := "2 (travel + press + times of the sequence for brake and stop) + settling time + directions · (press + answer + verdict + pause), in whole seconds"
	if f.rig.Brake2.Exists() {
		formula = "2 (travel + press + times of the sequence for brake and stop) + settling time + directions of both brakes · (press + answer + verdict + pause) + change of brakes (press + times for brake and stop), in whole seconds"
	}
	line := seconds("run_limit_s", "maximum run time", f.times.run, formula, "sum of the consecutive steps, with the travel to the support after a failure",
		Input{"directions", float64(f.window.dwells), ""}, Input{"verdict", f.times.verdict.Seconds(), inSeconds})
	return line.sufficient("rig.clock.run_limit", f.rig.Clock.RunLimit.Seconds()).
		within(longestRun.Seconds(), "the longest clock.run_limit of a rig")
}

func seconds(id, name string, d time.Duration, formula, source string, inputs ...Input) Line {
	return Line{ID: id, Name: name, Value: d.Seconds(), Unit: inSeconds, Formula: formula, Inputs: inputs, Source: source}
}

// compared compares a minimum time with the parameter of its role.
func (f *figures) compared(l Line) Line {
	if now, ok := f.params[strings.TrimSuffix(l.ID, "_s")]; ok {
		return l.sufficient(now.key(), now.Value)
	}
	return l
}

// freshLine is the tolerance of the age of a proof when it is read. It must be less than the
// pause, or the proof of the first direction is accepted for the second.
func (f *figures) freshLine() Line {
	line := f.compared(seconds("signal_slack_s", "proof age tolerance", f.times.fresh, "signal delay + functional scan; less than the pause between asks", "sampling"))
	fresh, knowsFresh := f.params["signal_slack"]
	gap, knowsGap := f.params["ask_gap"]
	return line.warnIf(knowsFresh && knowsGap && fresh.Value >= gap.Value, "%s is %.4g s and %s is %.4g s: the proof of the first direction can be accepted for the second", fresh.Name, fresh.Value, gap.Name, gap.Value)
}

// intervalLines are the interval and the false alarms per year.
func (f *figures) intervalLines() []Line {
	interval := Line{
		ID: "interval_s", Name: "interval", Value: f.w.Interval.Seconds(), Unit: inSeconds, Also: []Input{{"", f.w.Interval.Hours(), "h"}},
		Formula: "validity of a proof", Source: "one shift is common practice, from memory; to be decided by the user: " + f.w.source("interval", "the rig's judge.interval"),
	}
	interval = interval.atLeast(f.times.run.Seconds(), "below it a proof can lapse before its test has ended", 0)
	interval = interval.withPresent("judge.interval", f.rig.Judge.Interval.Seconds(), f.rig.Judge.Interval == f.w.Interval, "interval of the judge; a sequence that has its own must use the same")
	year := 365 * 24 * time.Hour
	tests := year.Seconds() / f.w.Interval.Seconds()
	return []Line{interval, {
		ID: "false_alarms_year", Name: "false alarms per year", Value: f.w.FalseAlarmRate * tests, Formula: "rate per test · tests per year, upper bound, due to noise only",
		Inputs: []Input{{"rate", f.w.FalseAlarmRate, ""}, {"tests", tests, ""}}, Source: f.w.source("false-alarm-rate", choice),
	}}
}

package sizing

import (
	"math"
	"time"
)

func ceil(x float64) int { return int(math.Ceil(x)) }

// dwellLines are what window and dwell together still see.
func (f *figures) dwellLines() []Line {
	w := &f.window
	hour := f.millimetres(w.creep) * 3600
	dwell := Line{
		ID: "dwell_s", Name: "dwell", Value: w.dwell.Seconds(), Unit: inSeconds, Formula: "whole safety scans; with --creep-mm-s so many that this creep is out of the window",
		Inputs: []Input{{"scans", float64(w.samples), ""}}, Source: f.w.origin("creep-mm-s", f.w.origin("dwell", "the rig's judge.dwell; 1 s is common practice (from memory)")),
	}
	now := scansOf(f.rig.Judge.Dwell, f.scan())
	dwell = dwell.present("judge.dwell", f.rig.Judge.Dwell.Seconds(), now >= w.samples, "%d scans, must be at least %d", now, w.samples).
		atMost(longestDwell.Seconds(), "the longest judge.dwell that a rig can have", 0)
	dwell = dwell.doubt(w.samples < fewSamples, "fewer than 10 scans: a moment of torque is enough")
	creep := Line{
		ID: "creep_deg_s", Name: "slowest creep caught", Value: w.creep, Unit: "deg/s", Also: []Input{{"at the load", f.millimetres(w.creep), "mm/s"}, {"an hour", hour, "mm"}},
		Formula: "(whole increments in the window + 1) · increment / dwell; what is slower can pass, and would sink so far in an hour under the test torque",
		Inputs:  []Input{{"whole increments", float64(w.whole), ""}, {"increment", w.increment, "deg"}, {"dwell", w.dwell.Seconds(), inSeconds}}, Source: geometry,
	}
	if wish := f.degrees(f.w.CreepMMS); wish > 0 {
		creep = creep.atMost(wish*(1+1e-9), "the creep to be caught, with the longest dwell of 600 s", 0)
	}
	return []Line{dwell, creep, f.unseenLine()}
}

const fewSamples = 10

// unseenLine is the movement up to which no verdict tells; it must not be more than is
// allowed, and all of that may be used.
func (f *figures) unseenLine() Line {
	line := f.inWindow("unseen", "movement unseen", f.seen(), "(whole increments in the window + 1) · increment: less can pass", geometry)
	return line.atMost(f.window.allowed, f.w.origin("allowed-mm", "the movement allowed")+", as turn of the motor", 0)
}

// timeLines are ramp, deadline and the times of the sequence that hang on them.
func (f *figures) timeLines() []Line {
	t, c := &f.times, f.rig.Clock
	scans := []Input{{"safety scan", c.SafetyScan.Seconds(), inSeconds}, {"link delay", float64(c.LinkDelayScans), "scans"}}
	rate := Line{
		ID: "press_rate_nm_s", Name: "press rate", Value: f.w.PressRateNMS, Unit: "N·m/s", Formula: "slow enough to be watched, fast enough for the deadline", Source: f.w.origin("press-rate-nm-s", "the sequence's, or a choice"),
	}
	if now, ok := f.params["press_rate_nm_s"]; ok {
		rate = rate.present("sequence.press_rate_nm_s", now, true, "taken")
	}
	deadline := seconds("deadline_s", "deadline", t.deadline, "time of the press + dwell + one scan, up to a tenth of a second; from the ask, for a sequence that asks before it presses", choice,
		Input{"press", t.press.Seconds(), inSeconds}, Input{"dwell", f.window.dwell.Seconds(), inSeconds}).
		enough("judge.deadline", f.rig.Judge.Deadline.Seconds()).
		atMost(longestDeadline.Seconds(), "the longest judge.deadline that a rig can have: press faster, or dwell shorter", 0)
	return []Line{
		rate,
		seconds("ramp_down_s", "ramp, down", t.rampDown, "(heaviest load + guide + press down) / press rate: from carrying the load", "constant rate", Input{"change", f.load.heavy + f.load.breakaway + f.press.down, "N·m"}),
		seconds("ramp_up_s", "ramp, up", t.rampUp, "(press down + press up) / press rate: straight from the other direction", "constant rate", Input{"change", f.press.down + f.press.up, "N·m"}),
		f.held(seconds("press_time_s", "time of the press", t.press, "the longer ramp + 5 time constants of the current + scans of margin", "first-order lag: 0.7 % are left after 5",
			Input{"time constant", f.rig.Drive.CurrentLag.Seconds(), inSeconds}, Input{"margin", t.margin.Seconds(), inSeconds})),
		seconds("one_way_s", "a signal, one way", t.oneWay, "(1 + link delay) · safety scan, at most: it waits for a scan", "sampling", scans...),
		f.held(seconds("answer_time_s", "ask until answer", t.answer+t.margin, "one way + link delay · safety scan + functional scan + margin", "sampling", Input{"functional scan", c.FunctionalScan.Seconds(), inSeconds}, Input{"margin", t.margin.Seconds(), inSeconds})),
		deadline,
		f.held(seconds("verdict_time_s", "ask until verdict", t.verdict, "deadline + answer + margin", "sampling")),
		f.held(seconds("ask_gap_s", "gap between asks", t.askGap, "safety scan + functional scan: the judge must see the ask gone", "sampling")),
		f.freshLine(),
		f.held(seconds("travel_time_s", "time of the travel", t.travel, "whole travel / speed + speed / acceleration + margin", "constant acceleration",
			Input{"speed", f.rig.Drive.SpeedMMS, "mm/s"}, Input{"acceleration", f.rig.Drive.AccelerationMMS2, "mm/s²"})),
		f.runLine(),
	}
}

// runLine is how long a run of the bench must be able to last.
func (f *figures) runLine() Line {
	line := seconds("run_limit_s", "longest run", f.times.run, "2 (travel + press + the sequence's times for brake and stop) + its time to settle + directions · (press + answer + verdict + gap), in whole seconds", "what comes one after the other, with the way to the support if it fails",
		Input{"directions", float64(f.window.dwells), ""}, Input{"verdict", f.times.verdict.Seconds(), inSeconds})
	return line.enough("rig.clock.run_limit", f.rig.Clock.RunLimit.Seconds()).
		atMost(longestRun.Seconds(), "the longest clock.run_limit that a rig can have", 0)
}

func seconds(id, name string, d time.Duration, formula, source string, inputs ...Input) Line {
	return Line{ID: id, Name: name, Value: d.Seconds(), Unit: inSeconds, Formula: formula, Inputs: inputs, Source: source}
}

// held compares a least time with the sequence's parameter of the same name.
func (f *figures) held(l Line) Line {
	if now, ok := f.params[l.ID]; ok {
		return l.enough("sequence."+l.ID, now)
	}
	return l
}

// freshLine is by how much the age of a proof may be off when it is read: less than the
// gap, or the proof of the first direction counts for the second.
func (f *figures) freshLine() Line {
	line := f.held(seconds("signal_slack_s", "age of a proof, slack", f.times.fresh, "one way + functional scan, and less than the gap between asks", "sampling"))
	fresh, gap := f.params.or("signal_slack_s", 0), f.params.or("ask_gap_s", math.Inf(1))
	return line.doubt(fresh >= gap, "signal_slack_s is %.4g s and ask_gap_s %.4g s: the proof of the first direction can count for the second", fresh, gap)
}

// intervalLines are how long a proof lasts and what that comes to.
func (f *figures) intervalLines() []Line {
	interval := Line{
		ID: "interval_s", Name: "interval", Value: f.w.Interval.Seconds(), Unit: inSeconds, Also: []Input{{"", f.w.Interval.Hours(), "h"}},
		Formula: "how long a proof lasts", Source: "one shift is common practice, from memory; yours to set: " + f.w.origin("interval", "the rig's judge.interval"),
	}
	interval = interval.atLeast(f.times.run.Seconds(), "or a proof can be over before its test is", 0)
	interval = interval.present("judge.interval", f.rig.Judge.Interval.Seconds(), f.rig.Judge.Interval == f.w.Interval, "the judge counts this, and the sequence must count the same")
	year := 365 * 24 * time.Hour
	tests := year.Seconds() / f.w.Interval.Seconds()
	return []Line{interval, {
		ID: "false_alarms_year", Name: "false alarms a year", Value: f.w.FalseAlarm * tests, Formula: "rate a test · tests a year, of noise alone and at most",
		Inputs: []Input{{"rate", f.w.FalseAlarm, ""}, {"tests", tests, ""}}, Source: f.w.origin("false-alarm", choice),
	}}
}

package plant

import "time"

func clockFields() []Field {
	return []Field{
		fixedInRun(period("clock.tick", 1e-6, 0.01, func(r *Rig) *time.Duration { return &r.Clock.Tick }, "drive and plant")),
		fixedInRun(period("clock.functional_scan", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Clock.FunctionalScan }, "scan of the sequence")),
		fixedInRun(period("clock.safety_scan", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Clock.SafetyScan }, "scan of the judge")),
		count("clock.link_delay_scans", 0, 16, func(r *Rig) *int { return &r.Clock.LinkDelayScans }, "safety scans that a signal is late, each way"),
		fixedInRun(period("clock.link_watchdog", 1e-3, 60, func(r *Rig) *time.Duration { return &r.Clock.LinkWatchdog }, "after this time without the link both sides read safe values")),
		fixedInRun(period("clock.run_limit", 0.1, 3600, func(r *Rig) *time.Duration { return &r.Clock.RunLimit }, "longest run")),
	}
}

func testFields() []Field {
	return []Field{
		fixedInRun(number("test.factor", "", 0.1, 10, func(r *Rig) *float64 { return &r.Test.Factor }, "required test torque over worst static load torque")),
		fixedInRun(number("test.drop_limit_mm", "mm", 1e-3, 1e5, func(r *Rig) *float64 { return &r.Test.DropLimitMM }, "how far the load may sink during the test")),
	}
}

func judgeFields() []Field {
	return []Field{
		period("judge.dwell", 1e-3, 600, func(r *Rig) *time.Duration { return &r.Judge.Dwell }, "how long torque must stand inside the window"),
		period("judge.deadline", 1e-3, 3600, func(r *Rig) *time.Duration { return &r.Judge.Deadline }, "longest wait for a full dwell"),
		number("judge.window_deg", "deg", 1e-6, 180, func(r *Rig) *float64 { return &r.Judge.WindowDeg }, "how far the shaft may move during the dwell"),
		period("judge.interval", 1, 1e8, func(r *Rig) *time.Duration { return &r.Judge.Interval }, "how long a proof lasts"),
		number("judge.ceiling_nm", "N·m", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Judge.CeilingNM }, "motor torque above which the safety side stops the drive"),
		word("judge.sense", []string{SenseSigned, SenseMagnitude}, func(r *Rig) *string { return &r.Judge.Sense }, "whether the direction of the current counts"),
		word("judge.requirement", []string{RequirementDynamic, RequirementFixed}, func(r *Rig) *string { return &r.Judge.Requirement }, "who states the required current"),
		number("judge.required_a", "A", -1e5, 1e5, func(r *Rig) *float64 { return &r.Judge.RequiredA }, "required current amplitude if fixed; minus presses down"),
		period("judge.frozen_after", 0, 600, func(r *Rig) *time.Duration { return &r.Judge.FrozenAfter }, "a position that stays the same bit for bit this long is lost; 0 is off"),
		period("judge.ramp_down", 0, 60, func(r *Rig) *time.Duration { return &r.Judge.RampDown }, "SS1: time from the stop until STO"),
		fixedInRun(permanent(period("judge.proof_left", 0, 1e8, func(r *Rig) *time.Duration { return &r.Judge.ProofLeft }, "what the last run's proof has left at the start"))),
	}
}

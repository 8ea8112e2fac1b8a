package plant

import "time"

func clockFields() []Field {
	return []Field{
		fixedInRun(period("clock.tick", 1e-6, 0.01, func(r *Rig) *time.Duration { return &r.Clock.Tick }, "cycle of drive and plant")),
		fixedInRun(period("clock.functional_scan", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Clock.FunctionalScan }, "scan time of the sequence")),
		fixedInRun(period("clock.safety_scan", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Clock.SafetyScan }, "scan time of the judge")),
		count("clock.link_delay_scans", 0, 16, func(r *Rig) *int { return &r.Clock.LinkDelayScans }, "delay of a signal between the two sides, each way, in safety scans"),
		fixedInRun(period("clock.link_watchdog", 1e-3, 60, func(r *Rig) *time.Duration { return &r.Clock.LinkWatchdog }, "time without the link after which both sides read safe values")),
		fixedInRun(period("clock.run_limit", 0.1, 3600, func(r *Rig) *time.Duration { return &r.Clock.RunLimit }, "maximum duration of a run")),
	}
}

func testFields() []Field {
	return []Field{
		fixedInRun(number("test.factor", "", 0.1, 10, func(r *Rig) *float64 { return &r.Test.Factor }, "required test torque divided by the maximum static load torque")),
		fixedInRun(number("test.drop_limit_mm", "mm", 1e-3, 1e5, func(r *Rig) *float64 { return &r.Test.DropLimitMM }, "permitted load drop during the test")),
		fixedInRun(period("test.hold_time", 1e-3, 1e8, func(r *Rig) *time.Duration { return &r.Test.HoldTime }, "time for which the brake alone must hold the load within the permitted drop, in spite of creep")),
	}
}

func judgeFields() []Field {
	return []Field{
		period("judge.dwell", 1e-3, 600, func(r *Rig) *time.Duration { return &r.Judge.Dwell }, "time for which the required torque must act while the axis stays inside the window"),
		period("judge.deadline", 1e-3, 3600, func(r *Rig) *time.Duration { return &r.Judge.Deadline }, "maximum time from the ask to a completed dwell"),
		number("judge.window_deg", "deg", 1e-6, 180, func(r *Rig) *float64 { return &r.Judge.WindowDeg }, "permitted movement of the motor shaft during the dwell"),
		period("judge.interval", 1, 1e8, func(r *Rig) *time.Duration { return &r.Judge.Interval }, "validity of a proof"),
		number("judge.ceiling_nm", "N·m", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Judge.CeilingNM }, "motor torque above which the safety side stops the drive"),
		word("judge.sense", []string{SenseSigned, SenseMagnitude}, func(r *Rig) *string { return &r.Judge.Sense }, "whether the direction of the current is evaluated"),
		word("judge.requirement", []string{RequirementDynamic, RequirementFixed}, func(r *Rig) *string { return &r.Judge.Requirement }, "source of the required current: the sequence (dynamic) or required_a (fixed)"),
		number("judge.required_a", "A", -1e5, 1e5, func(r *Rig) *float64 { return &r.Judge.RequiredA }, "required current amplitude with a fixed requirement; negative presses down"),
		fixedInRun(word("judge.transducer", []string{TransducerDrive, TransducerOwn}, func(r *Rig) *string { return &r.Judge.Transducer }, "whose current the judge reads: that measured by the drive, or its own")),
		number("judge.current_gain", "", -10, 10, func(r *Rig) *float64 { return &r.Judge.CurrentGain }, "current measured by the judge's own transducer divided by the true current"),
		number("judge.current_offset_rms_a", "A rms", -1e4, 1e4, func(r *Rig) *float64 { return &r.Judge.CurrentOffsetRMSA }, "offset of the judge's own transducer"),
		number("judge.current_noise_rms_a", "A rms", 0, 1e3, func(r *Rig) *float64 { return &r.Judge.CurrentNoiseRMSA }, "standard deviation of the judge's own transducer"),
		period("judge.frozen_after", 0, 600, func(r *Rig) *time.Duration { return &r.Judge.FrozenAfter }, "a position without any change for this time counts as lost; 0 disables the check"),
		fixedInRun(permanent(period("judge.proof_left", 0, 1e8, func(r *Rig) *time.Duration { return &r.Judge.ProofLeft }, "remaining validity of the last proof at the start of a run"))),
		needsBrake2(flag("judge.one_brake_at_a_time", func(r *Rig) *bool { return &r.Judge.OneBrakeAtATime }, "of two brakes, the judge fails a check with both closed: together they hide a weak one")),
	}
}

func safetyFields() []Field {
	return []Field{
		period("safety.stop_time", 0, 60, func(r *Rig) *time.Duration { return &r.Safety.StopTime }, "SS1: time from the demand of a stop to STO; in it the drive brings the axis to rest"),
		period("safety.brake_time", 0, 60, func(r *Rig) *time.Duration { return &r.Safety.BrakeTime }, "SBC: time before STO at which the brakes close, so that they carry the load by then"),
		word("safety.reset", []string{ResetManual, ResetAutomatic}, func(r *Rig) *string { return &r.Safety.Reset }, "what ends a stop whose demand is gone: a reset by hand, or nothing more, which is not for an emergency stop (ISO 13850, from memory)"),
	}
}

package plant

import (
	"slices"
	"time"
)

func clockFields() []Field {
	return []Field{
		fixedInRun(period("clock.tick", 1e-6, 0.01, func(r *Rig) *time.Duration { return &r.Clock.Tick }, "cycle of drive and plant")),
		fixedInRun(period("clock.functional_scan", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Clock.FunctionalScan }, "scan time of the sequence")),
		fixedInRun(period("clock.safety_scan", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Clock.SafetyScan }, "scan time of the judge")),
		count("clock.link_delay_scans", 0, 16, func(r *Rig) *int { return &r.Clock.LinkDelayScans }, "delay of a signal between the two sides, each way, in safety scans"),
		fixedInRun(period("clock.link_watchdog", 1e-3, 60, func(r *Rig) *time.Duration { return &r.Clock.LinkWatchdog }, "time without the link after which both sides read safe values")),
		fixedInRun(period("clock.run_limit", 0.1, 3600, func(r *Rig) *time.Duration { return &r.Clock.RunLimit }, "maximum duration of a run, counted from the last moment that a scenario names if that is later")),
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
	return slices.Concat(checkFields(), proofFields(), torqueJudgeFields(), currentJudgeFields(), transducerFields())
}

// checkFields are what is common to all judges.
func checkFields() []Field {
	return []Field{
		fixedInRun(word("judge.kind", []string{JudgeTorque, JudgeCurrent}, func(r *Rig) *string { return &r.Judge.Kind }, "what the judge compares: an estimated torque with its own required torque of each direction, or a current with a required one")),
		fixedInRun(word("judge.directions", []string{DirectionsDown, DirectionsUp, DirectionsBoth}, func(r *Rig) *string { return &r.Judge.Directions }, "directions that must pass on the same closed brake for a proof")),
		period("judge.dwell", 1e-3, 600, func(r *Rig) *time.Duration { return &r.Judge.Dwell }, "time for which the required torque must act while the axis stays inside the window"),
		period("judge.deadline", 1e-3, 3600, func(r *Rig) *time.Duration { return &r.Judge.Deadline }, "maximum time from the ask to a completed dwell"),
		number("judge.window_deg", "deg", 1e-6, 180, func(r *Rig) *float64 { return &r.Judge.WindowDeg }, "permitted movement of the motor shaft during the dwell"),
		runsOnly(number("judge.ceiling_nm", "N·m", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Judge.CeilingNM }, "motor torque above which the safety side stops the drive")),
		number("judge.torque_constant_nm_per_rms_a", "N·m/A", 0, 1e4, func(r *Rig) *float64 { return &r.Judge.TorqueConstant }, "torque constant by which the judge calculates torque from its current; 0 is the nominal value of the motor"),
		period("judge.frozen_after", 0, 600, func(r *Rig) *time.Duration { return &r.Judge.FrozenAfter }, "a position without any change for this time counts as lost; 0 disables the check"),
		needsBrake2(flag("judge.one_brake_at_a_time", func(r *Rig) *bool { return &r.Judge.OneBrakeAtATime }, "of two brakes, the judge fails a check with both closed: together they hide a weak one")),
		word("judge.failure_ends", []string{FailureEndsAcknowledge, FailureEndsTest}, func(r *Rig) *string { return &r.Judge.FailureEnds }, "what ends a failure: that a person acknowledges it, and no check starts before; or also a complete test that passes"),
		fixedInRun(flag("judge.failed_before", func(r *Rig) *bool { return &r.Judge.FailedBefore }, "an earlier test has failed, and that failure stands at the start of a run")),
	}
}

// proofFields are those of a proof and of its end.
func proofFields() []Field {
	return []Field{
		period("judge.interval", 1, 1e8, func(r *Rig) *time.Duration { return &r.Judge.Interval }, "validity of a proof"),
		period("judge.warning_time", 0, 1e8, func(r *Rig) *time.Duration { return &r.Judge.WarningTime }, "time before the lapse of a proof from which on it is due"),
		word("judge.lapse", []string{LapseSignal, LapseInhibit, LapseStop}, func(r *Rig) *string { return &r.Judge.Lapse }, "what a lapsed proof does: a signal only, operation withheld from the next standstill on, or a stop"),
		fixedInRun(permanent(period("judge.proof_left", 0, 1e8, func(r *Rig) *time.Duration { return &r.Judge.ProofLeft }, "remaining validity of the last proof at the start of a run"))),
	}
}

// torqueJudgeFields are those of the judge that owns the required torque.
func torqueJudgeFields() []Field {
	return []Field{
		number("judge.required_down_nm", "N·m", -1e6, 1e6, func(r *Rig) *float64 { return &r.Judge.RequiredDownNM }, "required motor torque of a press down, negative; of the judge that compares torque"),
		number("judge.required_up_nm", "N·m", -1e6, 1e6, func(r *Rig) *float64 { return &r.Judge.RequiredUpNM }, "required motor torque of a press up, positive; of the judge that compares torque"),
	}
}

// currentJudgeFields are those of the judge that compares a current.
func currentJudgeFields() []Field {
	return []Field{
		word("judge.current_as", []string{CurrentAmplitude, CurrentRMS}, func(r *Rig) *string { return &r.Judge.CurrentAs }, "how the judge that compares a current reads it and what it requires"),
		word("judge.sense", []string{SenseSigned, SenseMagnitude}, func(r *Rig) *string { return &r.Judge.Sense }, "whether the direction of the current is evaluated"),
		word("judge.requirement", []string{RequirementDynamic, RequirementFixed}, func(r *Rig) *string { return &r.Judge.Requirement }, "source of the required current: the sequence (dynamic) or required_a (fixed)"),
		number("judge.required_a", "A", -1e5, 1e5, func(r *Rig) *float64 { return &r.Judge.RequiredA }, "required current with a fixed requirement, as judge.current_as says; negative presses down"),
	}
}

// transducerFields are those of the current that a judge reads.
func transducerFields() []Field {
	return []Field{
		fixedInRun(word("judge.transducer", []string{TransducerDrive, TransducerOwn}, func(r *Rig) *string { return &r.Judge.Transducer }, "whose current the judge reads: that measured by the drive, or its own")),
		number("judge.current_gain", "", -10, 10, func(r *Rig) *float64 { return &r.Judge.CurrentGain }, "current measured by the judge's own transducer divided by the true current"),
		number("judge.current_offset_rms_a", "A rms", -1e4, 1e4, func(r *Rig) *float64 { return &r.Judge.CurrentOffsetRMSA }, "offset of the judge's own transducer"),
		number("judge.current_noise_rms_a", "A rms", 0, 1e3, func(r *Rig) *float64 { return &r.Judge.CurrentNoiseRMSA }, "standard deviation of the judge's own transducer"),
	}
}

func safetyFields() []Field {
	return []Field{
		period("safety.stop_time", 0, 60, func(r *Rig) *time.Duration { return &r.Safety.StopTime }, "SS1: time from the demand of a stop to STO; in it the drive brings the axis to rest"),
		period("safety.brake_time", 0, 60, func(r *Rig) *time.Duration { return &r.Safety.BrakeTime }, "SBC: time before STO at which the brakes close, so that they carry the load by then"),
		word("safety.reset", []string{ResetManual, ResetAutomatic}, func(r *Rig) *string { return &r.Safety.Reset }, "what ends a stop whose demand is gone: a reset by hand, or nothing more, which is not for an emergency stop (ISO 13850, from memory)"),
		fixedInRun(word("safety.guard", []string{GuardNone, GuardLocked}, func(r *Rig) *string { return &r.Safety.Guard }, "guard of the axis: none, or an interlocking guard with guard locking (ISO 14119, from memory)")),
		word("safety.guard_signal", []string{SignalActual, SignalClosed, SignalOpen}, func(r *Rig) *string { return &r.Safety.GuardSignal }, "what the interlocking device of the guard reports: its state, or always closed and locked, or always open"),
		flag("safety.guard_forced", func(r *Rig) *bool { return &r.Safety.GuardForced }, "the guard opens without being unlocked: by its escape release, or by force"),
		number("safety.setup_speed_mm_s", "mm/s", 0, 1e5, func(r *Rig) *float64 { return &r.Safety.SetupSpeedMMS }, "in setup mode with the guard open, speed above which the safety side stops the axis"),
	}
}

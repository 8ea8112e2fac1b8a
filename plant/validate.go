package plant

import (
	"math"
	"slices"
	"time"

	"holdbench/plant/problem"
)

// Validate reports all that is wrong with the rig's values at once, in the order of the
// document, and warns of values that are possible but doubtful. The error is a
// [problem.List], with the keys of the document as paths. There are no warnings about a rig
// with wrong values.
func Validate(r *Rig) (warnings problem.List, err error) {
	var found problem.List
	for _, f := range Fields() {
		if !f.Applies(r) || f.RunsOnly && f.isZero(r) {
			continue
		}
		if err := f.value.check(f, r); err != nil {
			found = append(found, problem.Problem{Path: f.Path, Message: err.Error()})
		}
	}
	if !r.isArm() && r.Transmission.FeedConstantMMPerTurn == 0 {
		found.Add("transmission.feed_constant_mm_per_turn", "transmission.feed_constant_mm_per_turn is missing or 0; must be between 0.001 and 100,000 mm, or load.arm_mm must be set for a swivelling axis")
	}
	found = append(found, absentParts(r)...)
	if len(found) > 0 {
		return nil, found // relations between wrong values are meaningless
	}
	found = slices.Concat(relations(r), loadRelations(r), supportRelations(r), scanRelations(r))
	return warningsOf(r), found.OrNil()
}

// absentParts refuses values of a second brake or a partner that the rig does not have: whoever
// writes them expects it to be there.
func absentParts(r *Rig) problem.List {
	var found problem.List
	defaults := Defaults()
	for _, part := range []struct {
		there      bool
		key, wants string
		belongs    func(*Field) bool
	}{
		{r.Brake2.Exists(), "brake_2.static_nm", "the static torque of the second brake", func(f *Field) bool { return f.NeedsBrake2 }},
		{r.Partner.InertiaKGM2 > 0, "partner.inertia_kg_m2", "the inertia of the partner", func(f *Field) bool { return f.NeedsPartner }},
	} {
		if part.there {
			continue
		}
		for _, f := range Fields() {
			if part.belongs(f) && f.Text(r) != f.Text(&defaults) {
				found.Add(part.key, "%s is missing or 0, but %s is %s; must be %s, or %s must be omitted", part.key, f.Path, f.Text(r), part.wants, f.Path)
				break
			}
		}
	}
	return found
}

func relations(r *Rig) problem.List {
	var found problem.List
	if r.Stops.HighMM <= r.Stops.LowMM {
		found.Add("stops.high_mm", "stops.high_mm is %g mm; must be above stops.low_mm, which is %g mm", r.Stops.HighMM, r.Stops.LowMM)
	}
	if r.Load.StartMM < r.Stops.LowMM || r.Load.StartMM > r.Stops.HighMM {
		found.Add("load.start_mm", "load.start_mm is %g mm; must lie between the hard stops at %g and %g mm", r.Load.StartMM, r.Stops.LowMM, r.Stops.HighMM)
	}
	found = append(found, guideRelations("guide.", &r.Guide)...)
	if r.Judge.Deadline < r.Judge.Dwell {
		found.Add("judge.deadline", "judge.deadline is %v; must be at least judge.dwell, which is %v", r.Judge.Deadline, r.Judge.Dwell)
	}
	if r.Safety.BrakeTime > r.Safety.StopTime {
		found.Add("safety.brake_time", "safety.brake_time is %v; must be at most safety.stop_time, which is %v", r.Safety.BrakeTime, r.Safety.StopTime)
	}
	found = append(found, brakeRelations("brake.", &r.Brake)...)
	if r.Brake2.Exists() {
		found = append(found, brakeRelations("brake_2.", &r.Brake2.Brake)...)
	}
	if r.Partner.InertiaKGM2 > 0 {
		found = append(found, guideRelations("partner.guide.", &r.Partner.Guide)...)
		found = append(found, brakeRelations("partner.brake.", &r.Partner.Brake)...)
	}
	if r.Encoder.IncrementsPerTurn != math.Trunc(r.Encoder.IncrementsPerTurn) {
		found.Add("encoder.increments_per_turn", "encoder.increments_per_turn is %g; must be a whole number", r.Encoder.IncrementsPerTurn)
	}
	return found
}

func guideRelations(prefix string, g *Guide) problem.List {
	if g.BreakawayNM == 0 || g.BreakawayNM >= g.SlidingNM {
		return nil
	}
	return problem.List{problem.At(prefix+"breakaway_nm", "%[1]sbreakaway_nm is %[2]g N·m; must be 0 or at least %[1]ssliding_nm, which is %[3]g N·m", prefix, g.BreakawayNM, g.SlidingNM)}
}

// brakeRelations refuses a brake with more engagement after an open command than after a
// close command, and one whose torque falls in no time.
func brakeRelations(prefix string, b *Brake) problem.List {
	var found problem.List
	if b.ReleaseTime <= b.ReleaseDelay {
		found.Add(prefix+"release_time", "%[1]srelease_time is %[2]v; must be above %[1]srelease_delay, which is %[3]v and part of it", prefix, b.ReleaseTime, b.ReleaseDelay)
	}
	if b.DropOutVoltage > b.PullInVoltage {
		found.Add(prefix+"drop_out_voltage", "%[1]sdrop_out_voltage is %[2]g; must be at most %[1]spull_in_voltage, which is %[3]g", prefix, b.DropOutVoltage, b.PullInVoltage)
	}
	if closed := timesOf(b).closesTo; b.OpensTo > closed {
		found.Add(prefix+"opens_to", "%sopens_to is %g; must be at most %.4g, the engagement of the closed brake", prefix, b.OpensTo, closed)
	}
	return found
}

func scanRelations(r *Rig) problem.List {
	var found problem.List
	scan := func(path string, d time.Duration) {
		if d%r.Clock.Tick != 0 {
			found.Add(path, "%s is %v; must be a whole multiple of clock.tick, which is %v", path, d, r.Clock.Tick)
		}
	}
	scan("clock.functional_scan", r.Clock.FunctionalScan)
	scan("clock.safety_scan", r.Clock.SafetyScan)
	return found
}

// brake2Warnings are those of the second brake, by its torque at the motor shaft.
func brake2Warnings(r *Rig, d *Derived) problem.List {
	var found problem.List
	if !r.Brake2.Exists() {
		return found
	}
	own := r.Brake2.atMotor(r.Transmission.GearRatio)
	if own.StaticNM < d.RequiredTestNM {
		found.Warn("brake_2.static_nm", "brake_2.static_nm is %g N·m, %.4g N·m at the motor shaft, below the required test torque of %.4g N·m: each brake must hold it alone", r.Brake2.StaticNM, own.StaticNM, d.RequiredTestNM)
	}
	return found
}

func warningsOf(r *Rig) problem.List {
	var found problem.List
	d := Derive(r)
	if r.Brake.StaticNM < d.WorstLoadTorqueNM {
		found.Warn("brake.static_nm", "brake.static_nm is %g N·m, below the load torque of %.4g N·m at the shaft: the brake cannot hold the load even when new", r.Brake.StaticNM, d.WorstLoadTorqueNM)
	} else if r.Brake.StaticNM < d.RequiredTestNM {
		found.Warn("brake.static_nm", "brake.static_nm is %g N·m, below the required test torque of %.4g N·m: the brake cannot pass the test even when new", r.Brake.StaticNM, d.RequiredTestNM)
	}
	found = append(found, loadWarnings(r)...)
	found = append(found, brake2Warnings(r, &d)...)
	if r.Brake.SlidingNM > r.Brake.StaticNM {
		found.Warn("brake.sliding_nm", "brake.sliding_nm is %g N·m, above brake.static_nm, which is %g N·m: a torque that is higher while slipping is unusual", r.Brake.SlidingNM, r.Brake.StaticNM)
	}
	if j := &r.Judge; j.Transducer != TransducerOwn && (j.CurrentGain != 1 || j.CurrentOffsetRMSA != 0 || j.CurrentNoiseRMSA != 0) {
		found.Warn("judge.transducer", "judge.transducer is %s: judge.current_gain, current_offset_rms_a and current_noise_rms_a have no effect; they are those of a transducer of its own", j.Transducer)
	}
	if d.DriveTorqueLimitNM < d.WorstLoadTorqueNM {
		found.Warn("drive.current_limit_rms_a", "drive.current_limit_rms_a allows %.4g N·m, below the load torque of %.4g N·m: the drive cannot carry the load", d.DriveTorqueLimitNM, d.WorstLoadTorqueNM)
	}
	if c := r.Drive.ContinuousCurrentRMSA; c > 0 && c < d.HoldingCurrentRMSA {
		found.Warn("drive.continuous_current_rms_a", "drive.continuous_current_rms_a is %g A rms, below the %.4g A rms that hold the load: the drive cannot carry the load for long", c, d.HoldingCurrentRMSA)
	}
	return found
}

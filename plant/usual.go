package plant

import (
	"fmt"
	"math"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// usualRange is what a value of a servo axis with a holding brake usually is. A value outside
// is permitted: it may be a fault, or a rare machine.
type usualRange struct {
	path      string // of a field; of each brake for one that begins with "brake."
	low, high float64
	source    string
}

const commonPractice = "common practice"

// usualRanges are orders of magnitude to catch a wrong unit or a slipped decimal point. No
// standard has them; a maker's data sheet outranks them.
func usualRanges() []usualRange {
	return append(usualBrakeRanges(), []usualRange{
		{"load.mass_kg", 0.5, 20000, commonPractice},
		{"load.payload_kg", 0, 20000, commonPractice},
		{"load.payload_most_kg", 0, 20000, commonPractice},
		{"load.counterbalance_n", 0, 200000, commonPractice},
		{"load.counterbalance_n_per_mm", -200, 200, commonPractice},
		{"load.inertia_kg_m2", 0, 10000, commonPractice},
		{"load.gravity_m_s2", 9.78, 9.833, "normal gravity from the equator to the poles, Geodetic Reference System 1980; from memory"},
		{"transmission.feed_constant_mm_per_turn", 1, 1000, commonPractice},
		{"transmission.gear_ratio", 0.5, 300, commonPractice},
		{"transmission.efficiency", 0.5, 1, commonPractice},
		{"stops.stiffness_n_per_mm", 100, 1e6, commonPractice},
		{"guide.stribeck_rpm", 0.5, 100, commonPractice},
		{"guide.wind_up_deg", 0.005, 2, commonPractice},
		{"motor.inertia_kg_m2", 1e-5, 1, commonPractice},
		{"motor.torque_constant_nm_per_rms_a", 0.05, 20, commonPractice},
		{"motor.torque_factor", 0.85, 1.05, "common practice: warm and aged magnets"},
		{"motor.pole_pairs", 2, 12, commonPractice},
		{"drive.thermal_time", 5, 3600, "common practice: from a winding alone to a whole motor"},
		{"drive.thermal_load", 0, 1, "the permitted thermal load is 1"},
		{"drive.current_lag", 0.0001, 0.005, commonPractice},
		{"drive.current_gain", 0.95, 1.05, commonPractice},
		{"drive.speed_bandwidth_hz", 5, 200, commonPractice},
		{"drive.position_gain_per_s", 5, 100, commonPractice},
		{"drive.speed_integral_time", 0.002, 0.5, commonPractice},
		{"drive.speed_filter", 0, 0.005, commonPractice},
		{"drive.standstill_rpm", 0.1, 60, commonPractice},
		{"drive.in_position_mm", 0.001, 1, commonPractice},
		{"drive.switch_on_time", 0.01, 2, commonPractice},
		{"encoder.increments_per_turn", 1024, 1 << 28, commonPractice},
		{"encoder.noise_deg", 0, 0.05, commonPractice},
		{"encoder.scale", 0.999, 1.001, commonPractice},
		{"clock.functional_scan", 0.0005, 0.02, commonPractice},
		{"clock.safety_scan", 0.002, 0.05, commonPractice},
		{"clock.link_delay_scans", 0, 4, commonPractice},
		{"clock.link_watchdog", 0.02, 1, commonPractice},
		{"test.factor", 1.1, 2, commonPractice},
		{"test.drop_limit_mm", 0.1, 100, commonPractice},
		{"test.hold_time", 10, 3600, commonPractice},
		{"judge.dwell", 0.2, 10, commonPractice},
		{"judge.deadline", 0.5, 60, commonPractice},
		{"judge.window_deg", 0.1, 10, commonPractice},
		{"judge.interval", 3600, 365 * 24 * 3600, "common practice: from an hour to a year"},
		{"judge.current_gain", 0.95, 1.05, commonPractice},
		{"judge.warning_time", 0, 24 * 3600, commonPractice},
		{"safety.setup_speed_mm_s", 1, 250, "reduced speed: 2 m/min to 15 m/min by machine, 250 mm/s of robots; standards of machine types, from memory"},
		{"safety.stop_time", 0.05, 5, commonPractice},
		{"safety.brake_time", 0.02, 1, commonPractice},
	}...)
}

func usualBrakeRanges() []usualRange {
	return []usualRange{
		{"brake.condition", 0.7, 1.3, commonPractice},
		{"brake.response_delay", 0.002, 0.15, commonPractice},
		{"brake.rise_time", 0.002, 0.2, commonPractice},
		{"brake.release_time", 0.005, 0.5, commonPractice},
		{"brake.release_delay", 0, 0.4, commonPractice},
		{"brake.magnet_strength", 0.9, 1.05, commonPractice},
		{"brake.coil_voltage", 0.9, 1.1, "operation at 0.9 to 1.1 of the rated voltage, DIN VDE 0580; from memory"},
		{"brake.pull_in_voltage", 0.5, 0.9, commonPractice},
		{"brake.drop_out_voltage", 0.05, 0.8, commonPractice},
		{"brake.creep_deg_per_s", 0, 1, "a healthy lining does not creep; common practice"},
		{"brake.wind_up_deg", 0.005, 1, commonPractice},
		{"brake.play_deg", 0, 1, commonPractice},
		{"brake.glaze", 0, 0.3, commonPractice},
		{"brake.new_gap_mm", 0.1, 0.6, commonPractice},
		{"brake.gap_mm", 0.1, 1.2, commonPractice},
		{"brake.heat_capacity_j_per_k", 20, 20000, commonPractice},
		{"brake.thermal_resistance_k_per_w", 0.05, 10, commonPractice},
		{"brake.ambient_c", 0, 60, commonPractice},
	}
}

// Implausible warns of values that are permitted but unusual, each with the usual range and
// its source, and of values that do not fit each other. The rig is one that [Validate]
// accepts.
func Implausible(r *Rig) problem.List {
	var found problem.List
	for _, u := range usualRanges() {
		u.warn(&found, r, u.path)
		if strings.HasPrefix(u.path, "brake.") && r.Partner.InertiaKGM2 > 0 {
			u.warn(&found, r, "partner."+u.path)
		}
		if own, of := strings.CutPrefix(u.path, "brake."); of && r.Brake2.Exists() {
			u.warn(&found, r, "brake_2."+own)
		}
	}
	warnOfLoad(&found, r)
	warnOfDrive(&found, r)
	warnOfBrake(&found, r)
	warnOfJudge(&found, r)
	warnOfStop(&found, r)
	return found
}

func (u *usualRange) warn(found *problem.List, r *Rig, path string) {
	f, ok := FindField(path)
	if !ok {
		panic("plant: no field " + path)
	}
	x, _ := f.Number(r)
	if x >= u.low && x <= u.high || path == "transmission.feed_constant_mm_per_turn" && r.isArm() {
		return
	}
	found.Warn(path, "%s is %s; usual is %s (%s)", path, withUnit(f, f.Text(r)), u.text(f), u.source)
}

func (u *usualRange) text(f *Field) string {
	if f.isDuration() {
		return shortDuration(u.low) + " to " + shortDuration(u.high)
	}
	return withUnit(f, fmt.Sprintf("%g to %g", u.low, u.high))
}

// isDuration is whether the value is written with its unit, such as 8ms.
func (f *Field) isDuration() bool { _, ok := f.value.(*typed[time.Duration]); return ok }

func withUnit(f *Field, text string) string {
	if f.Unit == "" || f.isDuration() {
		return text
	}
	return text + " " + f.Unit
}

func shortDuration(s float64) string {
	const year = 365 * 24 * 3600
	if s >= year {
		return fmt.Sprintf("%gh", s/3600)
	}
	return strings.ReplaceAll(problem.Time(seconds(s)), "µ", "u")
}

func warnOfLoad(found *problem.List, r *Rig) {
	if t := &r.Transmission; t.EfficiencyLowering > t.Efficiency {
		found.Warn("transmission.efficiency_lowering", "transmission.efficiency_lowering is %g, above transmission.efficiency, which is %g; usual is at most 2 − 1/η, here %.3g (handbooks of screw makers, from memory)", t.EfficiencyLowering, t.Efficiency, 2-1/t.Efficiency)
	}
	if e := r.Transmission.EfficiencyLowering; e > 0 && e < 0.3 {
		found.Warn("transmission.efficiency_lowering", "transmission.efficiency_lowering is %g; usual is 0.3 to 1 of a transmission that does not lock itself (common practice)", e)
	}
	if l := &r.Load; l.PayloadKG > 0 && l.PayloadMostKG == 0 {
		found.Warn("load.payload_kg", "load.payload_kg is %g kg and load.payload_most_kg is left out: the required test torque is that of the present payload; must be the most that may ever hang there", l.PayloadKG)
	}
	if s := &r.Support; s.StiffnessNPerMM > 0 && s.StiffnessNPerMM < 10 {
		found.Warn("support.stiffness_n_per_mm", "support.stiffness_n_per_mm is %g N/mm; usual is 10 to 1,000,000 N/mm (common practice)", s.StiffnessNPerMM)
	}
}

func warnOfDrive(found *problem.List, r *Rig) {
	const (
		share      = 0.02 // of the current limit
		lowestRPM  = 5
		highestRPM = 6000
	)
	if limit := share * r.Drive.CurrentLimitRMSA; r.Drive.CurrentNoiseRMSA > limit {
		found.Warn("drive.current_noise_rms_a", "drive.current_noise_rms_a is %g A; usual is at most 2 %% of drive.current_limit_rms_a, here %.3g A (common practice)", r.Drive.CurrentNoiseRMSA, limit)
	} else if math.Abs(r.Drive.CurrentOffsetRMSA) > limit {
		found.Warn("drive.current_offset_rms_a", "drive.current_offset_rms_a is %g A; usual is at most 2 %% of drive.current_limit_rms_a, here %.3g A (common practice)", r.Drive.CurrentOffsetRMSA, limit)
	}
	if p := r.Drive.PeakCurrentRMSA; p > 0 && p < r.Drive.CurrentLimitRMSA {
		found.Warn("drive.peak_current_rms_a", "drive.peak_current_rms_a is %g A, below drive.current_limit_rms_a, which is %g A and counts", p, r.Drive.CurrentLimitRMSA)
	}
	rpm := r.Drive.SpeedMMS / (metresPerRad(r) * 1000) / radS(1)
	if rpm < lowestRPM || rpm > highestRPM {
		found.Warn("drive.speed_mm_s", "drive.speed_mm_s is %g mm/s, which turns the motor at %.4g 1/min; usual is %d to %d 1/min (common practice)", r.Drive.SpeedMMS, rpm, lowestRPM, highestRPM)
	}
}

func warnOfBrake(found *problem.List, r *Rig) {
	const (
		most            = 8 // times the load torque
		leastShare      = 0.5
		closesIn, opens = 1, 0
	)
	d := Derive(r)
	if d.WorstLoadTorqueNM > 0 && r.Brake.StaticNM > most*d.WorstLoadTorqueNM {
		found.Warn("brake.static_nm", "brake.static_nm is %g N·m, %.3g times the load torque; usual is 1.5 to %d times (common practice)", r.Brake.StaticNM, r.Brake.StaticNM/d.WorstLoadTorqueNM, most)
	}
	if s := r.Brake.SlidingNM / r.Brake.StaticNM; s > 0 && s < leastShare {
		found.Warn("brake.sliding_nm", "brake.sliding_nm is %.3g of brake.static_nm; usual is %g to 1 (common practice)", s, leastShare)
	}
	if r.Brake.ClosesTo < closesIn || r.Brake.OpensTo > opens {
		found.Warn("brake.closes_to", "brake.closes_to is %g and brake.opens_to is %g; a sound brake has 1 and 0", r.Brake.ClosesTo, r.Brake.OpensTo)
	}
	if r.Brake.Feedback == FeedbackNone {
		found.Warn("brake.feedback", "brake.feedback is none: a brake that does not close is found only when the load follows; usual is a switch, or at least the current of the coil (common practice)")
	}
}

func warnOfJudge(found *problem.List, r *Rig) {
	d := Derive(r)
	j := &r.Judge
	switch {
	case j.CeilingNM == 0:
		found.Warn("judge.ceiling_nm", "judge.ceiling_nm is missing: the rig can be sized and not run; holdbench size works the ceiling out")
	case j.CeilingNM < d.LoadTorqueNM:
		found.Warn("judge.ceiling_nm", "judge.ceiling_nm is %g N·m, below the load torque of %.4g N·m: the safety side stops a drive that only holds the load", j.CeilingNM, d.LoadTorqueNM)
	case j.CeilingNM < math.Abs(d.PressDownNM):
		found.Warn("judge.ceiling_nm", "judge.ceiling_nm is %g N·m, below the press down of %.4g N·m: the test is stopped before its torque is reached", j.CeilingNM, math.Abs(d.PressDownNM))
	case j.CeilingNM > d.DriveTorqueLimitNM:
		found.Warn("judge.ceiling_nm", "judge.ceiling_nm is %g N·m, above the torque limit of the drive, %.4g N·m: it never acts", j.CeilingNM, d.DriveTorqueLimitNM)
	}
	const sigmas = 6
	if least := float64(sigmas*r.Encoder.NoiseDeg) + float64(2*d.IncrementDeg); j.WindowDeg < least {
		found.Warn("judge.window_deg", "judge.window_deg is %g deg, below %.3g deg, which is %d standard deviations of the encoder's noise and two increments: noise alone fails a sound brake", j.WindowDeg, least, sigmas)
	}
	if j.Kind == JudgeCurrent && j.Requirement == RequirementFixed {
		warnOfRequirement(found, r, &d)
	}
	if j.Kind == JudgeTorque {
		warnOfRequiredTorque(found, r, &d)
	}
	warnOfConstant(found, r)
	if j.WarningTime >= j.Interval {
		found.Warn("judge.warning_time", "judge.warning_time is %v, and judge.interval %v: the proof is always due", j.WarningTime, j.Interval)
	}
	if r.Clock.LinkWatchdog < 2*r.Clock.SafetyScan {
		found.Warn("clock.link_watchdog", "clock.link_watchdog is %v, below two safety scans of %v: a single late signal trips it", r.Clock.LinkWatchdog, r.Clock.SafetyScan)
	}
}

// warnOfRequirement warns of a fixed requirement that the drive meets without loading the brake
// with the test torque. Pressing down needs a negative current for a torque above the load.
func warnOfRequirement(found *problem.List, r *Rig, d *Derived) {
	required := r.Judge.RequiredA
	switch {
	case d.RequiredDownAmpA < 0 && required > 0 && required < d.RequiredUpAmpA:
		found.Warn("judge.required_a", "judge.required_a is %g A; must be negative for a press down, here %.4g A, or at least %.4g A for a press up: a positive current carries the load and takes it off the brake", required, d.RequiredDownAmpA, d.RequiredUpAmpA)
	case required < 0 && required > d.RequiredDownAmpA:
		found.Warn("judge.required_a", "judge.required_a is %g A, weaker than %.4g A: the brake is proven below the test torque", required, d.RequiredDownAmpA)
	}
}

// warnOfRequiredTorque warns of a required torque of the wrong sign, or weaker downwards than what loads
// the brake with the test torque where the load helps most.
func warnOfRequiredTorque(found *problem.List, r *Rig, d *Derived) {
	const rounding = 0.005
	j := &r.Judge
	const wrongSign = "with the wrong sign the judge is content with a torque that takes the load off the brake, or never"
	for _, missing := range MissingRequirements(j) {
		found.Warn(missing, "%s is missing: a requirement of 0 is never met, and a test fails with no-torque; holdbench size works it out", missing)
	}
	if j.RequiredDownNM > 0 {
		found.Warn("judge.required_down_nm", "judge.required_down_nm is %g N·m; must be negative, the motor presses down: %s", j.RequiredDownNM, wrongSign)
	}
	if j.RequiredUpNM < 0 {
		found.Warn("judge.required_up_nm", "judge.required_up_nm is %g N·m; must be positive, the motor presses up: %s", j.RequiredUpNM, wrongSign)
	}
	if j.RequiredDownNM < 0 && j.RequiredDownNM > d.PressDownNM*(1-rounding) {
		found.Warn("judge.required_down_nm", "judge.required_down_nm is %g N·m, weaker than %.4g N·m: the brake is proven below the test torque", j.RequiredDownNM, d.PressDownNM)
	}
	if j.RequiredUpNM > 0 && j.RequiredUpNM < d.RequiredTestNM-d.LoadTorqueNM {
		found.Warn("judge.required_up_nm", "judge.required_up_nm is %g N·m, weaker than %.4g N·m: the brake is proven below the test torque wherever the load is", j.RequiredUpNM, d.RequiredTestNM-d.LoadTorqueNM)
	}
}

// MissingRequirements are the values that a judge of the kind torque requires by its directions, and that
// are 0: such a requirement is never met.
func MissingRequirements(j *Judge) []string {
	if j.Kind != JudgeTorque {
		return nil
	}
	var missing []string
	if j.RequiredDownNM == 0 && j.Directions != DirectionsUp {
		missing = append(missing, "judge.required_down_nm")
	}
	if j.RequiredUpNM == 0 && j.Directions != DirectionsDown {
		missing = append(missing, "judge.required_up_nm")
	}
	return missing
}

// warnOfConstant warns of a judge that calculates torque otherwise than the drive.
func warnOfConstant(found *problem.List, r *Rig) {
	const tolerated = 0.02
	own, nominal := r.Judge.TorqueConstant, r.Motor.TorqueConstant
	if own > 0 && math.Abs(own/nominal-1) > tolerated {
		found.Warn("judge.torque_constant_nm_per_rms_a", "judge.torque_constant_nm_per_rms_a is %g N·m/A and that of the motor %g: the judge estimates %+.3g %% of the torque", own, nominal, 100*(own/nominal-1))
	}
}

// warnOfStop warns of stop functions that come too early for brakes or drive. The drive stops from
// its speed v with its acceleration a in v/a.
func warnOfStop(found *problem.List, r *Rig) {
	s := &r.Safety
	closing := r.Brake.ResponseDelay + r.Brake.RiseTime
	if second := r.Brake2.ResponseDelay + r.Brake2.RiseTime; r.Brake2.Exists() {
		closing = max(closing, second)
	}
	if s.BrakeTime < closing {
		found.Warn("safety.brake_time", "safety.brake_time is %v, shorter than response_delay and rise_time of a brake together, %v: the torque ends before the brake carries the load", s.BrakeTime, closing)
	}
	rest := time.Duration(r.Drive.SpeedMMS / r.Drive.AccelerationMMS2 * float64(time.Second)).Round(time.Millisecond)
	if s.StopTime-s.BrakeTime < rest {
		found.Warn("safety.stop_time", "safety.stop_time is %v, and the brakes close %v before its end; from drive.speed_mm_s the drive needs %v to rest: the brakes close on a moving axis", s.StopTime, s.BrakeTime, rest)
	}
}

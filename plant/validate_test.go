package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// A message names the field, what was found, and what would be right (style, point 2);
// a changed message is a change for the reader, so they are compared to the letter.
func TestValidateRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Rig)
		path   string
		want   string
	}{
		{"MassNegative", func(r *Rig) { r.Load.MassKG = -5 }, "load.mass_kg",
			`load.mass_kg is "-5"; must be between 0.001 and 1,000,000 kg`},
		{"MassNaN", func(r *Rig) { r.Load.MassKG = math.NaN() }, "load.mass_kg",
			`load.mass_kg is "NaN"; must be between 0.001 and 1,000,000 kg`},
		{"GravityInfinite", func(r *Rig) { r.Load.GravityMS2 = math.Inf(1) }, "load.gravity_m_s2",
			`load.gravity_m_s2 is "+Inf"; must be between 0 and 30 m/s²`},
		{"InclineBeyondVertical", func(r *Rig) { r.Load.InclineDeg = 91 }, "load.incline_deg",
			`load.incline_deg is "91"; must be between 0 and 90 deg`},
		{"TravelMissing", func(r *Rig) { r.Transmission.FeedConstantMMPerTurn = 0 }, "transmission.feed_constant_mm_per_turn",
			`transmission.feed_constant_mm_per_turn is missing or 0; must be between 0.001 and 100,000 mm, or load.arm_mm must be set for a swivelling axis`},
		{"EfficiencyAboveOne", func(r *Rig) { r.Transmission.Efficiency = 1.01 }, "transmission.efficiency",
			`transmission.efficiency is "1.01"; must be between 0.05 and 1`},
		{"InertiaMissing", func(r *Rig) { r.Motor.InertiaKGM2 = 0 }, "motor.inertia_kg_m2",
			`motor.inertia_kg_m2 is missing or 0; must be between 1e-8 and 10,000 kg·m²`},
		{"CurrentLagMissing", func(r *Rig) { r.Drive.CurrentLag = 0 }, "drive.current_lag",
			`drive.current_lag is missing or 0; must be between 1µs and 1s`},
		{"RiseTimeNegative", func(r *Rig) { r.Brake.RiseTime = -time.Millisecond }, "brake.rise_time",
			`brake.rise_time is "-1ms"; must be between 1µs and 1m`},
		{"ResponseDelayMissing", func(r *Rig) { r.Brake.ResponseDelay = 0 }, "brake.response_delay",
			`brake.response_delay is missing or 0; must be between 1µs and 1m (t11: time from the close command to the first torque, at the air gap of a new brake; the maker's data sheet gives it, DIN VDE 0580)`},
		{"RiseTimeMissing", func(r *Rig) { r.Brake.RiseTime = 0 }, "brake.rise_time",
			`brake.rise_time is missing or 0; must be between 1µs and 1m (t12: rise time from the first torque to 90 % of the torque; the maker's data sheet gives it, DIN VDE 0580)`},
		{"ReleaseTimeMissing", func(r *Rig) { r.Brake.ReleaseTime = 0 }, "brake.release_time",
			`brake.release_time is missing or 0; must be between 1µs and 1m (t2: time from the open command until the torque has fallen to 10 %; the maker's data sheet gives it, DIN VDE 0580)`},
		{"ReleaseDelayIsAllOfIt", func(r *Rig) { r.Brake.ReleaseDelay = 35 * time.Millisecond }, "brake.release_time",
			`brake.release_time is 35ms; must be above brake.release_delay, which is 35ms and part of it`},
		{"PartnerTimesMissing", func(r *Rig) { r.Partner.InertiaKGM2, r.Partner.Brake.StaticNM = 1e-3, 9 }, "partner.brake.response_delay",
			`partner.brake.response_delay is missing or 0; must be between 1µs and 1m (t11: time from the close command to the first torque, at the air gap of a new brake; the maker's data sheet gives it, DIN VDE 0580)`},
		{"PartnerWithoutInertia", func(r *Rig) { r.Partner.DriveHolds = true }, "partner.inertia_kg_m2",
			`partner.inertia_kg_m2 is missing or 0, but partner.drive_holds is true; must be the inertia of the partner, or partner.drive_holds must be omitted`},
		{"FeedbackUnknown", func(r *Rig) { r.Brake.FeedbackSignal = "broken" }, "brake.feedback_signal",
			`brake.feedback_signal is "broken"; must be actual or closed or open or chattering or missing`},
		{"LinkDelayNegative", func(r *Rig) { r.Clock.LinkDelayScans = -1 }, "clock.link_delay_scans",
			`clock.link_delay_scans is "-1"; must be between 0 and 16`},
		{"TickTooLong", func(r *Rig) { r.Clock.Tick = time.Second }, "clock.tick",
			`clock.tick is "1s"; must be between 1µs and 10ms`},
		{"StopsReversed", func(r *Rig) { r.Stops.LowMM, r.Stops.HighMM, r.Load.StartMM = 300, 100, 300 }, "stops.high_mm",
			`stops.high_mm is 100 mm; must be above stops.low_mm, which is 300 mm`},
		{"StopsTogether", func(r *Rig) { r.Stops.LowMM, r.Stops.HighMM, r.Load.StartMM = 300, 300, 300 }, "stops.high_mm",
			`stops.high_mm is 300 mm; must be above stops.low_mm, which is 300 mm`},
		{"StartBelowTheStop", func(r *Rig) { r.Load.StartMM = -1 }, "load.start_mm",
			`load.start_mm is -1 mm; must lie between the hard stops at 0 and 1200 mm`},
		{"StartAboveTheStop", func(r *Rig) { r.Load.StartMM = 1300 }, "load.start_mm",
			`load.start_mm is 1300 mm; must lie between the hard stops at 0 and 1200 mm`},
		{"BreakawayBelowSliding", func(r *Rig) { r.Guide.BreakawayNM = 0.05 }, "guide.breakaway_nm",
			`guide.breakaway_nm is 0.05 N·m; must be 0 or at least guide.sliding_nm, which is 0.08 N·m`},
		{"DeadlineShorterThanDwell", func(r *Rig) { r.Judge.Deadline = 500 * time.Millisecond }, "judge.deadline",
			`judge.deadline is 500ms; must be at least judge.dwell, which is 1s`},
		{"OpensFurtherThanItCloses", func(r *Rig) { r.Brake.ClosesTo, r.Brake.OpensTo = 0.4, 0.5 }, "brake.opens_to",
			`brake.opens_to is 0.5; must be at most 0.4, the engagement of the closed brake`},
		{"IncrementsNotWhole", func(r *Rig) { r.Encoder.IncrementsPerTurn = 1000.5 }, "encoder.increments_per_turn",
			`encoder.increments_per_turn is 1000.5; must be a whole number`},
		{"FunctionalScanOffTheTick", func(r *Rig) { r.Clock.FunctionalScan = 2100 * time.Microsecond }, "clock.functional_scan",
			`clock.functional_scan is 2.1ms; must be a whole multiple of clock.tick, which is 250µs`},
		{"SafetyScanOffTheTick", func(r *Rig) { r.Clock.SafetyScan = 8100 * time.Microsecond }, "clock.safety_scan",
			`clock.safety_scan is 8.1ms; must be a whole multiple of clock.tick, which is 250µs`},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := paneRig()
			c.change(&r)
			_, err := Validate(&r)
			require.Error(t, err)
			require.Equal(t, problem.Problem{Path: c.path, Message: c.want}, problem.Of(err)[0])
		})
	}
}

// All that is wrong comes at once, in the order of the document.
func TestValidateReportsAll(t *testing.T) {
	r := Defaults()
	var paths []string
	_, err := Validate(&r)
	for _, p := range problem.Of(err) {
		require.False(t, p.Warning)
		paths = append(paths, p.Path)
	}
	// the required values
	require.Equal(t, []string{
		"load.mass_kg", "motor.inertia_kg_m2",
		"motor.torque_constant_nm_per_rms_a", "drive.current_limit_rms_a", "drive.speed_mm_s",
		"drive.acceleration_mm_s2", "brake.static_nm", "brake.response_delay", "brake.rise_time",
		"brake.release_time", "transmission.feed_constant_mm_per_turn",
	}, paths)
}

// A rig that exists but should make its owner think is a warning with both figures.
// The pane's load is 180 kg · 9.80665 m/s² · 0.01 m/2π = 2.809 N·m at the shaft, and 1.3
// times that is 3.652 N·m.
func TestValidateWarns(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Rig)
		path   string
		want   string
	}{
		{"BrakeBelowTheLoad", func(r *Rig) { r.Brake.StaticNM, r.Brake.SlidingNM = 2, 2 }, "brake.static_nm",
			"brake.static_nm is 2 N·m, below the load torque of 2.809 N·m at the shaft: the brake cannot hold the load even when new"},
		{"BrakeBelowTheTest", func(r *Rig) { r.Brake.StaticNM, r.Brake.SlidingNM = 3.2, 3 }, "brake.static_nm",
			"brake.static_nm is 3.2 N·m, below the required test torque of 3.652 N·m: the brake cannot pass the test even when new"},
		{"GripsBetterSlipping", func(r *Rig) { r.Brake.SlidingNM = 10 }, "brake.sliding_nm",
			"brake.sliding_nm is 10 N·m, above brake.static_nm, which is 9 N·m: a torque that is higher while slipping is unusual"},
		{"DriveBelowTheLoad", func(r *Rig) { r.Drive.CurrentLimitRMSA = 2 }, "drive.current_limit_rms_a",
			"drive.current_limit_rms_a allows 2.2 N·m, below the load torque of 2.809 N·m: the drive cannot carry the load"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := paneRig()
			c.change(&r)
			warnings, err := Validate(&r)
			require.NoError(t, err)
			require.Equal(t, problem.List{{Path: c.path, Message: c.want, Warning: true}}, warnings)
		})
	}
}

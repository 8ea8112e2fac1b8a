package plant

import (
	"slices"
)

// Fields lists every value of the rig in the order of the document.
func Fields(r *Rig) []Field {
	p := &r.Partner
	return slices.Concat(
		loadFields(r), guideFields("guide.", &r.Guide), motorFields(r), brakeFields("brake.", &r.Brake), encoderFields(r),
		partnerFields(p), guideFields("partner.guide.", &p.Guide), brakeFields("partner.brake.", &p.Brake),
		engineeringFields(r),
	)
}

func loadFields(r *Rig) []Field {
	l, t, s := &r.Load, &r.Transmission, &r.Stops
	return []Field{
		number("load.mass_kg", "kg", 1e-3, 1e6, &l.MassKG, "mass that the axis holds up"),
		number("load.counter_kg", "kg", 0, 1e6, &l.CounterKG, "mass of the counterbalance"),
		number("load.arm_mm", "mm", 0, 1e5, &l.ArmMM, "an arm: from the pivot to the centre of mass; 0 is a straight axis. Travel is then along the arc of that centre"),
		number("load.arm_angle_deg", "deg", -90, 90, &l.ArmAngleDeg, "an arm: how high it points where the travel is zero; 0 is level"),
		number("load.incline_deg", "deg", 0, 90, &l.InclineDeg, "incline of the axis; 90 is vertical"),
		number("load.gravity_m_s2", "m/s²", 0, 30, &l.GravityMS2, "acceleration of free fall"),
		number("load.start_mm", "mm", -1e6, 1e6, &l.StartMM, "where the load is at the start"),
		number("load.start_speed_mm_s", "mm/s", -1e5, 1e5, &l.StartSpeedMMS, "how fast the load moves at the start"),
		number("transmission.travel_mm_per_turn", "mm", 0, 1e5, &t.TravelMMPerTurn, "travel for one turn of screw or pinion; 0 on an arm"),
		number("transmission.motor_turns_per_turn", "", 1e-3, 1e4, &t.MotorTurns, "motor turns for one turn of screw, pinion or arm"),
		number("transmission.efficiency", "", 0.05, 1, &t.Efficiency, "its loss is added to the guide's friction"),
		flag("transmission.severed", &t.Severed, "broken: the load falls on its own, and nothing mends it in a run"),
		number("stops.low_mm", "mm", -1e6, 1e6, &s.LowMM, "lower hard stop"),
		number("stops.high_mm", "mm", -1e6, 1e6, &s.HighMM, "upper hard stop"),
		number("stops.stiffness_n_per_mm", "N/mm", 1, 1e8, &s.StiffnessNPerMM, "stiffness of a hard stop"),
		number("stops.damping_ratio", "", 0, 5, &s.DampingRatio, "damping of a hard stop, 1 is critical"),
	}
}

func motorFields(r *Rig) []Field {
	d := &r.Drive
	return []Field{
		number("motor.inertia_kg_m2", "kg·m²", 1e-8, 1e4, &r.Motor.InertiaKGM2, "rotor with brake and coupling"),
		number("motor.torque_constant_nm_per_rms_a", "N·m/A", 1e-4, 1e3, &r.Motor.TorqueConstant, "torque for one ampere rms, as the drive knows it"),
		number("motor.magnet_condition", "", 0, 1.5, &r.Motor.MagnetCondition, "true torque constant over the one that the drive knows"),
		number("drive.current_limit_rms_a", "A rms", 1e-3, 1e5, &d.CurrentLimitRMSA, "the drive's own current limit"),
		period("drive.current_lag", 1e-6, 1, &d.CurrentLag, "time constant of the current loop"),
		number("drive.current_noise_rms_a", "A rms", 0, 1e3, &d.CurrentNoiseRMSA, "standard deviation of the measured current"),
		number("drive.current_offset_rms_a", "A rms", -1e4, 1e4, &d.CurrentOffsetRMSA, "what the measured current has too much, for both sides; the torque is not touched"),
		number("drive.current_gain", "", -10, 10, &d.CurrentGain, "measured current over true current, for both sides"),
		flag("drive.current_frozen", &d.CurrentFrozen, "the measured current stays as it is, for both sides"),
		number("drive.speed_mm_s", "mm/s", 1e-3, 1e5, &d.SpeedMMS, "speed of a move"),
		number("drive.acceleration_mm_s2", "mm/s²", 1e-3, 1e6, &d.AccelerationMMS2, "acceleration of a move"),
		number("drive.position_gain_per_s", "1/s", 0.1, 1e4, &d.PositionGainPerS, "gain of the position loop"),
		number("drive.speed_bandwidth_hz", "Hz", 0.1, 1e4, &d.SpeedBandwidthHz, "bandwidth of the speed loop, sets its gain"),
		period("drive.speed_integral_time", 1e-4, 100, &d.SpeedIntegralTime, "reset time of the speed loop"),
		period("drive.speed_filter", 0, 1, &d.SpeedFilter, "time constant of the measured speed"),
		number("drive.standstill_rpm", "1/min", 1e-3, 1e4, &d.StandstillRPM, "below this speed the drive reports standstill"),
		number("drive.in_position_mm", "mm", 1e-6, 1e4, &d.InPositionMM, "within this distance the drive reports in position"),
		period("drive.switch_on_time", 0, 60, &d.SwitchOnTime, "from off to torque"),
		flag("drive.ready", &d.Ready, "the drive may be switched on"),
		flag("drive.tripped", &d.Tripped, "the drive has tripped and gives no torque"),
		flag("drive.ignores_press", &d.IgnoresPress, "the drive goes on holding when told to press"),
		number("drive.press_rate_factor", "", 1e-3, 1e3, &d.PressRateFactor, "rate at which press torque is built up over the rate told"),
		number("drive.press_overshoot", "", 0, 5, &d.PressOvershoot, "how far press torque runs past its setpoint, over the step made; it comes back within some tenths of a second"),
		number("drive.creep_mm_s", "mm/s", -1e3, 1e3, &d.CreepMMS, "how fast the setpoint moves while the drive is told to hold"),
		flag("drive.torque_sign_reversed", &d.TorqueSignReversed, "press torque comes out with the wrong sign"),
	}
}

func encoderFields(r *Rig) []Field {
	e := &r.Encoder
	return []Field{
		number("encoder.increments_per_turn", "", 4, 1<<32, &e.IncrementsPerTurn, "increments of the single turn"),
		number("encoder.noise_deg", "deg", 0, 90, &e.NoiseDeg, "standard deviation of the position"),
		number("encoder.offset_deg", "deg", -360, 360, &e.OffsetDeg, "reading where the travel is zero"),
		number("encoder.scale", "", 0.5, 2, &e.Scale, "turn read over turn made"),
		number("encoder.drift_deg_per_s", "deg/s", -360, 360, &e.DriftDegPerS, "how fast the reading runs away"),
		flag("encoder.frozen", &e.Frozen, "the position stays as it is"),
		flag("encoder.lost", &e.Lost, "the position is gone and says so"),
		number("encoder.wrap_error_deg", "deg", -180, 180, &e.WrapErrorDeg, "by what the judge's reading falls short of a turn where it wraps: where the shaft stands when this comes"),
	}
}

func engineeringFields(r *Rig) []Field {
	c, j := &r.Clock, &r.Judge
	return []Field{
		period("clock.tick", 1e-6, 0.01, &c.Tick, "drive and plant"),
		period("clock.functional_scan", 1e-6, 1, &c.FunctionalScan, "scan of the sequence"),
		period("clock.safety_scan", 1e-6, 1, &c.SafetyScan, "scan of the judge"),
		count("clock.link_delay_scans", 0, 16, &c.LinkDelayScans, "safety scans that a signal is late, each way"),
		period("clock.link_watchdog", 1e-3, 60, &c.LinkWatchdog, "after this time without the link both sides read safe values"),
		period("clock.run_limit", 0.1, 3600, &c.RunLimit, "longest run"),
		number("test.factor", "", 0.1, 10, &r.Test.Factor, "required test torque over worst static load torque"),
		number("test.drop_limit_mm", "mm", 1e-3, 1e5, &r.Test.DropLimitMM, "how far the load may sink during the test"),
		period("judge.dwell", 1e-3, 600, &j.Dwell, "how long torque must stand inside the window"),
		period("judge.deadline", 1e-3, 3600, &j.Deadline, "longest wait for a full dwell"),
		number("judge.window_deg", "deg", 1e-6, 180, &j.WindowDeg, "how far the shaft may move during the dwell"),
		period("judge.interval", 1, 1e8, &j.Interval, "how long a proof lasts"),
		number("judge.ceiling_nm", "N·m", 1e-3, 1e6, &j.CeilingNM, "motor torque above which the safety side stops the drive"),
		word("judge.sense", []string{SenseSigned, SenseMagnitude}, &j.Sense, "whether the direction of the current counts"),
		word("judge.requirement", []string{RequirementDynamic, RequirementFixed}, &j.Requirement, "who states the required current"),
		number("judge.required_a", "A", -1e5, 1e5, &j.RequiredA, "required current amplitude if fixed; minus presses down"),
		period("judge.frozen_after", 0, 600, &j.FrozenAfter, "a position that stays the same bit for bit this long is lost; 0 is off"),
		period("judge.ramp_down", 0, 60, &j.RampDown, "SS1: time from the stop until STO"),
		period("judge.proof_left", 0, 1e8, &j.ProofLeft, "what the last run's proof has left at the start"),
	}
}

func guideFields(prefix string, g *Guide) []Field {
	return []Field{
		number(prefix+"sliding_nm", "N·m", 0, 1e5, &g.SlidingNM, "friction while sliding, at the motor shaft"),
		number(prefix+"breakaway_nm", "N·m", 0, 1e5, &g.BreakawayNM, "friction to be overcome from rest; 0 means as sliding"),
		number(prefix+"stribeck_rpm", "1/min", 1e-3, 1e5, &g.StribeckRPM, "speed at which break-away has faded to sliding"),
		number(prefix+"viscous_nm_s", "N·m·s", 0, 1e3, &g.ViscousNMS, "friction that grows with speed"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, &g.WindUpDeg, "elastic give of the guide before it slides"),
		number(prefix+"damping_ratio", "", 0.01, 5, &g.DampingRatio, "damping of that give, 1 is critical"),
	}
}

func brakeFields(prefix string, b *Brake) []Field {
	return []Field{
		number(prefix+"static_nm", "N·m", 1e-4, 1e6, &b.StaticNM, "rated torque at rest, new lining"),
		number(prefix+"sliding_nm", "N·m", 0, 1e6, &b.SlidingNM, "rated torque while slipping; 0 means as at rest"),
		number(prefix+"stribeck_rpm", "1/min", 1e-3, 1e5, &b.StribeckRPM, "slip speed at which static has faded to sliding"),
		number(prefix+"condition", "", 0, 2, &b.Condition, "capacity over rated capacity; worn or oily is below 1"),
		period(prefix+"response_delay", 0, 60, &b.ResponseDelay, "t11: from the close command until torque begins"),
		period(prefix+"rise_time", 0, 60, &b.RiseTime, "t12: from no torque to full torque"),
		period(prefix+"release_time", 0, 60, &b.ReleaseTime, "t2: from full torque to none after the open command"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, &b.WindUpDeg, "elastic give at rated torque"),
		number(prefix+"damping_ratio", "", 0.01, 5, &b.DampingRatio, "damping of that give, 1 is critical"),
		number(prefix+"play_deg", "deg", 0, 10, &b.PlayDeg, "free play between rotor and hub"),
		number(prefix+"closes_to", "", 0, 1, &b.ClosesTo, "how far it closes; 0 never closes"),
		number(prefix+"opens_to", "", 0, 1, &b.OpensTo, "how far it stays closed when told to open; 1 never opens"),
		word(prefix+"feedback", []string{FeedbackHonest, FeedbackClosed, FeedbackOpen, FeedbackChattering, FeedbackMissing}, &b.Feedback, "what the switch on the brake says"),
		number(prefix+"residual_voltage", "", 0, 1, &b.ResidualVoltage, "voltage left on the coil when told to close, over the rated one"),
		number(prefix+"glaze", "", 0, 1, &b.Glaze, "share of the friction that a polished lining has lost; slip work brings it back"),
		number(prefix+"bed_in_j", "J", 1e-3, 1e9, &b.BedInJ, "slip work that brings back all but a third of what glaze took"),
		number(prefix+"new_gap_mm", "mm", 1e-3, 20, &b.NewGapMM, "air gap when new"),
		number(prefix+"gap_mm", "mm", 1e-3, 20, &b.GapMM, "air gap at the start; it grows with wear, and t11 with it"),
		number(prefix+"gap_limit_mm", "mm", 1e-3, 20, &b.GapLimitMM, "air gap past which the springs lose force"),
		number(prefix+"wear_mm_per_mj", "mm/MJ", 0, 1e3, &b.WearMMPerMJ, "growth of the air gap with slip work"),
		number(prefix+"fade_from_c", "°C", -60, 1000, &b.FadeFromC, "temperature above which the lining fades"),
		number(prefix+"fade_per_k", "1/K", 0, 1, &b.FadePerK, "share of the friction lost for each kelvin above that"),
		number(prefix+"heat_capacity_j_per_k", "J/K", 1e-2, 1e7, &b.HeatCapacity, "heat that warms the friction pair by one kelvin"),
		number(prefix+"heat_path_k_per_w", "K/W", 1e-4, 1e4, &b.HeatPath, "thermal resistance to the surroundings"),
		number(prefix+"ambient_c", "°C", -60, 120, &b.AmbientC, "temperature of the surroundings"),
	}
}

func partnerFields(p *Partner) []Field {
	return []Field{
		number("partner.inertia_kg_m2", "kg·m²", 0, 1e4, &p.InertiaKGM2, "second shaft coupled to the axis; 0 is none"),
		number("partner.coupling_nm_per_rad", "N·m/rad", 1e-3, 1e9, &p.StiffnessNM, "stiffness of the coupling"),
		number("partner.coupling_damping_ratio", "", 0, 5, &p.DampingRatio, "damping of the coupling, 1 is critical"),
		number("partner.coupling_gap_deg", "deg", 0, 90, &p.GapDeg, "free turn between the two"),
		period("partner.decouple_time", 0, 60, &p.DecoupleTime, "from the command until the coupling has opened or closed"),
		number("partner.drive_limit_nm", "N·m", 0, 1e6, &p.DriveLimitNM, "torque of the partner's own drive"),
		flag("partner.drive_holds", &p.DriveHolds, "the partner's drive holds its shaft where it is"),
		flag("partner.stays_coupled", &p.StaysCoupled, "the coupling does not open"),
		flag("partner.says_decoupled", &p.SaysDecoupled, "its switch says decoupled, whatever it does"),
	}
}

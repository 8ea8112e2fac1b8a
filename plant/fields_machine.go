package plant

import "time"

func loadFields() []Field {
	return []Field{
		number("load.mass_kg", "kg", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Load.MassKG }, "mass that the axis holds up"),
		number("load.counterbalance_kg", "kg", 0, 1e6, func(r *Rig) *float64 { return &r.Load.CounterbalanceKG }, "mass of the counterbalance"),
		fixedInRun(number("load.arm_mm", "mm", 0, 1e5, func(r *Rig) *float64 { return &r.Load.ArmMM }, "an arm: from the pivot to the centre of mass; 0 is a straight axis. Travel is then along the arc of that centre")),
		fixedInRun(number("load.arm_angle_deg", "deg", -90, 90, func(r *Rig) *float64 { return &r.Load.ArmAngleDeg }, "an arm: how high it points where the travel is zero; 0 is level")),
		number("load.incline_deg", "deg", 0, 90, func(r *Rig) *float64 { return &r.Load.InclineDeg }, "incline of the axis; 90 is vertical"),
		number("load.gravity_m_s2", "m/s²", 0, 30, func(r *Rig) *float64 { return &r.Load.GravityMS2 }, "acceleration of free fall"),
		fixedInRun(number("load.start_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Load.StartMM }, "where the load is at the start")),
		fixedInRun(number("load.start_speed_mm_s", "mm/s", -1e5, 1e5, func(r *Rig) *float64 { return &r.Load.StartSpeedMMS }, "how fast the load moves at the start")),
		fixedInRun(number("transmission.feed_constant_mm_per_turn", "mm", 0, 1e5, func(r *Rig) *float64 { return &r.Transmission.FeedConstantMMPerTurn }, "travel for one turn of screw or pinion; 0 on an arm")),
		fixedInRun(number("transmission.gear_ratio", "", 1e-3, 1e4, func(r *Rig) *float64 { return &r.Transmission.GearRatio }, "motor turns for one turn of screw, pinion or arm")),
		fixedInRun(number("transmission.efficiency", "", 0.05, 1, func(r *Rig) *float64 { return &r.Transmission.Efficiency }, "its loss is added to the guide's friction")),
		permanent(flag("transmission.severed", func(r *Rig) *bool { return &r.Transmission.Severed }, "broken: the load falls on its own, and nothing mends it in a run")),
		number("stops.low_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Stops.LowMM }, "lower hard stop"),
		number("stops.high_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Stops.HighMM }, "upper hard stop"),
		number("stops.stiffness_n_per_mm", "N/mm", 1, 1e8, func(r *Rig) *float64 { return &r.Stops.StiffnessNPerMM }, "stiffness of a hard stop"),
		number("stops.damping_ratio", "", 0, 5, func(r *Rig) *float64 { return &r.Stops.DampingRatio }, "damping of a hard stop, 1 is critical"),
	}
}

func motorFields() []Field {
	return []Field{
		number("motor.inertia_kg_m2", "kg·m²", 1e-8, 1e4, func(r *Rig) *float64 { return &r.Motor.InertiaKGM2 }, "rotor with brake and coupling"),
		fixedInRun(number("motor.torque_constant_nm_per_rms_a", "N·m/A", 1e-4, 1e3, func(r *Rig) *float64 { return &r.Motor.TorqueConstant }, "torque for one ampere rms, as the drive knows it")),
		number("motor.torque_factor", "", 0, 1.5, func(r *Rig) *float64 { return &r.Motor.TorqueFactor }, "true torque constant over the one that the drive knows"),
		number("drive.current_limit_rms_a", "A rms", 1e-3, 1e5, func(r *Rig) *float64 { return &r.Drive.CurrentLimitRMSA }, "the drive's own current limit"),
		period("drive.current_lag", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Drive.CurrentLag }, "time constant of the current loop"),
		number("drive.current_noise_rms_a", "A rms", 0, 1e3, func(r *Rig) *float64 { return &r.Drive.CurrentNoiseRMSA }, "standard deviation of the measured current"),
		number("drive.current_offset_rms_a", "A rms", -1e4, 1e4, func(r *Rig) *float64 { return &r.Drive.CurrentOffsetRMSA }, "what the measured current has too much, for both sides; the torque is not touched"),
		number("drive.current_gain", "", -10, 10, func(r *Rig) *float64 { return &r.Drive.CurrentGain }, "measured current over true current, for both sides"),
		flag("drive.current_frozen", func(r *Rig) *bool { return &r.Drive.CurrentFrozen }, "the measured current stays as it is, for both sides"),
		number("drive.speed_mm_s", "mm/s", 1e-3, 1e5, func(r *Rig) *float64 { return &r.Drive.SpeedMMS }, "speed of a move"),
		number("drive.acceleration_mm_s2", "mm/s²", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Drive.AccelerationMMS2 }, "acceleration of a move"),
		number("drive.position_gain_per_s", "1/s", 0.1, 1e4, func(r *Rig) *float64 { return &r.Drive.PositionGainPerS }, "gain of the position loop"),
		number("drive.speed_bandwidth_hz", "Hz", 0.1, 1e4, func(r *Rig) *float64 { return &r.Drive.SpeedBandwidthHz }, "bandwidth of the speed loop, sets its gain"),
		period("drive.speed_integral_time", 1e-4, 100, func(r *Rig) *time.Duration { return &r.Drive.SpeedIntegralTime }, "reset time of the speed loop"),
		period("drive.speed_filter", 0, 1, func(r *Rig) *time.Duration { return &r.Drive.SpeedFilter }, "time constant of the measured speed"),
		number("drive.standstill_rpm", "1/min", 1e-3, 1e4, func(r *Rig) *float64 { return &r.Drive.StandstillRPM }, "below this speed the drive reports standstill"),
		number("drive.in_position_mm", "mm", 1e-6, 1e4, func(r *Rig) *float64 { return &r.Drive.InPositionMM }, "within this distance the drive reports in position"),
		period("drive.switch_on_time", 0, 60, func(r *Rig) *time.Duration { return &r.Drive.SwitchOnTime }, "from off to torque"),
		flag("drive.ready", func(r *Rig) *bool { return &r.Drive.Ready }, "the drive may be switched on"),
		flag("drive.tripped", func(r *Rig) *bool { return &r.Drive.Tripped }, "the drive has tripped and gives no torque"),
		flag("drive.ignores_press", func(r *Rig) *bool { return &r.Drive.IgnoresPress }, "the drive goes on holding when told to press"),
		number("drive.press_rate_factor", "", 1e-3, 1e3, func(r *Rig) *float64 { return &r.Drive.PressRateFactor }, "rate at which press torque is built up over the rate told"),
		number("drive.press_overshoot", "", 0, 5, func(r *Rig) *float64 { return &r.Drive.PressOvershoot }, "how far press torque runs past its setpoint, over the step made; it comes back within some tenths of a second"),
		number("drive.creep_mm_s", "mm/s", -1e3, 1e3, func(r *Rig) *float64 { return &r.Drive.CreepMMS }, "how fast the setpoint moves while the drive is told to hold"),
		flag("drive.torque_sign_reversed", func(r *Rig) *bool { return &r.Drive.TorqueSignReversed }, "press torque comes out with the wrong sign"),
	}
}

func encoderFields() []Field {
	return []Field{
		fixedInRun(number("encoder.increments_per_turn", "", 4, 1<<32, func(r *Rig) *float64 { return &r.Encoder.IncrementsPerTurn }, "increments of the single turn")),
		number("encoder.noise_deg", "deg", 0, 90, func(r *Rig) *float64 { return &r.Encoder.NoiseDeg }, "standard deviation of the position"),
		number("encoder.offset_deg", "deg", -360, 360, func(r *Rig) *float64 { return &r.Encoder.OffsetDeg }, "reading where the travel is zero"),
		number("encoder.scale", "", 0.5, 2, func(r *Rig) *float64 { return &r.Encoder.Scale }, "turn read over turn made"),
		number("encoder.drift_deg_per_s", "deg/s", -360, 360, func(r *Rig) *float64 { return &r.Encoder.DriftDegPerS }, "how fast the reading runs away"),
		flag("encoder.frozen", func(r *Rig) *bool { return &r.Encoder.Frozen }, "the position stays as it is"),
		flag("encoder.lost", func(r *Rig) *bool { return &r.Encoder.Lost }, "the position is gone and says so"),
		number("encoder.wrap_error_deg", "deg", -180, 180, func(r *Rig) *float64 { return &r.Encoder.WrapErrorDeg }, "by what the judge's reading falls short of a turn where it wraps: where the shaft stands when this comes"),
	}
}

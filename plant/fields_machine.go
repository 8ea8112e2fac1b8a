package plant

import "time"

func loadFields() []Field {
	return []Field{
		number("load.mass_kg", "kg", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Load.MassKG }, "mass held by the axis, without payload and counterbalance"),
		number("load.payload_kg", "kg", 0, 1e6, func(r *Rig) *float64 { return &r.Load.PayloadKG }, "payload that is on the axis now, in addition to load.mass_kg"),
		number("load.payload_least_kg", "kg", 0, 1e6, func(r *Rig) *float64 { return &r.Load.PayloadLeastKG }, "least payload in operation; 0 for an axis that also runs empty"),
		number("load.payload_most_kg", "kg", 0, 1e6, func(r *Rig) *float64 { return &r.Load.PayloadMostKG }, "most payload in operation, which determines the required test torque; 0 for the present payload"),
		number("load.counterbalance_kg", "kg", 0, 1e6, func(r *Rig) *float64 { return &r.Load.CounterbalanceKG }, "mass of the counterbalance"),
		number("load.counterbalance_n", "N", 0, 1e7, func(r *Rig) *float64 { return &r.Load.CounterbalanceN }, "force of a counterbalance by spring or gas at load.counterbalance_at_mm; on an arm along the arc of the centre of mass. It adds no inertia"),
		number("load.counterbalance_n_per_mm", "N/mm", -1e5, 1e5, func(r *Rig) *float64 { return &r.Load.CounterbalanceNPerMM }, "change of this force with the travel; negative if the force falls as the load rises, as that of a gas spring does"),
		number("load.counterbalance_at_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Load.CounterbalanceAtMM }, "position at which this force is load.counterbalance_n"),
		number("load.inertia_kg_m2", "kg·m²", 0, 1e6, func(r *Rig) *float64 { return &r.Load.InertiaKGM2 }, "further inertia at the slow side of the gear, in addition to that of the moving masses: of an arm about its pivot, beside m r²; of a linear axis about the shaft of screw, pinion or pulley"),
		fixedInRun(number("load.arm_mm", "mm", 0, 1e5, func(r *Rig) *float64 { return &r.Load.ArmMM }, "swivelling axis: distance from the pivot to the centre of mass; 0 for a linear axis. Travel is measured along the arc of the centre of mass")),
		fixedInRun(number("load.arm_angle_deg", "deg", -360, 360, func(r *Rig) *float64 { return &r.Load.ArmAngleDeg }, "swivelling axis: angle above the horizontal at zero travel")),
		number("load.incline_deg", "deg", 0, 90, func(r *Rig) *float64 { return &r.Load.InclineDeg }, "inclination of a linear axis; 90 is vertical"),
		number("load.gravity_m_s2", "m/s²", 0, 30, func(r *Rig) *float64 { return &r.Load.GravityMS2 }, "acceleration of free fall"),
		fixedInRun(number("load.start_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Load.StartMM }, "position of the load at the start of a run")),
		fixedInRun(number("load.start_speed_mm_s", "mm/s", -1e5, 1e5, func(r *Rig) *float64 { return &r.Load.StartSpeedMMS }, "speed of the load at the start of a run")),
		fixedInRun(number("transmission.feed_constant_mm_per_turn", "mm", 0, 1e5, func(r *Rig) *float64 { return &r.Transmission.FeedConstantMMPerTurn }, "feed constant: travel for one turn of the screw (its lead) or the pinion; 0 for a swivelling axis")),
		fixedInRun(number("transmission.gear_ratio", "", 1e-3, 1e4, func(r *Rig) *float64 { return &r.Transmission.GearRatio }, "motor turns for one turn of the screw, pinion or arm")),
		fixedInRun(number("transmission.efficiency", "", 0.05, 1, func(r *Rig) *float64 { return &r.Transmission.Efficiency }, "efficiency when it raises the load; the loss is added to the friction of the guide")),
		fixedInRun(number("transmission.efficiency_lowering", "", 0, 1, func(r *Rig) *float64 { return &r.Transmission.EfficiencyLowering }, "efficiency when the load drives the motor; 0 for the loss torque of raising, which is an efficiency of 2 − 1/η")),
		permanent(flag("transmission.severed", func(r *Rig) *bool { return &r.Transmission.Severed }, "transmission broken: the load falls; permanent for the run")),
		number("stops.low_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Stops.LowMM }, "position of the lower hard stop"),
		number("stops.high_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Stops.HighMM }, "position of the upper hard stop"),
		number("stops.stiffness_n_per_mm", "N/mm", 1, 1e8, func(r *Rig) *float64 { return &r.Stops.StiffnessNPerMM }, "stiffness of a hard stop"),
		number("stops.damping_ratio", "", 0, 5, func(r *Rig) *float64 { return &r.Stops.DampingRatio }, "damping ratio of a hard stop; 1 is critical"),
		fixedInRun(number("support.at_mm", "mm", -1e6, 1e6, func(r *Rig) *float64 { return &r.Support.AtMM }, "position at which the load touches its support")),
		fixedInRun(number("support.stiffness_n_per_mm", "N/mm", 0, 1e8, func(r *Rig) *float64 { return &r.Support.StiffnessNPerMM }, "stiffness of the support, which pushes up and never pulls; 0 for none")),
		fixedInRun(number("support.damping_ratio", "", 0, 5, func(r *Rig) *float64 { return &r.Support.DampingRatio }, "damping ratio of the support; 1 is critical")),
		permanent(flag("support.removed", func(r *Rig) *bool { return &r.Support.Removed }, "the support is missing, or it was removed during the run")),
	}
}

func motorFields() []Field {
	return []Field{
		number("motor.inertia_kg_m2", "kg·m²", 1e-8, 1e4, func(r *Rig) *float64 { return &r.Motor.InertiaKGM2 }, "inertia of the rotor with brake and coupling"),
		fixedInRun(number("motor.torque_constant_nm_per_rms_a", "N·m/A", 1e-4, 1e3, func(r *Rig) *float64 { return &r.Motor.TorqueConstant }, "nominal torque constant, as parameterised in the drive")),
		number("motor.torque_factor", "", 0, 1.5, func(r *Rig) *float64 { return &r.Motor.TorqueFactor }, "true torque constant divided by the nominal one"),
		fixedInRun(count("motor.pole_pairs", 1, 100, func(r *Rig) *int { return &r.Motor.PolePairs }, "pole pairs of the motor")),
		fixedInRun(word("motor.commutation", []string{CommutationEncoder, CommutationOwn}, func(r *Rig) *string { return &r.Motor.Commutation }, "where the drive takes the field angle from: the encoder of the axis, or one of the motor's own")),
		number("drive.current_limit_rms_a", "A rms", 1e-3, 1e5, func(r *Rig) *float64 { return &r.Drive.CurrentLimitRMSA }, "current limit of the drive"),
		fixedInRun(number("drive.peak_current_rms_a", "A rms", 0, 1e5, func(r *Rig) *float64 { return &r.Drive.PeakCurrentRMSA }, "maximum true current of power stage and supply, whatever is measured; the current limit at least, and by default")),
		number("drive.continuous_current_rms_a", "A rms", 0, 1e5, func(r *Rig) *float64 { return &r.Drive.ContinuousCurrentRMSA }, "continuous current of motor and drive; the limit falls to it at a thermal load of 1. 0 for no i²t limitation"),
		period("drive.thermal_time", 0.1, 1e5, func(r *Rig) *time.Duration { return &r.Drive.ThermalTime }, "thermal time constant of motor and drive"),
		permanent(number("drive.thermal_load", "", 0, 2, func(r *Rig) *float64 { return &r.Drive.ThermalLoad }, "thermal load from the start of a run, or from the moment at which it is set, as a share of the permitted one; at the start at least that of holding the load")),
		period("drive.current_lag", 1e-6, 1, func(r *Rig) *time.Duration { return &r.Drive.CurrentLag }, "time constant of the current loop"),
		number("drive.current_noise_rms_a", "A rms", 0, 1e3, func(r *Rig) *float64 { return &r.Drive.CurrentNoiseRMSA }, "standard deviation of the current measured by the drive"),
		number("drive.current_offset_rms_a", "A rms", -1e4, 1e4, func(r *Rig) *float64 { return &r.Drive.CurrentOffsetRMSA }, "offset of the current measured by the drive; the current loop makes the true current lower by it"),
		number("drive.current_gain", "", -10, 10, func(r *Rig) *float64 { return &r.Drive.CurrentGain }, "current measured by the drive divided by the true current, which the current loop makes lower by it"),
		flag("drive.current_frozen", func(r *Rig) *bool { return &r.Drive.CurrentFrozen }, "the current measured by the drive keeps its value, and the current loop runs to the peak current"),
		number("drive.speed_mm_s", "mm/s", 1e-3, 1e5, func(r *Rig) *float64 { return &r.Drive.SpeedMMS }, "speed of a move"),
		number("drive.acceleration_mm_s2", "mm/s²", 1e-3, 1e6, func(r *Rig) *float64 { return &r.Drive.AccelerationMMS2 }, "acceleration and deceleration of a move"),
		number("drive.position_gain_per_s", "1/s", 0.1, 1e4, func(r *Rig) *float64 { return &r.Drive.PositionGainPerS }, "gain of the position controller"),
		number("drive.speed_bandwidth_hz", "Hz", 0.1, 1e4, func(r *Rig) *float64 { return &r.Drive.SpeedBandwidthHz }, "bandwidth of the speed controller; sets its gain"),
		period("drive.speed_integral_time", 1e-4, 100, func(r *Rig) *time.Duration { return &r.Drive.SpeedIntegralTime }, "integral time of the speed controller"),
		period("drive.speed_filter", 0, 1, func(r *Rig) *time.Duration { return &r.Drive.SpeedFilter }, "time constant of the filter of the measured speed"),
		number("drive.standstill_rpm", "1/min", 1e-3, 1e4, func(r *Rig) *float64 { return &r.Drive.StandstillRPM }, "motor speed below which the drive reports standstill"),
		number("drive.in_position_mm", "mm", 1e-6, 1e4, func(r *Rig) *float64 { return &r.Drive.InPositionMM }, "distance from the target within which the drive reports in position"),
		period("drive.switch_on_time", 0, 60, func(r *Rig) *time.Duration { return &r.Drive.SwitchOnTime }, "time from switch-on to torque"),
		flag("drive.ready", func(r *Rig) *bool { return &r.Drive.Ready }, "the drive is ready to be switched on"),
		flag("drive.tripped", func(r *Rig) *bool { return &r.Drive.Tripped }, "the drive has tripped and produces no torque"),
		flag("drive.ignores_press", func(r *Rig) *bool { return &r.Drive.IgnoresPress }, "the drive holds its position although a press is commanded"),
		number("drive.press_rate_factor", "", 1e-3, 1e3, func(r *Rig) *float64 { return &r.Drive.PressRateFactor }, "actual torque rate of a press divided by the commanded one"),
		number("drive.press_overshoot", "", 0, 5, func(r *Rig) *float64 { return &r.Drive.PressOvershoot }, "overshoot of the press torque, as a share of the step; decays within some tenths of a second"),
		number("drive.creep_mm_s", "mm/s", -1e3, 1e3, func(r *Rig) *float64 { return &r.Drive.CreepMMS }, "drift of the position setpoint while the drive holds"),
		flag("drive.torque_sign_reversed", func(r *Rig) *bool { return &r.Drive.TorqueSignReversed }, "the press torque has the wrong sign"),
	}
}

func encoderFields() []Field {
	return []Field{
		fixedInRun(number("encoder.increments_per_turn", "", 4, 1<<32, func(r *Rig) *float64 { return &r.Encoder.IncrementsPerTurn }, "increments per turn of the motor")),
		number("encoder.noise_deg", "deg", 0, 90, func(r *Rig) *float64 { return &r.Encoder.NoiseDeg }, "standard deviation of the measured position"),
		number("encoder.offset_deg", "deg", -360, 360, func(r *Rig) *float64 { return &r.Encoder.OffsetDeg }, "reading at zero travel"),
		number("encoder.scale", "", 0.5, 2, func(r *Rig) *float64 { return &r.Encoder.Scale }, "measured angle divided by true angle"),
		number("encoder.drift_deg_per_s", "deg/s", -360, 360, func(r *Rig) *float64 { return &r.Encoder.DriftDegPerS }, "drift of the measured position"),
		flag("encoder.frozen", func(r *Rig) *bool { return &r.Encoder.Frozen }, "the measured position keeps its value"),
		flag("encoder.lost", func(r *Rig) *bool { return &r.Encoder.Lost }, "encoder failed; the position is reported as lost"),
		number("encoder.wrap_error_deg", "deg", -180, 180, func(r *Rig) *float64 { return &r.Encoder.WrapErrorDeg }, "error of the judge's position at the wrap of the single turn; the wrap lies where the shaft is when the error occurs"),
	}
}

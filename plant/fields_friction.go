package plant

import "time"

func guideFields(prefix string, guide func(*Rig) *Guide) []Field {
	return []Field{
		number(prefix+"sliding_nm", "N·m", 0, 1e5, func(r *Rig) *float64 { return &guide(r).SlidingNM }, "sliding friction at the motor shaft"),
		number(prefix+"breakaway_nm", "N·m", 0, 1e5, func(r *Rig) *float64 { return &guide(r).BreakawayNM }, "breakaway friction; 0 for the value of sliding friction"),
		number(prefix+"stribeck_rpm", "1/min", 1e-3, 1e5, func(r *Rig) *float64 { return &guide(r).StribeckRPM }, "Stribeck speed of the transition from breakaway to sliding friction"),
		number(prefix+"viscous_nm_s", "N·m·s", 0, 1e3, func(r *Rig) *float64 { return &guide(r).ViscousNMS }, "viscous friction coefficient"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, func(r *Rig) *float64 { return &guide(r).WindUpDeg }, "elastic deflection of the guide at the breakaway friction"),
		number(prefix+"damping_ratio", "", 0.01, 5, func(r *Rig) *float64 { return &guide(r).DampingRatio }, "damping ratio of this deflection; 1 is critical"),
	}
}

func brakeFields(prefix string, brake func(*Rig) *Brake) []Field {
	return []Field{
		number(prefix+"static_nm", "N·m", 1e-4, 1e6, func(r *Rig) *float64 { return &brake(r).StaticNM }, "rated static torque, new friction disc"),
		number(prefix+"sliding_nm", "N·m", 0, 1e6, func(r *Rig) *float64 { return &brake(r).SlidingNM }, "rated torque while slipping; 0 for the value of the static torque"),
		number(prefix+"stribeck_rpm", "1/min", 1e-3, 1e5, func(r *Rig) *float64 { return &brake(r).StribeckRPM }, "Stribeck speed of the transition from static to sliding torque"),
		number(prefix+"condition", "", 0, 2, func(r *Rig) *float64 { return &brake(r).Condition }, "capacity divided by rated capacity; below 1 if worn or oily"),
		period(prefix+"response_delay", 0, 60, func(r *Rig) *time.Duration { return &brake(r).ResponseDelay }, "t11: time from the close command to the first torque"),
		period(prefix+"rise_time", 0, 60, func(r *Rig) *time.Duration { return &brake(r).RiseTime }, "t12: rise time from zero to full torque"),
		period(prefix+"release_time", 0, 60, func(r *Rig) *time.Duration { return &brake(r).ReleaseTime }, "t2: release time from full torque to zero after the open command"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, func(r *Rig) *float64 { return &brake(r).WindUpDeg }, "elastic deflection at rated torque"),
		number(prefix+"damping_ratio", "", 0.01, 5, func(r *Rig) *float64 { return &brake(r).DampingRatio }, "damping ratio of this deflection; 1 is critical"),
		number(prefix+"play_deg", "deg", 0, 10, func(r *Rig) *float64 { return &brake(r).PlayDeg }, "play between rotor and hub"),
		number(prefix+"closes_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).ClosesTo }, "engagement after a close command; 0 is fully open"),
		number(prefix+"opens_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).OpensTo }, "engagement after an open command; 1 is fully closed"),
		word(prefix+"feedback", []string{FeedbackActual, FeedbackClosed, FeedbackOpen, FeedbackChattering, FeedbackMissing}, func(r *Rig) *string { return &brake(r).Feedback }, "signal of the brake switch"),
		number(prefix+"residual_voltage", "", 0, 1, func(r *Rig) *float64 { return &brake(r).ResidualVoltage }, "voltage left on the coil after a close command, as a share of the rated voltage"),
		permanent(number(prefix+"glaze", "", 0, 1, func(r *Rig) *float64 { return &brake(r).Glaze }, "share of the friction lost by glazing of the friction disc; slip work restores it")),
		number(prefix+"bed_in_j", "J", 1e-3, 1e9, func(r *Rig) *float64 { return &brake(r).BedInJ }, "slip work that restores 63 % of the friction lost by glazing"),
		number(prefix+"new_gap_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).NewGapMM }, "air gap of a new brake"),
		permanent(number(prefix+"gap_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).GapMM }, "air gap at the start of a run; it grows with wear and lengthens t11")),
		number(prefix+"gap_limit_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).GapLimitMM }, "air gap above which the spring force decreases"),
		number(prefix+"wear_mm_per_mj", "mm/MJ", 0, 1e3, func(r *Rig) *float64 { return &brake(r).WearMMPerMJ }, "wear: growth of the air gap per slip work"),
		number(prefix+"fade_from_c", "°C", -60, 1000, func(r *Rig) *float64 { return &brake(r).FadeFromC }, "temperature above which the friction fades"),
		number(prefix+"fade_per_k", "1/K", 0, 1, func(r *Rig) *float64 { return &brake(r).FadePerK }, "share of the friction lost per kelvin above this temperature"),
		number(prefix+"heat_capacity_j_per_k", "J/K", 1e-2, 1e7, func(r *Rig) *float64 { return &brake(r).HeatCapacity }, "heat capacity of the friction pair"),
		number(prefix+"thermal_resistance_k_per_w", "K/W", 1e-4, 1e4, func(r *Rig) *float64 { return &brake(r).ThermalResistance }, "thermal resistance to the surroundings"),
		number(prefix+"ambient_c", "°C", -60, 120, func(r *Rig) *float64 { return &brake(r).AmbientC }, "ambient temperature"),
	}
}

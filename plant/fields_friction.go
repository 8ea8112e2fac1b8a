package plant

import "time"

func guideFields(prefix string, guide func(*Rig) *Guide) []Field {
	return []Field{
		number(prefix+"sliding_nm", "N·m", 0, 1e5, func(r *Rig) *float64 { return &guide(r).SlidingNM }, "friction while sliding, at the motor shaft"),
		number(prefix+"breakaway_nm", "N·m", 0, 1e5, func(r *Rig) *float64 { return &guide(r).BreakawayNM }, "friction to be overcome from rest; 0 means as sliding"),
		number(prefix+"stribeck_rpm", "1/min", 1e-3, 1e5, func(r *Rig) *float64 { return &guide(r).StribeckRPM }, "speed at which break-away has faded to sliding"),
		number(prefix+"viscous_nm_s", "N·m·s", 0, 1e3, func(r *Rig) *float64 { return &guide(r).ViscousNMS }, "friction that grows with speed"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, func(r *Rig) *float64 { return &guide(r).WindUpDeg }, "elastic give of the guide before it slides"),
		number(prefix+"damping_ratio", "", 0.01, 5, func(r *Rig) *float64 { return &guide(r).DampingRatio }, "damping of that give, 1 is critical"),
	}
}

func brakeFields(prefix string, brake func(*Rig) *Brake) []Field {
	return []Field{
		number(prefix+"static_nm", "N·m", 1e-4, 1e6, func(r *Rig) *float64 { return &brake(r).StaticNM }, "rated torque at rest, new lining"),
		number(prefix+"sliding_nm", "N·m", 0, 1e6, func(r *Rig) *float64 { return &brake(r).SlidingNM }, "rated torque while slipping; 0 means as at rest"),
		number(prefix+"stribeck_rpm", "1/min", 1e-3, 1e5, func(r *Rig) *float64 { return &brake(r).StribeckRPM }, "slip speed at which static has faded to sliding"),
		number(prefix+"condition", "", 0, 2, func(r *Rig) *float64 { return &brake(r).Condition }, "capacity over rated capacity; worn or oily is below 1"),
		period(prefix+"response_delay", 0, 60, func(r *Rig) *time.Duration { return &brake(r).ResponseDelay }, "t11: from the close command until torque begins"),
		period(prefix+"rise_time", 0, 60, func(r *Rig) *time.Duration { return &brake(r).RiseTime }, "t12: from no torque to full torque"),
		period(prefix+"release_time", 0, 60, func(r *Rig) *time.Duration { return &brake(r).ReleaseTime }, "t2: from full torque to none after the open command"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, func(r *Rig) *float64 { return &brake(r).WindUpDeg }, "elastic give at rated torque"),
		number(prefix+"damping_ratio", "", 0.01, 5, func(r *Rig) *float64 { return &brake(r).DampingRatio }, "damping of that give, 1 is critical"),
		number(prefix+"play_deg", "deg", 0, 10, func(r *Rig) *float64 { return &brake(r).PlayDeg }, "free play between rotor and hub"),
		number(prefix+"closes_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).ClosesTo }, "how far it closes; 0 never closes"),
		number(prefix+"opens_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).OpensTo }, "how far it stays closed when told to open; 1 never opens"),
		word(prefix+"feedback", []string{FeedbackActual, FeedbackClosed, FeedbackOpen, FeedbackChattering, FeedbackMissing}, func(r *Rig) *string { return &brake(r).Feedback }, "what the switch on the brake says"),
		number(prefix+"residual_voltage", "", 0, 1, func(r *Rig) *float64 { return &brake(r).ResidualVoltage }, "voltage left on the coil when told to close, over the rated one"),
		permanent(number(prefix+"glaze", "", 0, 1, func(r *Rig) *float64 { return &brake(r).Glaze }, "share of the friction that a polished lining has lost; slip work brings it back")),
		number(prefix+"bed_in_j", "J", 1e-3, 1e9, func(r *Rig) *float64 { return &brake(r).BedInJ }, "slip work that brings back all but a third of what glaze took"),
		number(prefix+"new_gap_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).NewGapMM }, "air gap when new"),
		permanent(number(prefix+"gap_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).GapMM }, "air gap at the start; it grows with wear, and t11 with it")),
		number(prefix+"gap_limit_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).GapLimitMM }, "air gap past which the springs lose force"),
		number(prefix+"wear_mm_per_mj", "mm/MJ", 0, 1e3, func(r *Rig) *float64 { return &brake(r).WearMMPerMJ }, "growth of the air gap with slip work"),
		number(prefix+"fade_from_c", "°C", -60, 1000, func(r *Rig) *float64 { return &brake(r).FadeFromC }, "temperature above which the lining fades"),
		number(prefix+"fade_per_k", "1/K", 0, 1, func(r *Rig) *float64 { return &brake(r).FadePerK }, "share of the friction lost for each kelvin above that"),
		number(prefix+"heat_capacity_j_per_k", "J/K", 1e-2, 1e7, func(r *Rig) *float64 { return &brake(r).HeatCapacity }, "heat that warms the friction pair by one kelvin"),
		number(prefix+"thermal_resistance_k_per_w", "K/W", 1e-4, 1e4, func(r *Rig) *float64 { return &brake(r).ThermalResistance }, "thermal resistance to the surroundings"),
		number(prefix+"ambient_c", "°C", -60, 120, func(r *Rig) *float64 { return &brake(r).AmbientC }, "temperature of the surroundings"),
	}
}

package plant

import "time"

// secondBrakeFields are those of the second brake. Its torque is 0 in a rig without one, and
// constant in existence: no fault adds or removes a brake.
func secondBrakeFields() []Field {
	list := []Field{
		fixedInRun(word("brake_2.place", []string{PlaceMotor, PlaceLoad}, func(r *Rig) *string { return &r.Brake2.Place }, "shaft of the second brake: motor, or load for behind the transmission; its torques, angles and speeds are those at its own shaft")),
		flag("brake_2.switches_swapped", func(r *Rig) *bool { return &r.Brake2.SwitchesSwapped }, "the wires of the switches on both brakes are swapped"),
	}
	list = withRule(needsBrake2, append(list, brakeFields("brake_2.", func(r *Rig) *Brake { return &r.Brake2.Brake })...))
	for i := range list {
		if f := &list[i]; f.Path == "brake_2.static_nm" {
			*f = fixedInRun(number(f.Path, f.Unit, 0, f.Max, func(r *Rig) *float64 { return &r.Brake2.StaticNM }, "rated static torque of a second brake, new friction disc; 0 for none"))
		}
	}
	return list
}

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
		inDataSheet(period(prefix+"response_delay", 1e-6, 60, func(r *Rig) *time.Duration { return &brake(r).ResponseDelay }, "t11: time from the close command to the first torque, at the air gap of a new brake")),
		inDataSheet(period(prefix+"rise_time", 1e-6, 60, func(r *Rig) *time.Duration { return &brake(r).RiseTime }, "t12: rise time from the first torque to 90 % of the torque")),
		inDataSheet(period(prefix+"release_time", 1e-6, 60, func(r *Rig) *time.Duration { return &brake(r).ReleaseTime }, "t2: time from the open command until the torque has fallen to 10 %")),
		period(prefix+"release_delay", 0, 60, func(r *Rig) *time.Duration { return &brake(r).ReleaseDelay }, "part of t2 before the torque falls, at the air gap of a new brake; 0 if the maker does not give it apart"),
		number(prefix+"wind_up_deg", "deg", 1e-4, 10, func(r *Rig) *float64 { return &brake(r).WindUpDeg }, "elastic deflection at rated torque"),
		number(prefix+"damping_ratio", "", 0.01, 5, func(r *Rig) *float64 { return &brake(r).DampingRatio }, "damping ratio of this deflection; 1 is critical"),
		number(prefix+"play_deg", "deg", 0, 10, func(r *Rig) *float64 { return &brake(r).PlayDeg }, "play between rotor and hub"),
		number(prefix+"closes_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).ClosesTo }, "engagement after a close command; 0 is fully open"),
		number(prefix+"opens_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).OpensTo }, "engagement after an open command; 1 is fully closed"),
		word(prefix+"kind", []string{KindSpring, KindMagnet}, func(r *Rig) *string { return &brake(r).Kind }, "what closes the brake: springs against the pull of the coil, or a permanent magnet that the coil cancels"),
		number(prefix+"magnet_strength", "", 0, 1.2, func(r *Rig) *float64 { return &brake(r).MagnetStrength }, "permanent magnet: its flux divided by that of a new one; no effect on springs"),
		number(prefix+"coil_voltage", "", 0, 3, func(r *Rig) *float64 { return &brake(r).CoilVoltage }, "voltage at the coil while the brake is commanded open, as a share of the rated voltage"),
		number(prefix+"pull_in_voltage", "", 0, 1, func(r *Rig) *float64 { return &brake(r).PullInVoltage }, "least voltage that opens the closed brake, as a share of the rated voltage; a permanent magnet opens from here to as much above the rated voltage"),
		number(prefix+"drop_out_voltage", "", 0, 1, func(r *Rig) *float64 { return &brake(r).DropOutVoltage }, "least voltage that keeps the brake open, as a share of the rated voltage; a permanent magnet stays open from here to as much above the rated voltage"),
		flag(prefix+"output_stuck_on", func(r *Rig) *bool { return &brake(r).OutputStuckOn }, "the output of the coil stays on: a command to close does not arrive"),
		number(prefix+"hand_release", "", 0, 1, func(r *Rig) *float64 { return &brake(r).HandRelease }, "share of the closing force that the hand release takes; 1 is fully engaged"),
		fixedInRun(word(prefix+"feedback", []string{FeedbackSwitch, FeedbackCoil, FeedbackNone}, func(r *Rig) *string { return &brake(r).Feedback }, "source of brake_closed: a switch on the armature; command and current of the coil; or none, so that a timer of the controller replaces it")),
		word(prefix+"feedback_signal", []string{SignalActual, SignalClosed, SignalOpen, SignalChattering, SignalMissing}, func(r *Rig) *string { return &brake(r).FeedbackSignal }, "signal of the feedback: actual, or a fault of it"),
		number(prefix+"residual_voltage", "", 0, 1, func(r *Rig) *float64 { return &brake(r).ResidualVoltage }, "voltage left on the coil after a close command, as a share of the rated voltage"),
		number(prefix+"creep_deg_per_s", "deg/s", 0, 1e3, func(r *Rig) *float64 { return &brake(r).CreepDegPerS }, "creep of the closed brake under a torque equal to its capacity; falls with the fourth power of the torque"),
		permanent(number(prefix+"adhesion", "", 0, 5, func(r *Rig) *float64 { return &brake(r).Adhesion }, "bond of the friction disc after a long rest, as a share of the rated static torque; open or closed, until the first slip")),
		permanent(number(prefix+"glaze", "", 0, 1, func(r *Rig) *float64 { return &brake(r).Glaze }, "share of the friction lost by glazing of the friction disc; slip work restores it")),
		number(prefix+"bed_in_j", "J", 1e-3, 1e9, func(r *Rig) *float64 { return &brake(r).BedInJ }, "slip work that restores 63 % of the friction lost by glazing"),
		permanent(number(prefix+"glaze_returns_to", "", 0, 1, func(r *Rig) *float64 { return &brake(r).GlazeReturnsTo }, "share of the friction that is lost again at rest, as with a lining that was soaked with oil; at once when it is set")),
		period(prefix+"glaze_return_time", 1e-3, 1e8, func(r *Rig) *time.Duration { return &brake(r).GlazeReturnTime }, "time at rest in which 63 % of it return"),
		number(prefix+"new_gap_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).NewGapMM }, "air gap of a new brake"),
		permanent(number(prefix+"gap_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).GapMM }, "air gap at the start of a run; it grows with wear and lengthens t11")),
		number(prefix+"gap_limit_mm", "mm", 1e-3, 20, func(r *Rig) *float64 { return &brake(r).GapLimitMM }, "air gap above which the spring force decreases"),
		number(prefix+"wear_mm_per_mj", "mm/MJ", 0, 1e3, func(r *Rig) *float64 { return &brake(r).WearMMPerMJ }, "wear: growth of the air gap per slip work"),
		number(prefix+"fade_from_c", "°C", -60, 1000, func(r *Rig) *float64 { return &brake(r).FadeFromC }, "temperature above which the friction fades"),
		number(prefix+"fade_per_k", "1/K", 0, 1, func(r *Rig) *float64 { return &brake(r).FadePerK }, "share of the friction lost per kelvin above this temperature"),
		number(prefix+"heat_capacity_j_per_k", "J/K", 1e-2, 1e7, func(r *Rig) *float64 { return &brake(r).HeatCapacity }, "heat capacity of the friction pair"),
		number(prefix+"thermal_resistance_k_per_w", "K/W", 1e-4, 1e4, func(r *Rig) *float64 { return &brake(r).ThermalResistance }, "thermal resistance to the surroundings"),
		number(prefix+"ambient_c", "°C", -60, 120, func(r *Rig) *float64 { return &brake(r).AmbientC }, "ambient temperature"),
		permanent(number(prefix+"excess_k", "K", -100, 1000, func(r *Rig) *float64 { return &brake(r).ExcessK }, "temperature of the friction pair above ambient at the start of a run")),
	}
}

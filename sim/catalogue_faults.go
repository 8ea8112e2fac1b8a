package sim

import "holdbench/plant"

// What a controller cannot tell apart.
const (
	looksWeak   = "a brake with too little torque"
	looksLight  = "a load too light"
	looksHeavy  = "a load too heavy"
	looksNoLink = "no answer from the other side"
	looksOpen   = "a brake that is not seen to close"
	looksStiff  = "more friction in a move"
)

// Words for flags of the rig and of the link.
const (
	yes = "true"
	no  = "false"
)

// net is the mass that is to be held, number times over: what a counterbalance takes stays.
func net(r *plant.Rig, number float64) string {
	return figure(r.Load.CounterKG + float64(number*(r.Load.MassKG-r.Load.CounterKG)))
}

// loadFaults are those of what hangs on the axis.
func loadFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "load-heavier", Group: MachineGroup, What: "More hangs on the axis than the engineering data say.",
			Severity: &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 1.03, Usual: 1.3, Severe: 1.8, Text: net},
			Looks:    looksHeavy, Remedy: "check-load",
			Noticed: "The sequence, by the torque that holds the load.",
		}, {
			Name: "load-lighter", Group: MachineGroup, What: "Less hangs on the axis than the engineering data say, so that the brake is tested with less.",
			Severity: &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.97, Usual: 0.7, Severe: 0.3, Text: net},
			Looks:    looksLight, Remedy: "check-load",
			Noticed: "The sequence, by the torque that holds the load.",
		}, {
			Name: "workpiece-lost", Group: MachineGroup, What: "The gripper has lost its workpiece.",
			Severity: &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.9, Usual: 0.5, Severe: 0.2, Text: net},
			Looks:    looksLight, Remedy: "check-gripper",
			Noticed: "The sequence, by a jump of the torque that holds the load.",
		}, {
			Name: "counterbalance-lost", Group: MachineGroup, What: "The counterbalance has lost pressure, or its chain is off.",
			Severity: &Scale{Target: "load.counter_kg", Unit: "of the counterbalance", Mild: 0.97, Usual: 0.7, Severe: 0.2, Text: timesOf(func(r *plant.Rig) float64 { return r.Load.CounterKG })},
			Needs:    func(r *plant.Rig) bool { return r.Load.CounterKG > 0 },
			Looks:    looksHeavy, Remedy: "repair-counterbalance",
			Noticed: "The sequence, by the torque that holds the load.",
		}, {
			Name: "transmission-severed", Group: MachineGroup, What: "Screw, belt or coupling is broken: motor and brake no longer hold the load.",
			Set:     map[string]string{"transmission.severed": yes},
			Lasting: true, Remedy: "repair-transmission",
			Noticed: "The sequence, by a torque that goes to nothing; the judge cannot, for the brake holds the motor.",
		},
	}
}

// wayFaults are those of the guide and of what stands in the way.
func wayFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "stop-above", Group: MachineGroup, What: "Something stands in the way above the load.",
			Severity: &Scale{Target: "stops.high_mm", Unit: "of the way up left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, Text: func(r *plant.Rig, share float64) string {
				return figure(r.Load.StartMM + float64(share*(r.Stops.HighMM-r.Load.StartMM)))
			}},
			FromStart: true, Remedy: "clear-the-way",
			Noticed: "The sequence: the axis stands still away from its target, at its torque limit.",
		}, {
			Name: "stop-below", Group: MachineGroup, What: "Something stands in the way below the load.",
			Severity: &Scale{Target: "stops.low_mm", Unit: "of the way down left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, Text: func(r *plant.Rig, share float64) string {
				return figure(r.Load.StartMM - float64(share*(r.Load.StartMM-r.Stops.LowMM)))
			}},
			FromStart: true, Remedy: "clear-the-way",
			Noticed: "The sequence, if it goes down: the axis stands still away from its target.",
		}, {
			Name: "guide-stiff", Group: MachineGroup, What: "The guide is stiff, for want of grease or for dirt, and carries part of the load.",
			Set:      map[string]string{"guide.breakaway_nm": "0"},
			Severity: &Scale{Target: "guide.sliding_nm", Unit: "of the load torque more", Mild: 0.05, Usual: 0.3, Severe: 0.9, Text: guideFriction},
			Looks:    looksStiff, Remedy: "service-guide",
			Noticed: "The sequence, by a torque up that is larger than the one down; it can hide a weak brake.",
		}, {
			Name: "guide-stick-slip", Group: MachineGroup, What: "The guide sticks at rest and lets go with a jerk.",
			Set:      map[string]string{"guide.stribeck_rpm": "5"},
			Severity: &Scale{Target: "guide.breakaway_nm", Unit: "of the load torque more", Mild: 0.1, Usual: 0.5, Severe: 1.2, Text: guideFriction},
			Remedy:   "service-guide",
			Noticed:  "The sequence, by a peak of torque when a move begins.",
		},
	}
}

// guideFriction is the rig's sliding friction and a share of the load torque on top.
func guideFriction(r *plant.Rig, share float64) string {
	return figure(r.Guide.SlidingNM + float64(share*loadTorque(r)))
}

// driveFaults are those of drive and motor.
func driveFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "drive-not-ready", Group: DriveGroup, What: "The drive has lost its release or its supply, and gives no torque.",
			Set:     map[string]string{"drive.ready": no},
			Remedy:  "check-drive-supply",
			Noticed: "The sequence: drive_ready and drive_on go away without a fault.",
		}, {
			Name: "drive-switches-on-late", Group: DriveGroup, What: "The drive needs long until it gives torque after it was off.",
			Severity: &Scale{Target: "drive.switch_on_time", Unit: "s", Mild: 0.3, Usual: 3, Severe: 20, Text: asSeconds},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by drive_on, and only after the drive was off.",
		}, {
			Name: "drive-trips", Group: DriveGroup, What: "The drive trips on a fault of its own.",
			Set:     map[string]string{"drive.tripped": yes},
			Remedy:  "repair-drive",
			Noticed: "The sequence: drive_fault comes.",
		}, {
			Name: "current-limit-low", Group: DriveGroup, What: "The drive's current limit is too low, by its data or by its heat.",
			Severity: &Scale{Target: "drive.current_limit_rms_a", Unit: "of the limit", Mild: 0.95, Usual: 0.5, Severe: 0.15, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA })},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence: the press torque is not reached in its time.",
		}, {
			Name: "torque-sign-turned", Group: DriveGroup, What: "The drive presses the wrong way round.",
			Set:     map[string]string{"drive.torque_sign_reversed": yes},
			Remedy:  "check-drive-data",
			Noticed: "The sequence, by the sign of the torque; the judge, if its sense is signed.",
		}, {
			Name: "press-ignored", Group: DriveGroup, What: "The drive goes on holding when it is told to press.",
			Set:     map[string]string{"drive.ignores_press": yes},
			Remedy:  "check-drive-data",
			Noticed: "The sequence: the press torque is not reached in its time.",
		}, {
			Name: "magnets-weak", Group: DriveGroup, What: "The motor's magnets have lost strength, by heat or by too much current: an ampere gives less torque.",
			Severity: &Scale{Target: "motor.magnet_condition", Unit: "of the torque constant", Mild: 0.97, Usual: 0.75, Severe: 0.5, Text: asItIs},
			Looks:    looksHeavy, Remedy: "repair-motor",
			Noticed: "The sequence, by more current than the load needs; the judge takes current for torque and cannot.",
		}, {
			Name: "drive-detuned", Group: DriveGroup, What: "The speed loop is far too soft, as after a change of its data.",
			Severity: &Scale{Target: "drive.speed_bandwidth_hz", Unit: "of the bandwidth", Mild: 0.8, Usual: 0.3, Severe: 0.05, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedBandwidthHz })},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by a position that lags and swings in a move.",
		}, {
			Name: "drive-slow", Group: DriveGroup, What: "The drive travels far too slowly, as with a speed limit that was left on.",
			Severity: &Scale{Target: "drive.speed_mm_s", Unit: "of the speed", Mild: 0.8, Usual: 0.25, Severe: 0.02, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedMMS })},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by the time of a travel.",
		},
	}
}

// pressFaults are those of how the drive builds torque up and stands still.
func pressFaults() []CatalogueFault {
	const told = "of the rate told"
	return []CatalogueFault{
		{
			Name: "press-too-slow", Group: DriveGroup, What: "The drive builds its press torque up too slowly, as with a ramp of its own.",
			Severity: &Scale{Target: "drive.press_rate_factor", Unit: told, Mild: 0.8, Usual: 0.2, Severe: 0.02, Text: asItIs},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence: the press torque is not reached in its time; else by the time that it takes.",
		}, {
			Name: "press-too-fast", Group: DriveGroup, What: "The drive builds its press torque up far faster than told, all but in a step.",
			Severity: &Scale{Target: "drive.press_rate_factor", Unit: told, Mild: 1.5, Usual: 5, Severe: 100, Text: asItIs},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by the time until the torque is reached; the brake bears a jolt that nobody counts.",
		}, {
			Name: "press-overshoots", Group: DriveGroup, What: "The current loop is set up too hard: the press torque runs past its setpoint and comes back.",
			Severity: &Scale{Target: "drive.press_overshoot", Unit: "of the step", Mild: 0.05, Usual: 0.3, Severe: 1.5, Text: asItIs},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by a torque beyond what it told; the judge, if the peak reaches its ceiling while it checks.",
		}, {
			Name: "drive-creeps", Group: DriveGroup, What: "The drive creeps up while it is told to hold, as with a setpoint that is not quite zero.",
			Severity: &Scale{Target: "drive.creep_mm_s", Unit: "mm/s", Mild: 0.1, Usual: 2, Severe: 20, Text: asItIs},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by a position that leaves its place before the brake closes.",
		},
	}
}

package catalogue

import "holdbench/plant"

// driveFaults are those of drive and motor.
func driveFaults() []Entry {
	return []Entry{
		{
			Name: "drive-not-ready", Group: DriveGroup, What: "The drive has lost its release or its supply, and gives no torque.",
			Set:        map[string]string{"drive.ready": no},
			Remedy:     "check-drive-supply",
			DetectedBy: "The sequence: drive_ready and drive_on go away without a fault.",
		}, {
			Name: "drive-switches-on-late", Group: DriveGroup, What: "The drive needs long until it gives torque after it was off.",
			Scale:      &Scale{Target: "drive.switch_on_time", Unit: "s", Mild: 0.3, Usual: 3, Severe: 20, Text: asSeconds},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by drive_on, and only after the drive was off.",
		}, {
			Name: "drive-trips", Group: DriveGroup, What: "The drive trips on a fault of its own.",
			Set:        map[string]string{"drive.tripped": yes},
			Remedy:     "repair-drive",
			DetectedBy: "The sequence: drive_fault comes.",
		}, {
			Name: "current-limit-low", Group: DriveGroup, What: "The drive's current limit is too low, by its data or by its heat.",
			Scale:      &Scale{Target: "drive.current_limit_rms_a", Unit: "of the limit", Mild: 0.95, Usual: 0.5, Severe: 0.15, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA })},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence: the press torque is not reached in its time.",
		}, {
			Name: "torque-sign-turned", Group: DriveGroup, What: "The drive presses the wrong way round.",
			Set:        map[string]string{"drive.torque_sign_reversed": yes},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by the sign of the torque; the judge, if its sense is signed.",
		}, {
			Name: "press-ignored", Group: DriveGroup, What: "The drive goes on holding when it is told to press.",
			Set:        map[string]string{"drive.ignores_press": yes},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence: the press torque is not reached in its time.",
		}, {
			Name: "magnets-weak", Group: DriveGroup, What: "The motor's magnets have lost strength, by heat or by too much current: an ampere gives less torque.",
			Scale:   &Scale{Target: "motor.magnet_condition", Unit: "of the torque constant", Mild: 0.97, Usual: 0.75, Severe: 0.5, Text: asNumber},
			Symptom: heavyLoad, Remedy: "repair-motor",
			DetectedBy: "The sequence, by more current than the load needs; the judge takes current for torque and cannot.",
		}, {
			Name: "drive-detuned", Group: DriveGroup, What: "The speed loop is far too soft, as after a change of its data.",
			Scale:      &Scale{Target: "drive.speed_bandwidth_hz", Unit: "of the bandwidth", Mild: 0.8, Usual: 0.3, Severe: 0.05, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedBandwidthHz })},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by a position that lags and swings in a move.",
		}, {
			Name: "drive-slow", Group: DriveGroup, What: "The drive travels far too slowly, as with a speed limit that was left on.",
			Scale:      &Scale{Target: "drive.speed_mm_s", Unit: "of the speed", Mild: 0.8, Usual: 0.25, Severe: 0.02, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedMMS })},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by the time of a travel.",
		},
	}
}

// pressFaults are those of how the drive builds torque up and stands still.
func pressFaults() []Entry {
	const told = "of the rate told"
	return []Entry{
		{
			Name: "press-too-slow", Group: DriveGroup, What: "The drive builds its press torque up too slowly, as with a ramp of its own.",
			Scale:      &Scale{Target: "drive.press_rate_factor", Unit: told, Mild: 0.8, Usual: 0.2, Severe: 0.02, Text: asNumber},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence: the press torque is not reached in its time; else by the time that it takes.",
		}, {
			Name: "press-too-fast", Group: DriveGroup, What: "The drive builds its press torque up far faster than told, all but in a step.",
			Scale:      &Scale{Target: "drive.press_rate_factor", Unit: told, Mild: 1.5, Usual: 5, Severe: 100, Text: asNumber},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by the time until the torque is reached; the brake bears a jolt that nobody counts.",
		}, {
			Name: "press-overshoots", Group: DriveGroup, What: "The current loop is set up too hard: the press torque runs past its setpoint and comes back.",
			Scale:      &Scale{Target: "drive.press_overshoot", Unit: "of the step", Mild: 0.05, Usual: 0.3, Severe: 1.5, Text: asNumber},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by a torque beyond what it told; the judge, if the peak reaches its ceiling while it checks.",
		}, {
			Name: "drive-creeps", Group: DriveGroup, What: "The drive creeps up while it is told to hold, as with a setpoint that is not quite zero.",
			Scale:      &Scale{Target: "drive.creep_mm_s", Unit: "mm/s", Mild: 0.1, Usual: 2, Severe: 20, Text: asNumber},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by a position that leaves its place before the brake closes.",
		},
	}
}

package catalogue

import "holdbench/plant"

// driveFaults are those of drive and motor.
func driveFaults() []Entry {
	return []Entry{
		{
			Name: "drive-not-ready", Group: DriveGroup, What: "The drive has lost its enable signal or its supply and has no torque.",
			Set:        map[string]string{"drive.ready": no},
			Remedy:     "check-drive-supply",
			DetectedBy: "The sequence: drive_ready and drive_on are lost without drive_fault.",
		}, {
			Name: "drive-switches-on-late", Group: DriveGroup, What: "The drive takes long to build up torque after it was off.",
			Scale:      &Scale{Target: "drive.switch_on_time", Unit: "s", Mild: 0.3, Usual: 3, Severe: 20, text: asSeconds},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by drive_on, and only after the drive was off.",
		}, {
			Name: "drive-trips", Group: DriveGroup, What: "The drive trips on an internal fault.",
			Set:        map[string]string{"drive.tripped": yes},
			Remedy:     "repair-drive",
			DetectedBy: "The sequence: drive_fault comes.",
		}, {
			Name: "current-limit-low", Group: DriveGroup, What: "The drive's current limit is too low, because of its parameters or its temperature.",
			Scale:      &Scale{Target: "drive.current_limit_rms_a", Unit: "of the limit", Mild: 0.95, Usual: 0.5, Severe: 0.15, text: timesOf(func(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA })},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence: the press torque is not reached in time.",
		}, {
			Name: "drive-hot", Group: DriveGroup, What: "Motor and drive are hot from repeated tests, and the i²t limitation lowers the limit to the continuous current.",
			Scale:     &Scale{Target: "drive.thermal_load", Unit: "of the permitted thermal load", Mild: 0.95, Usual: 1.1, Severe: 1.5},
			Permanent: true, Needs: hasThermalLimit, Remedy: "let-drive-cool",
			DetectedBy: "The sequence: the press torque is not reached in time, if the press takes more than the continuous current.",
		}, {
			Name: "torque-sign-reversed", Group: DriveGroup, What: "The drive presses in the wrong direction.",
			Set:        map[string]string{"drive.torque_sign_reversed": yes},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by the sign of the torque; the judge, if its sense is signed.",
		}, {
			Name: "press-ignored", Group: DriveGroup, What: "The drive keeps holding position when it is commanded to press.",
			Set:        map[string]string{"drive.ignores_press": yes},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence: the press torque is not reached in time.",
		}, {
			Name: "torque-constant-low", Group: DriveGroup, Gradual: true, What: "The magnets of the motor are weakened by heat or excessive current: less torque per ampere.",
			Scale:   &Scale{Target: "motor.torque_factor", Unit: "of the torque constant", Mild: 0.97, Usual: 0.75, Severe: 0.5},
			Symptom: heavyLoad, Remedy: "repair-motor",
			DetectedBy: "The sequence, by more current than the load requires; the judge cannot, as it computes torque from current.",
		}, {
			Name: "drive-detuned", Group: DriveGroup, What: "The speed loop is far too soft, as after a change of its parameters.",
			Scale:      &Scale{Target: "drive.speed_bandwidth_hz", Unit: "of the bandwidth", Mild: 0.8, Usual: 0.3, Severe: 0.05, text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedBandwidthHz })},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by a position that lags and oscillates in a move.",
		}, {
			Name: "drive-slow", Group: DriveGroup, What: "The drive travels far too slowly, as with a speed limit that is still active.",
			Scale:      &Scale{Target: "drive.speed_mm_s", Unit: "of the speed", Mild: 0.8, Usual: 0.25, Severe: 0.02, text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedMMS })},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by the travel time.",
		},
	}
}

func hasThermalLimit(r *plant.Rig) bool {
	return r.Drive.ContinuousCurrentRMSA > 0 && r.Drive.ContinuousCurrentRMSA < r.Drive.CurrentLimitRMSA
}

// pressFaults are those of building up torque and of standstill.
func pressFaults() []Entry {
	const commanded = "of the commanded rate"
	return []Entry{
		{
			Name: "press-too-slow", Group: DriveGroup, What: "The drive builds up the press torque too slowly, as with an internal ramp.",
			Scale:      &Scale{Target: "drive.press_rate_factor", Unit: commanded, Mild: 0.8, Usual: 0.2, Severe: 0.02},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence: the press torque is not reached in time, or takes longer.",
		}, {
			Name: "press-too-fast", Group: DriveGroup, What: "The drive builds up the press torque far faster than commanded, nearly in a step.",
			Scale:      &Scale{Target: "drive.press_rate_factor", Unit: commanded, Mild: 1.5, Usual: 5, Severe: 100},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by the time until the torque is reached; the shock load on the brake is not monitored.",
		}, {
			Name: "press-overshoots", Group: DriveGroup, What: "The current loop is tuned too hard: the press torque overshoots its setpoint.",
			Scale:      &Scale{Target: "drive.press_overshoot", Unit: "of the step", Mild: 0.05, Usual: 0.3, Severe: 1.5},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by a torque above the commanded one; the judge, if the peak exceeds its ceiling during the check.",
		}, {
			Name: "drive-creeps", Group: DriveGroup, What: "The drive creeps upwards while it is commanded to hold, as with a speed setpoint that is not quite zero.",
			Scale:      &Scale{Target: "drive.creep_mm_s", Unit: "mm/s", Mild: 0.1, Usual: 2, Severe: 20},
			Remedy:     "check-drive-data",
			DetectedBy: "The sequence, by a position that changes before the brake closes.",
		},
	}
}

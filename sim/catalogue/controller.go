package catalogue

import "time"

// controllerFaults are those of the controller that runs the sequence: of its scans.
func controllerFaults() []Entry {
	return []Entry{
		{
			Name: "watchdog-overrun", Group: ControllerGroup, What: "A scan of the controller overruns its time, and the watchdog stops the controller until its power returns.",
			Set: map[string]string{"controller.overrun": yes}, Permanent: true, Remedy: "check-scan-time",
			DetectedBy: "The watchdog of the controller, which takes the power from its outputs: drive off, brake closed. The sequence itself does not run any more.",
		}, {
			Name: "scans-late", Group: ControllerGroup, What: "Each scan of the controller comes late, as behind a task of a higher priority.",
			Scale:      &Scale{Target: "controller.late_scan", Unit: "s", Mild: 0.005, Usual: 0.05, Severe: 0.5, text: asSeconds},
			Remedy:     "check-scan-time",
			DetectedBy: "The sequence, if it measures the time between its scans; else only by what it does too late.",
		}, {
			Name: "scans-left-out", Group: ControllerGroup, What: "Scans of the controller are left out, and its outputs stay as they were.",
			Set: map[string]string{"controller.missed_scan": yes}, Duration: 300 * time.Millisecond, Remedy: "check-scan-time",
			DetectedBy: "The sequence, by the time since its last scan; the judge, by an ask that stays too long.",
		},
	}
}

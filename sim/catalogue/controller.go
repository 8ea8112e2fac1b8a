package catalogue

import (
	"time"

	"holdbench/plant"
)

// controllerFaults are those of the scans of the controller that runs the sequence.
func controllerFaults() []Entry {
	return []Entry{
		{
			Name: "scan-overrun", Group: ControllerGroup, What: "A scan of the controller takes too long, and its watchdog stops the controller: outputs as at power loss, until power is switched off and on.",
			Set: map[string]string{"controller.overrun": yes}, Permanent: true, Remedy: "check-scan-time",
			DetectedBy: "The watchdog of the controller. The sequence no longer runs: the drive is off, the brake alone carries the load, and the judge sees its ask dropped.",
		}, {
			Name: "scans-late", Group: ControllerGroup, What: "Each scan of the controller comes late, as behind a task of a higher priority, and those in between are left out.",
			Scale: &Scale{Target: "controller.late_scan", Unit: "scan times", Mild: 0.5, Usual: 3, Severe: severeLate, text: timesPeriod(scanTime)},
			Needs: permitsLate, Remedy: "check-scan-time",
			DetectedBy: "The controller, if it measures the time between its scans; the sequence, by a position that moves further in a scan than the drive can, or by what comes too late.",
		}, {
			Name: "scan-left-out", Group: ControllerGroup, What: "One scan of the controller is left out, and its outputs stay as they were.",
			Set: map[string]string{"controller.missed_scan": yes}, Duration: withinScan,
			Needs: outlasts, Remedy: "check-scan-time",
			DetectedBy: "The controller, if it measures the time between its scans; nothing else changes.",
		},
	}
}

// severeLate is how late a scan is at most, in scan times, before the watchdog of a controller stops it:
// some scan times, common practice.
const severeLate = 10

// withinScan is less than a scan time: one scan is left out, however short that lasts.
const withinScan = 250 * time.Microsecond

// outlasts is whether a scan time is so long that no second scan is left out.
func outlasts(r *plant.Rig) bool { return scanTime(r) >= withinScan }

func scanTime(r *plant.Rig) time.Duration { return r.Clock.FunctionalScan }

// permitsLate is whether the scans of a rig can be as late as the severe end of the scale.
func permitsLate(r *plant.Rig) bool { return severeLate*scanTime(r) <= time.Second }

package sim

import (
	"fmt"
	"strconv"
	"time"
)

// scanFaults are what a fault does to the scans of the controller.
type scanFaults struct {
	late      int64 // ticks
	leftOut   bool  // while this is so
	leaveNext bool  // the next one too, as the fault may be shorter than a scan time
	overrun   bool  // the next one overruns its time; only a new start with power ends that
}

// passesOver is whether the scan that is due is left out.
func (f *scanFaults) passesOver() bool {
	out := f.leftOut || f.leaveNext
	f.leaveNext = false
	return out
}

// longestLate bounds how late a scan can be.
const longestLate = time.Second

// lateScan is the target whose value is looked at when a scan is due.
const lateScan = "controller.late_scan"

// controllerTargets are the faults of the controller that runs the sequence, whatever that is made
// of.
func controllerTargets() []Target {
	return []Target{
		{
			Name: "controller.overrun", Range: flagRange, Permanent: true,
			Note:  "a scan overruns its time, and the watchdog stops the controller until its power returns",
			check: checkFlag("controller.overrun"),
			get:   func(b *Bench) string { return strconv.FormatBool(b.scans.overrun) },
			set:   func(b *Bench, text string) { b.scans.overrun = mustFlag(text) },
		},
		{
			Name: lateScan, Unit: "s", Range: "0s to " + longestLate.String(),
			Note:  "each scan comes so much late; those that fall into that time are left out",
			check: checkLate,
			get:   func(b *Bench) string { return (time.Duration(b.scans.late) * b.c.Rig.Clock.Tick).String() },
			set: func(b *Bench, text string) {
				late, _ := time.ParseDuration(text) // checked
				b.scans.late = ticksOf(late, b.c.Rig.Clock.Tick)
			},
		},
		{
			Name: "controller.missed_scan", Range: flagRange,
			Note:  "scans are left out, at least one, and the outputs stay",
			check: checkFlag("controller.missed_scan"),
			get:   func(b *Bench) string { return strconv.FormatBool(b.scans.leftOut) },
			set: func(b *Bench, text string) {
				on := mustFlag(text)
				b.scans.leaveNext = b.scans.leaveNext || on && !b.scans.leftOut
				b.scans.leftOut = on
			},
		},
	}
}

// checkLate refuses what is no such time.
func checkLate(text string) error {
	late, err := time.ParseDuration(text)
	if err != nil || late < 0 || late > longestLate {
		return fmt.Errorf("controller.late_scan is %q; must be a time from 0s to %s, such as 1ms", text, longestLate)
	}
	return nil
}

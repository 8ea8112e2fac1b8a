//go:build unix

package command

import (
	"syscall"
	"time"
)

// processorTime is what the process has used of processors, and whether that is known.
func processorTime() (used time.Duration, known bool) {
	var usage syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &usage) != nil {
		return 0, false
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano()), true
}

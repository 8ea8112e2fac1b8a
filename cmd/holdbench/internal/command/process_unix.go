//go:build unix

package command

import (
	"syscall"
	"time"
)

// processorTime is what the process has used of processors.
func processorTime() time.Duration {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

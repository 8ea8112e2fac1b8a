//go:build !unix

package command

import "time"

// processorTime is not known here.
func processorTime() (used time.Duration, known bool) { return 0, false }

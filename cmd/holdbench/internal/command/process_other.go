//go:build !unix

package command

import "time"

// processorTime is not known here, so that an interrupted process is ended some time after the interrupt.
func processorTime() time.Duration { return 0 }

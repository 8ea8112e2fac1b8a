package evaluate

import (
	"fmt"
	"time"

	"holdbench/plant"
)

// Options are what a recording does not say.
type Options struct {
	// MaxGap is the longest time for which the last sample of position or current stands in for the
	// next; 0 is five safety scans of the rig. A check with a longer gap cannot be judged.
	MaxGap time.Duration
	// Phases is at how many phases within a safety scan the test is judged; 0 is 8.
	Phases int
	// Own is the rig without the settings that the test is judged with; nil: there are none. A proof with a weaker judge
	// or requirement than its own is not to be relied on.
	Own *plant.Rig
	// Date of the test; empty: that of the recording.
	Date string
}

// MaxPhases bounds the number of phases.
const MaxPhases = 100

const (
	defaultGapScans = 5
	defaultPhases   = 8
)

// complete puts defaults in place of what is not given.
func (o Options) complete(scan time.Duration) (Options, error) {
	if o.MaxGap == 0 {
		o.MaxGap = defaultGapScans * scan
	}
	if o.Phases == 0 {
		o.Phases = defaultPhases
	}
	if o.MaxGap < 0 {
		return o, fmt.Errorf("the longest gap is %v; must be above 0", o.MaxGap)
	}
	if o.Phases < 0 || o.Phases > MaxPhases {
		return o, fmt.Errorf("the number of phases is %d; must be from 1 to %d", o.Phases, MaxPhases)
	}
	return o, nil
}

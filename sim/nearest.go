package sim

import (
	"math"

	"holdbench/sequence"
)

// suggest ends a message about a wrong name with what would be right.
func suggest(name string, valid []string) string { return "; " + sequence.Suggest(name, valid) }

func amplitude(rms float64) float64 { return math.Sqrt2 * rms }

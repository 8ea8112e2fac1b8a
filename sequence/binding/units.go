package binding

import (
	"math"
	"slices"

	"holdbench/sequence"
)

// unit is a unit in which a program may hold a value.
type unit struct {
	text   string
	like   string  // an ending of a name that has the unit of the bench
	factor float64 // value in this unit of 1 in the unit of the bench
}

// units is the table of them. The bench has mm, deg, N·m, A, s, kg.
func units() []unit {
	return []unit{
		{"mm", "_mm", 1},
		{"um", "_mm", 1e3},
		{"m", "_mm", 1e-3},
		{"mm/s", "_mm_s", 1},
		{"um/s", "_mm_s", 1e3},
		{"m/s", "_mm_s", 1e-3},
		{"mm/min", "_mm_s", 60},
		{"m/min", "_mm_s", 60e-3},
		{"deg", "_deg", 1},
		{"mdeg", "_deg", 1e3},
		{"rad", "_deg", math.Pi / 180},
		{"Nm", "_nm", 1},
		{"mNm", "_nm", 1e3},
		{"kNm", "_nm", 1e-3},
		{"Nm/s", "_nm_s", 1},
		{"kNm/s", "_nm_s", 1e-3},
		{"A", "_a", 1},
		{"mA", "_a", 1e3},
		{"A rms", "_a", 1 / math.Sqrt2}, // of an amplitude
		{"A rms", "_rms_a", 1},
		{"mA rms", "_rms_a", 1e3},
		{"A", "_rms_a", math.Sqrt2}, // the amplitude of an rms value
		{"Nm/A rms", "_nm_per_rms_a", 1},
		{"s", "_s", 1},
		{"ms", "_s", 1e3},
		{"us", "_s", 1e6},
		{"min", "_s", 1. / 60},
		{"h", "_s", 1. / 3600},
		{"kg", "_kg", 1},
		{"t", "_kg", 1e-3},
	}
}

// factorOf is the factor of a unit for a value that the bench has in another, and the units that
// would be right.
func factorOf(text string, of sequence.Unit) (factor float64, ok bool, right []string) {
	for _, u := range units() {
		if sequence.UnitOf(u.like) != of {
			continue
		}
		if u.text == text {
			return u.factor, true, nil
		}
		if !slices.Contains(right, u.text) {
			right = append(right, u.text)
		}
	}
	return 0, false, right
}

// UnitWords are the units that a variable for a value in a unit of the bench can have.
func UnitWords(of sequence.Unit) []string {
	_, _, right := factorOf("", of)
	return right
}

package recording

import (
	"fmt"
	"math"
	"strings"
)

// NearRatio is the factor within which a ratio of measured to expected values counts as that of two units: the values
// that are expected of an axis are those of data sheets and drawings.
const NearRatio = 1.2

// Near is whether two ratios are the same within [NearRatio].
func Near(a, b float64) bool {
	return a > 0 && b > 0 && a < NearRatio*b && b < NearRatio*a
}

// Rescaled says in which unit a column likely is whose values should be larger by a factor, with the flag that reads it so;
// empty if no unit explains the factor.
func (c *Channel) Rescaled(by float64) string {
	if name := c.otherUnit(by); name != "" {
		return fmt.Sprintf("likely in %s, as with --units %s=%s", name, c.Signal, plainFlag(name))
	}
	switch {
	case c.Signal == "current_rms_a" && Near(by, 1/math.Sqrt2):
		return "likely an amplitude, which is √2 times the rms value, as with --columns " + c.as("current_amp_a")
	case c.Signal == "current_amp_a" && Near(by, math.Sqrt2):
		return "likely an rms value, which is 1/√2 of the amplitude, as with --columns " + c.as("current_rms_a")
	}
	return ""
}

// Reach is the greatest value less the least.
func (c *Channel) Reach() float64 {
	low, high, n := c.span()
	if n == 0 {
		return 0
	}
	return high - low
}

// UnitOver is the unit in which the reach of a channel would be from the least to the most; empty if none is.
func (c *Channel) UnitOver(least, most float64) string {
	return c.unitWhere(func(ratio float64) bool { return c.Reach()*ratio >= least && c.Reach()*ratio <= most })
}

// otherUnit is the unit of the signal in which the values are larger by a factor than in the one that was taken.
func (c *Channel) otherUnit(by float64) string {
	return c.unitWhere(func(ratio float64) bool { return ratio != 1 && Near(by, ratio) })
}

// unitWhere is the largest unit that fits by its ratio to the one that was taken; empty if none does.
func (c *Channel) unitWhere(fits func(ratio float64) bool) string {
	candidates := signalsOf(c.Signal)
	if len(candidates) == 0 {
		return ""
	}
	s := &candidates[0]
	taken := 1.0
	if factor, ok := s.factor(c.ReadAs); ok {
		taken = factor
	}
	name, largest := "", 0.0
	for _, u := range units(s.kind) {
		if ratio := u.factor / taken; fits(ratio) && ratio > largest {
			name, largest = u.names[0], ratio
		}
	}
	return name
}

// as is what --columns has for the same column as another signal.
func (c *Channel) as(signal string) string { return quotedFlag(signal + "=" + c.signed()) }

// signed is the column with the sign that it was read with.
func (c *Channel) signed() string {
	if c.Turned {
		return "-" + quotedName(c.Column)
	}
	return quotedName(c.Column)
}

// plainFlag is a unit as --units takes it, in ASCII.
func plainFlag(unit string) string { return strings.ReplaceAll(unit, "·", "") }

// quotedFlag is a value of a flag as a shell takes it.
func quotedFlag(text string) string {
	if strings.ContainsAny(text, ` "*()[]$&;|<>`) {
		return "'" + text + "'"
	}
	return text
}

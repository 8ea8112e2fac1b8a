package compare

import (
	"math"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// text is a value for people; empty where there is none.
func (c *column) text(row int) string {
	x := c.values[row]
	switch c.Kind {
	case sequence.KindWord:
		return c.texts[int(x)]
	case sequence.KindBoolean:
		return strconv.FormatBool(x != 0)
	}
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', 5, 64)
}

// floor is the difference of a number that is of no interest in any run, by its unit.
func floor(name string) float64 {
	switch sequence.UnitOf(name).String() {
	case "mm", "deg", "N·m", "A":
		return 0.01
	case "mm/s":
		return 0.1
	case "rad/s":
		return 0.01
	}
	if strings.HasSuffix(name, "_c") || strings.HasSuffix(name, "_n") { // °C and N, which no expression has
		return 0.1
	}
	return 0.001
}

// Pair is one signal of two runs at one moment.
type Pair struct {
	Signal     string   `json:"signal"`
	Group      string   `json:"group"`
	A          string   `json:"a"`
	B          string   `json:"b"`
	Difference *float64 `json:"difference"`
	Tolerance  *float64 `json:"tolerance"`
	Differs    bool     `json:"differs"`

	Truth bool `json:"-"` // not known to the sequence
}

// stateGroup is the group of the state, which has none in a trace.
const stateGroup = "state"

// pair is a signal in a row of each run. In a moment of its own there is no slack: what differs, differs.
func pair(a, b *column, rowA, rowB int, tolerance float64) Pair {
	p := Pair{
		Signal: a.Name, Group: groupOf(a), Truth: isTruth(a),
		A: a.text(rowA), B: b.text(rowB), Differs: a.text(rowA) != b.text(rowB),
	}
	if a.Kind != sequence.KindNumber {
		return p
	}
	p.Tolerance = &tolerance
	if difference := b.values[rowB] - a.values[rowA]; !math.IsNaN(difference) {
		p.Difference = &difference
		p.Differs = math.Abs(difference) > tolerance
	}
	return p
}

package compare

import (
	"math"
	"strconv"
	"strings"

	"holdbench/sequence"
	"holdbench/sim"
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
	const digits, behindPoint = 5, 4
	return strconv.FormatFloat(x, 'g', max(digits, decade(x)+1+behindPoint), 64)
}

// SignalName is a signal with its unit, where its name does not end in it.
func SignalName(signal string) string {
	unit := sequence.UnitOf(signal)
	if unit == (sequence.Unit{}) || sequence.UnitOf("_"+signal) == unit {
		return signal
	}
	return signal + " (" + unit.String() + ")"
}

// floor is the difference of a number that is of no interest in any run, by its unit.
func floor(name string) float64 {
	switch unit := sequence.UnitOf(name).String(); {
	case strings.HasSuffix(name, "_rad_s"):
		return 0.01
	case unit == "mm", unit == "deg", unit == "N·m", unit == "A", unit == "A rms":
		return 0.01
	case unit == "mm/s", strings.HasSuffix(name, "_c"), strings.HasSuffix(name, "_n"): // °C and N, which no expression has
		return 0.1
	}
	return 0.001
}

// isPlace is whether a number is a position, an angle or a time, in which a small difference counts however far the
// run goes.
func isPlace(name string) bool {
	switch unit := sequence.UnitOf(name).String(); {
	case strings.HasSuffix(name, "_rad_s"):
		return false
	case unit == "mm", unit == "deg", unit == "s", strings.HasSuffix(name, "_rad"):
		return true
	}
	return false
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

// Beside lays the present moment of a run beside run B at a time of its own, for a run that still goes on. The
// tolerances are those of B. Values of the truth are taken between the rows of B.
func (r *Run) Beside(v *sim.View, state string, atBS float64) []Pair {
	if len(r.at) == 0 {
		return nil
	}
	nan := math.NaN()
	row := sim.Row{
		TS: v.TS, State: state, In: &v.In, Out: &v.Out, Truth: &v.Truth, LoadMM: v.LoadMM, Brake2: v.Brake2,
		DropMM: nan, SupportN: nan, ThermalLoad: nan, JudgeCurrentA: nan,
	}
	at := r.row(atBS)
	var list []Pair
	for i := range r.columns {
		b := &r.columns[i]
		one, ok := b.of(&row)
		if !ok || v.Brake2 == nil && isOfBrake2(b.Name) {
			continue
		}
		other := column{Column: b.Column, values: []float64{r.between(b, at, atBS)}, texts: b.texts}
		if one.exists(0, &other, 0) {
			list = append(list, pair(one, &other, 0, 0, max(floor(b.Name), b.tolerances[r.columns[0].values[at]])))
		}
	}
	return list
}

// of is the same signal of another moment; false where that has none.
func (c *column) of(row *sim.Row) (*column, bool) {
	one := &column{Column: c.Column}
	if c.Kind == sequence.KindWord {
		one.texts, one.values = []string{string(c.AppendText(nil, row))}, []float64{0}
		return one, true
	}
	x := c.Number(row)
	one.values = []float64{x}
	return one, !math.IsNaN(x)
}

// between is a value of the truth between two rows, of anything else that of the row before.
func (r *Run) between(c *column, row int, atS float64) float64 {
	x := c.values[row]
	if !isTruth(c) || row+1 >= len(r.at) || atS <= r.at[row] {
		return x
	}
	share := (atS - r.at[row]) / (r.at[row+1] - r.at[row])
	return x + float64((c.values[row+1]-x)*share)
}

package trend

import "holdbench/sim/evaluate"

// Quantity is a figure of a test that can be followed.
type Quantity struct {
	Name string
	Of   string // name without a direction, by which limits can be given
	Unit string
	Note string
	of   func(f *evaluate.Figures) *float64
	unit float64 // that many of a figure's unit are one of this
	// Grows more and more as its cause comes to an end, as a stopping distance does: see [Projection].
	Grows bool
}

// Quantities are those that are followed, in the order of outputs.
func Quantities() []Quantity {
	const down, up = " down", " up"
	windUp, moved := "turn of the motor shaft a newton metre in the press", "largest movement of the motor shaft in the check"
	return []Quantity{
		{"wind_up_down_deg_per_nm", "wind_up_deg_per_nm", "deg/(N·m)", windUp + down, func(f *evaluate.Figures) *float64 { return f.WindUpDown }, 1, false},
		{"wind_up_up_deg_per_nm", "wind_up_deg_per_nm", "deg/(N·m)", windUp + up, func(f *evaluate.Figures) *float64 { return f.WindUpUp }, 1, false},
		{"movement_down_deg", "movement_deg", "deg", moved + down, func(f *evaluate.Figures) *float64 { return f.MovementDownDeg }, 1, false},
		{"movement_up_deg", "movement_deg", "deg", moved + up, func(f *evaluate.Figures) *float64 { return f.MovementUpDeg }, 1, false},
		{"closing_ms", "closing_ms", "ms", "from the command of the brake to its feedback, closing", func(f *evaluate.Figures) *float64 { return f.ClosingS }, 1000, false},
		{"stopping_mm", "stopping_mm", "mm", "way of the load in a stop; compare stops of equal speed and load", func(f *evaluate.Figures) *float64 { return f.StoppingMM }, 1, true},
		{"holding_rms_a", "holding_rms_a", "A", "motor current that holds the load before the brake closes, rms", func(f *evaluate.Figures) *float64 { return f.HoldingBeforeRMSA }, 1, false},
	}
}

// value is the quantity of a test; false if the test does not show it.
func (q *Quantity) value(f *evaluate.Figures) (float64, bool) {
	x := q.of(f)
	if x == nil {
		return 0, false
	}
	return *x * q.unit, true
}

package trend

import "holdbench/sim/evaluate"

// Quantity is a figure of a test that can be followed.
type Quantity struct {
	Name string
	Of   string // name without brake and direction, by which limits can be given
	Unit string
	Note string
	of   func(t *Test) *float64
	unit float64 // that many of a figure's unit are one of this
	// Grows more and more as its cause comes to an end, as a stopping distance does: see [Projection].
	Grows bool
}

// Quantities are those that are followed, in the order of outputs; those of a second brake come last.
func Quantities() []Quantity {
	all := ofChecks("", "", func(t *Test) *evaluate.Figures { return &t.Figures })
	all = append(all,
		Quantity{"closing_ms", "closing_ms", "ms", "from the command of the brake to its feedback, closing", func(t *Test) *float64 { return t.Figures.ClosingS }, 1000, false},
		Quantity{"stopping_mm", "stopping_mm", "mm", "way of the load in a stop by the brake; compare stops of equal speed and load", stoppedByBrake, 1, true},
		Quantity{"holding_rms_a", "holding_rms_a", "A", "motor current that holds the load before the brake closes, rms", func(t *Test) *float64 { return t.Figures.HoldingBeforeRMSA }, 1, false},
	)
	return append(all, ofChecks("brake_2_", " of the second brake", func(t *Test) *evaluate.Figures { return t.Figures2 })...)
}

// stoppedByBrake leaves out what the drive stopped, which says nothing of the brake.
func stoppedByBrake(t *Test) *float64 {
	if t.Figures.StoppingBy != evaluate.ByBrake {
		return nil
	}
	return t.Figures.StoppingMM
}

// ofChecks are the quantities that the checks of one brake show.
func ofChecks(prefix, brake string, of func(t *Test) *evaluate.Figures) []Quantity {
	const windUp, moved = "turn of the motor shaft a newton metre in the press", "largest movement of the motor shaft in the check"
	from := func(figure func(f *evaluate.Figures) *float64) func(t *Test) *float64 {
		return func(t *Test) *float64 {
			if f := of(t); f != nil {
				return figure(f)
			}
			return nil
		}
	}
	return []Quantity{
		{prefix + "wind_up_down_deg_per_nm", "wind_up_deg_per_nm", "deg/(N·m)", windUp + " down" + brake, from(func(f *evaluate.Figures) *float64 { return f.WindUpDown }), 1, false},
		{prefix + "wind_up_up_deg_per_nm", "wind_up_deg_per_nm", "deg/(N·m)", windUp + " up" + brake, from(func(f *evaluate.Figures) *float64 { return f.WindUpUp }), 1, false},
		{prefix + "movement_down_deg", "movement_deg", "deg", moved + " down" + brake, from(func(f *evaluate.Figures) *float64 { return f.MovementDownDeg }), 1, false},
		{prefix + "movement_up_deg", "movement_deg", "deg", moved + " up" + brake, from(func(f *evaluate.Figures) *float64 { return f.MovementUpDeg }), 1, false},
	}
}

// value is the quantity of a test; false if the test does not show it.
func (q *Quantity) value(t *Test) (float64, bool) {
	x := q.of(t)
	if x == nil {
		return 0, false
	}
	return *x * q.unit, true
}

package evaluate

import (
	"fmt"
	"math"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// Curves are what was judged over time, for pictures: at each time of the recording, NaN where there is no
// such value.
type Curves struct {
	Time       []float64 // s
	PositionMM []float64
	TorqueNM   []float64 // of the motor, by the current that was judged
	RequiredNM []float64 // during the checks
	MovedDeg   []float64 // of the motor shaft from the latch to the end of each check
}

// CurvesOf are those of an evaluation of a recording on the same rig.
func CurvesOf(rig *plant.Rig, r *recording.Recording, e *Evaluation) (*Curves, error) {
	in, err := readInputs(rig, r)
	if err != nil {
		return nil, fmt.Errorf("curves: %w", err)
	}
	c := &Curves{Time: r.Time}
	mm, current := reader{of: in.mm}, reader{of: in.current}
	degPerMM := 180 / math.Pi / in.derived.MMPerRad
	check, latchMM := 0, math.NaN()
	for _, t := range r.Time {
		position, _ := mm.at(t)
		amp, _ := current.at(t)
		for check < len(e.Checks) && t > e.Checks[check].ToS+sameTime {
			check, latchMM = check+1, math.NaN()
		}
		required, moved := math.NaN(), math.NaN()
		if check < len(e.Checks) && t >= e.Checks[check].FromS-sameTime {
			of := &e.Checks[check]
			if of.Torque != nil {
				required = of.Torque.RequiredNM
			}
			if reached := of.Time.ReachedS; reached != nil && t >= of.FromS+*reached-sameTime {
				if math.IsNaN(latchMM) {
					latchMM = position
				}
				moved = (position - latchMM) * degPerMM
			}
		}
		c.PositionMM = append(c.PositionMM, position)
		c.TorqueNM = append(c.TorqueNM, amp*in.constant()/math.Sqrt2)
		c.RequiredNM = append(c.RequiredNM, required)
		c.MovedDeg = append(c.MovedDeg, moved)
	}
	return c, nil
}

package sim

import "holdbench/plant"

// DropCheck compares the brakes of a run with the rig's drop limit at a power failure; see
// [plant.PowerFailure]. A test proves the required test torque and nothing beyond it, so that this
// stands beside the class and is no part of it.
type DropCheck struct {
	LimitMM  float64 `json:"limit_mm"`
	SpeedMMS float64 `json:"speed_mm_s"` // of the drive
	// At the last verdict, or at the end if there was none, and at the end. Each brake is alone.
	AtVerdict       BrakeDrop  `json:"at_verdict"`
	AtVerdictBrake2 *BrakeDrop `json:"at_verdict_brake_2,omitempty"`
	AtEnd           BrakeDrop  `json:"at_end"`
	AtEndBrake2     *BrakeDrop `json:"at_end_brake_2,omitempty"`
}

// BrakeDrop is the load drop at a power failure with one brake alone, as it is at one moment: at
// rest, and while the load moves downwards with the speed of the drive.
type BrakeDrop struct {
	AtRestMM       *float64 `json:"at_rest_mm"` // null if the load does not stop
	FromSpeedMM    *float64 `json:"from_speed_mm"`
	MeetsAtRest    bool     `json:"meets_limit_at_rest"`
	MeetsFromSpeed bool     `json:"meets_limit_from_speed"`
}

// CheckDrop runs the plant through the power failures of the run. That takes about a tenth of the
// time of a run, so that only those do it that show it.
func (r *Result) CheckDrop() {
	if r.DropAtPowerFailure != nil {
		return
	}
	end := r.rigAtEnd
	c := &DropCheck{LimitMM: end.Test.DropLimitMM, SpeedMMS: end.Drive.SpeedMMS}
	c.AtEnd, c.AtEndBrake2 = dropsOf(end)
	c.AtVerdict, c.AtVerdictBrake2 = c.AtEnd, c.AtEndBrake2
	if at := r.rigAtVerdict; at != nil && !sameBrakes(at, end) { // nil in a run that goes on without a verdict
		c.AtVerdict, c.AtVerdictBrake2 = dropsOf(at)
	}
	r.DropAtPowerFailure = c
}

// MetAtRest is whether each brake as it is at the end meets the drop limit at rest.
func (c *DropCheck) MetAtRest() bool {
	return c.AtEnd.MeetsAtRest && (c.AtEndBrake2 == nil || c.AtEndBrake2.MeetsAtRest)
}

// sameBrakes is whether nothing of two rigs differs that matters at a power failure.
func sameBrakes(a, b *plant.Rig) bool {
	return a.Brake == b.Brake && a.Brake2 == b.Brake2 && a.Load == b.Load && a.Guide == b.Guide &&
		a.Transmission == b.Transmission && a.Stops == b.Stops && a.Motor == b.Motor && a.Drive == b.Drive && a.Test == b.Test
}

func dropsOf(r *plant.Rig) (first BrakeDrop, second *BrakeDrop) {
	first = brakeDropOf(r, false)
	if r.Brake2.Exists() {
		own := brakeDropOf(r, true)
		second = &own
	}
	return first, second
}

func brakeDropOf(r *plant.Rig, second bool) BrakeDrop {
	f := plant.NewPowerFailure(r, second)
	of := func(speed float64) (*float64, bool) {
		mm, stops := f.DropMM(f.CapacityNM(), speed)
		if !stops {
			return nil, false
		}
		return &mm, mm <= r.Test.DropLimitMM
	}
	var d BrakeDrop
	d.AtRestMM, d.MeetsAtRest = of(0)
	d.FromSpeedMM, d.MeetsFromSpeed = of(r.Drive.SpeedMMS)
	return d
}

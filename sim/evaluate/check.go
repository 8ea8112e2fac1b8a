package evaluate

import (
	"math"
	"slices"
)

// Check is one check of the judge in one direction, with its margins.
type Check struct {
	Direction string  `json:"direction"` // down or up
	Brake     string  `json:"brake"`     // under test: brake, brake 1, brake 2
	FromS     float64 `json:"from_s"`    // of the ask as the judge reads it
	ToS       float64 `json:"to_s"`
	Outcome   string  `json:"outcome"` // passed, failed, ask-ended, refused, not-judgeable, unfinished
	Cause     string  `json:"cause"`   // of a failure
	Detail    string  `json:"detail"`  // why there is no verdict

	Torque   *TorqueMargin   `json:"torque"`   // null if nothing was required
	Movement *MovementMargin `json:"movement"` // null if the requirement was never met
	Time     TimeMargin      `json:"time"`

	Thresholds []Threshold `json:"thresholds"` // values at which the outcome changes
}

// TorqueMargin compares what was measured with what the judge requires.
type TorqueMargin struct {
	Quantity string  `json:"quantity"` // that the judge compares: torque or current
	Unit     string  `json:"unit"`
	Required float64 `json:"required"` // signed: positive raises the load
	// Least of the full dwell behind the ramp of the press: from the first scan on that has the median of the dwell.
	// The most that was reached if the check did not pass.
	Lowest    float64  `json:"lowest"`
	InDwell   bool     `json:"in_dwell"`   // it is of a full dwell
	MarginPct *float64 `json:"margin_pct"` // of the required; null without a full dwell
	// the same as motor torque, by the judge's torque constant
	RequiredNM float64  `json:"required_nm"`
	LowestNM   float64  `json:"lowest_nm"`
	MarginNM   *float64 `json:"margin_nm"`
}

// MovementMargin compares what moved since the requirement was first met with the window.
type MovementMargin struct {
	LargestDeg float64 `json:"largest_deg"` // of the motor shaft
	LargestMM  float64 `json:"largest_mm"`  // of the load
	WindowDeg  float64 `json:"window_deg"`
	WindowMM   float64 `json:"window_mm"`
	WindowPct  float64 `json:"window_pct"` // largest movement, as a share of the window
}

// TimeMargin compares the times of a check with dwell and deadline.
type TimeMargin struct {
	MetS      float64  `json:"requirement_met_s"` // longest time for which the requirement was met inside the window
	DwellS    float64  `json:"dwell_s"`
	ReachedS  *float64 `json:"reached_s"` // from the ask to the first scan in which the requirement was met
	ElapsedS  float64  `json:"elapsed_s"` // from the ask to the end of the check
	DeadlineS float64  `json:"deadline_s"`
	LeftS     float64  `json:"left_s"` // to the deadline
}

// report is a check as it is written.
func (r *replay) report(in *inputs, c *check, thresholds []Threshold) Check {
	all := r.side.Brakes()
	out := Check{
		Direction: c.direction.String(), Brake: c.brakes.Name(all), FromS: tidy(c.fromS), ToS: tidy(c.toS),
		Outcome: c.outcome, Cause: c.cause, Detail: c.detail, Thresholds: thresholds,
		Torque: c.torque(in), Movement: c.movement(in),
		Time: TimeMargin{
			MetS: c.dwell.Seconds(), DwellS: r.rig.Judge.Dwell.Seconds(),
			ElapsedS: c.state.Elapsed.Seconds(), DeadlineS: r.rig.Judge.Deadline.Seconds(),
			LeftS: tidy((r.rig.Judge.Deadline - c.state.Elapsed).Seconds()),
		},
	}
	if !math.IsNaN(c.latchedS) {
		reached := tidy(c.latchedS - c.fromS)
		out.Time.ReachedS = &reached
	}
	return out
}

// torque gives a margin to a check that passed alone.
func (c *check) torque(in *inputs) *TorqueMargin {
	if c.required == 0 {
		return nil
	}
	share, passed := c.reached, c.outcome == Passed && len(c.met) > 0
	if passed {
		share = behindRamp(c.met)
	}
	lowest := share * c.required
	k := in.perUnitNM()
	m := &TorqueMargin{
		Quantity: c.state.Quantity, Unit: c.state.Unit, Required: c.required, Lowest: lowest, InDwell: passed,
		RequiredNM: c.required * k, LowestNM: lowest * k,
	}
	if passed {
		m.MarginPct, m.MarginNM = known(100*(share-1)), known((share-1)*math.Abs(m.RequiredNM))
	}
	return m
}

// behindRamp is the least from the first value on that has the median of all.
func behindRamp(values []float64) float64 {
	median := slices.Sorted(slices.Values(values))[len(values)/2]
	from := slices.IndexFunc(values, func(x float64) bool { return x >= median })
	return slices.Min(values[from:])
}

func (c *check) movement(in *inputs) *MovementMargin {
	if math.IsNaN(c.latchedS) {
		return nil
	}
	mmPerDeg := in.derived.MMPerRad * math.Pi / 180
	deg, window := float64(c.movedInc)*c.state.IncDeg, in.rig.Judge.WindowDeg
	return &MovementMargin{LargestDeg: deg, LargestMM: deg * mmPerDeg, WindowDeg: window, WindowMM: window * mmPerDeg, WindowPct: 100 * deg / window}
}

// tidy rounds a time in s to what a clock of microseconds can tell.
func tidy(s float64) float64 { return math.Round(s*1e6) / 1e6 }

package recording

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"

	"holdbench/plant/problem"
)

// Limits are what is known of the axis, as plain values. What is 0 is not known and not checked.
type Limits struct {
	LowMM, HighMM         float64 // ends of the travel
	MMPerRad              float64 // travel of the load for an angle of the motor shaft
	DegPerRad             float64 // turn of an arm for it
	TorqueConstant        float64 // N·m for an ampere rms
	PeakCurrentRMSA       float64 // most that the drive can have
	SpeedMMS              float64 // greatest of the travel
	BrakeTimeS            float64 // closing and opening of the brake
	HoldLowNM, HoldHighNM float64 // torque that holds the load at rest, over the travel and the payloads
	HoldVaries            bool    // with the position
	UnsureNM              float64 // by which a torque at rest may differ: friction of the guide, the rest of a counterbalance
	BrakeNMPerRad         float64 // stiffness of the closed brake at the motor shaft
}

// Doubts are what is not plausible in a recording, with the figure and, where one fits, the mistake that would
// explain it. What contradicts the recording itself or the axis by far is an error with the flag that likely
// mends it, the rest are warnings.
func Doubts(r *Recording, l Limits) problem.List {
	var list problem.List
	r.doubtTime(&list)
	r.doubtConstants(&list)
	sure := r.doubtTimeUnit(&list, l)
	sure = r.doubtSwapped(&list) && sure
	sure = r.doubtTravel(&list, l) && sure
	r.doubtSpeeds(&list, l)
	r.doubtCurrents(&list, l)
	if sure { // else neither speeds nor rests are known
		r.doubtAxis(&list, l)
	}
	for i := range list {
		list[i].File = r.Source
		list[i].Message = list[i].Path + ": " + list[i].Message
	}
	return list
}

// doubtTime finds gaps: steps much longer than the usual one.
func (r *Recording) doubtTime(list *problem.List) {
	usual := r.UsualStep()
	gaps, longest, place := 0, 0.0, 0.0
	for i := 1; i < len(r.Time); i++ {
		step := r.Time[i] - r.Time[i-1]
		if step > longStep*usual {
			gaps++
		}
		if step > longest {
			longest, place = step, r.Time[i-1]
		}
	}
	if n := r.Layout.Repeated; n > 0 {
		list.Warn("t_s", "%s the time of the line ahead and add nothing to it; the recorder or its export wrote them twice", numbered(n, "line repeats", "lines repeat"))
	}
	if gaps > 0 {
		list.Warn("t_s", "the usual step is %s s, and %s more than %d times as long, the longest %s s from %s s on; values may be missing there", short(usual), numbered(gaps, "is", "are"), longStep, short(longest), short(place))
	}
}

// longStep is how many usual steps are a gap.
const longStep = 10

// UsualStep is the median step of the time in the file, s. Times that only a signal has which was recorded late do not count.
func (r *Recording) UsualStep() float64 {
	if r.step > 0 {
		return r.step
	}
	return usualStep(r.Time)
}

func usualStep(times []float64) float64 {
	return medianStep(len(times), func(yield func(float64, int) bool) {
		for i, t := range times {
			if !yield(t, i) {
				return
			}
		}
	})
}

// medianStep is the median step of n rising times; of very many, that of some of the steps all over them.
func medianStep(n int, times iter.Seq2[float64, int]) float64 {
	const most = 100_000
	every := 1 + n/most
	steps := make([]float64, 0, min(n, most))
	before, i := math.NaN(), 0
	for t := range times {
		if i > 0 && i%every == 0 {
			steps = append(steps, t-before)
		}
		before, i = t, i+1
	}
	if len(steps) == 0 {
		return 0
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// doubtConstants finds measured values that do not change, where no other of the same quantity does.
func (r *Recording) doubtConstants(list *problem.List) {
	for _, same := range [][]string{
		{"position_mm", "angle_rad", "position_deg"},
		{"current_rms_a", "current_amp_a", "torque_nm", "torque_motor_nm"},
	} {
		var constant *Channel
		moves := false
		for _, signal := range same {
			if c := r.Channel(signal); c != nil {
				low, high, n := c.span()
				moves = moves || n < 10 || low != high
				constant = cmp.Or(constant, c)
			}
		}
		if constant != nil && !moves {
			value, _, n := constant.span()
			list.Warn(constant.Signal, "is %s %s in all of %d values; the column %q may be another signal, or not connected", short(value), constant.Unit, n, constant.Column)
		}
	}
}

// span is the least and the largest value, and the number of values.
func (c *Channel) span() (low, high float64, n int) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, x := range c.Values {
		if !math.IsNaN(x) {
			low, high, n = min(low, x), max(high, x), n+1
		}
	}
	return low, high, n
}

// Quantum is the least difference of two values that follow each other, if all differences are multiples of it
// within a tenth of it: the increment of an encoder. 0: there is none.
func (c *Channel) Quantum() float64 {
	const fewest = 10
	least, n := math.Inf(1), 0
	for d := range c.differences() {
		least, n = min(least, d), n+1
	}
	if n < fewest {
		return 0
	}
	for d := range c.differences() {
		if steps := d / least; math.Abs(steps-math.Round(steps)) > 0.1 {
			return 0
		}
	}
	return least
}

// differences are those of values that follow each other and are not the same.
func (c *Channel) differences() iter.Seq[float64] {
	return func(yield func(float64) bool) {
		last := math.NaN()
		for _, x := range c.Values {
			if math.IsNaN(x) {
				continue
			}
			if d := math.Abs(x - last); d > 1e-9*math.Max(1, math.Abs(x)) && !yield(d) {
				return
			}
			last = x
		}
	}
}

// doubtTravel finds positions that the axis cannot have; false if their unit is wrong.
func (r *Recording) doubtTravel(list *problem.List, l Limits) bool {
	c, travel := r.Channel("position_mm"), l.HighMM-l.LowMM
	if c == nil || travel <= 0 {
		return true
	}
	low, high, _ := c.span()
	free := float64(0.1 * travel)
	unit := l.unitOf(c, low, high)
	likely := fmt.Sprintf("the column %q may be another signal", c.Column)
	if unit != "" {
		likely = fmt.Sprintf("the column %q is likely in %s, as with --units %s=%s", c.Column, unit, c.Signal, unit)
	}
	switch {
	case high-low > 2*travel && unit != "": // between hard stops
		list.Add(c.Signal, "moves over %s mm, and the travel of the axis is %s mm; %s", short(high-low), short(travel), likely)
		return false
	case high-low > travel+free:
		list.Warn(c.Signal, "moves over %s mm, and the travel of the axis is %s mm; %s", short(high-low), short(travel), likely)
	case low < l.LowMM-free || high > l.HighMM+free:
		if unit == "" {
			likely = "the recorder may count from another zero, or the sign may be another"
		} else {
			likely += ", or the recorder counts from another zero"
		}
		list.Warn(c.Signal, "is from %s mm to %s mm, and the axis travels from %s mm to %s mm; %s", short(low), short(high), short(l.LowMM), short(l.HighMM), likely)
	}
	return true
}

// unitOf is the unit in which a position from low to high lies on the travel, or else is not longer than it; empty if none
// is.
func (l Limits) unitOf(c *Channel, low, high float64) string {
	const least = 0.01 // of the travel, over which an axis moves in a recording, and which it is from 0
	travel := l.HighMM - l.LowMM
	free := float64(0.1 * travel)
	on := c.unitWhere(func(ratio float64) bool {
		far := max(math.Abs(low), math.Abs(high)) * ratio
		return ratio < 1 && low*ratio >= l.LowMM-free && high*ratio <= l.HighMM+free && far >= least*travel
	})
	if on != "" {
		return on
	}
	return c.unitWhere(func(ratio float64) bool {
		moved := (high - low) * ratio
		return ratio < 1 && moved <= travel+free && moved >= least*travel
	})
}

// numbered is a number with the verb for it.
func numbered(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// short is a figure of four digits.
func short(x float64) string { return fmt.Sprintf("%.4g", x) }

package recording

import (
	"fmt"
	"math"
	"slices"

	"holdbench/plant/problem"
)

const (
	partSeconds = 0.1  // length of a part
	restRad     = 0.02 // the motor shaft rests if it turns less within a part
	fewest      = 3    // parts that tell something
)

// part is a short part of a recording, at the motor shaft.
type part struct {
	time, seconds     float64
	turned, span      float64 // rad: end less begin, greatest less least
	angle             float64 // rad, mean
	torque            float64 // N·m, mean; NaN: not known
	feedback, command state   // of the brake
}

// state is what a signal of the brake says throughout a part.
type state uint8

const (
	mixed state = iota // or not recorded
	open
	closed
)

func (p *part) rests() bool { return p.span < restRad }

// doubtAxis finds signals of the brake, of current and of position that contradict each other or the axis.
func (r *Recording) doubtAxis(list *problem.List, l Limits) {
	r.doubtPeak(list, l)
	parts := r.parts(l)
	if !r.doubtBrake(list, parts, l) {
		return // which parts have an open brake is not known
	}
	sign := r.doubtHolding(list, parts, l)
	r.doubtPosition(list, parts, sign, l)
}

// parts are those with a position.
func (r *Recording) parts(l Limits) []part {
	angles, toRad := r.angles(l)
	if angles == nil {
		return nil
	}
	torques, toNM := r.torques(l)
	feedback, command := r.Values("brake_closed"), r.Values("brake")
	var list []part
	for from, to := 0, 0; to+1 < len(r.Time); from = to {
		for to++; to+1 < len(r.Time) && r.Time[to]-r.Time[from] < partSeconds; to++ {
		}
		p := part{time: r.Time[from], seconds: r.Time[to] - r.Time[from], torque: math.NaN()}
		first, last, low, high := extent(angles[from : to+1])
		if math.IsNaN(first) || p.seconds > 3*partSeconds {
			continue
		}
		p.turned, p.span, p.angle = (last-first)*toRad, (high-low)*toRad, mean(angles[from:to+1])*toRad
		if torques != nil {
			p.torque = mean(torques[from:to+1]) * toNM
		}
		p.feedback, p.command = stateOf(feedback, from, to), stateOf(command, from, to)
		list = append(list, p)
	}
	return list
}

// angles are the values of the position that is used, and what makes rad of the motor shaft of them.
func (r *Recording) angles(l Limits) ([]float64, float64) {
	for _, c := range []struct {
		signal string
		toRad  float64
	}{{"angle_rad", 1}, {"position_mm", inverse(l.MMPerRad)}, {"position_deg", inverse(l.DegPerRad)}} {
		if values := r.Values(c.signal); values != nil && c.toRad != 0 {
			return values, c.toRad
		}
	}
	return nil, 0
}

// torques are the values of the current or torque that is used, and what makes N·m of them.
func (r *Recording) torques(l Limits) ([]float64, float64) {
	c, toNM := r.force(l)
	if c == nil {
		return nil, 0
	}
	return c.Values, toNM
}

func (r *Recording) force(l Limits) (*Channel, float64) {
	for _, c := range []struct {
		signal string
		toNM   float64
	}{{"current_rms_a", l.TorqueConstant}, {"current_amp_a", l.TorqueConstant / math.Sqrt2}, {"torque_nm", 1}} {
		if channel := r.Channel(c.signal); channel != nil && c.toNM != 0 {
			return channel, c.toNM
		}
	}
	return nil, 0
}

// extent is the first, the last, the least and the greatest of values; NaN without one.
func extent(values []float64) (first, last, low, high float64) {
	first, last, low, high = math.NaN(), math.NaN(), math.Inf(1), math.Inf(-1)
	for _, x := range values {
		if math.IsNaN(x) {
			continue
		}
		if math.IsNaN(first) {
			first = x
		}
		last, low, high = x, min(low, x), max(high, x)
	}
	return first, last, low, high
}

func mean(values []float64) float64 {
	sum, n := 0.0, 0
	for _, x := range values {
		if !math.IsNaN(x) {
			sum, n = sum+x, n+1
		}
	}
	return sum / float64(n)
}

// stateOf is what 0 for open and 1 for closed say from one place to another.
func stateOf(values []float64, from, to int) state {
	if values == nil {
		return mixed
	}
	_, _, low, high := extent(values[from : to+1])
	switch {
	case low == 0 && high == 0:
		return open
	case low == 1 && high == 1:
		return closed
	}
	return mixed
}

// doubtPeak finds currents that the drive cannot have.
func (r *Recording) doubtPeak(list *problem.List, l Limits) {
	for _, current := range []struct {
		signal string
		peak   float64
	}{{"current_rms_a", l.PeakCurrentRMSA}, {"current_amp_a", l.PeakCurrentRMSA * math.Sqrt2}, {"judge_current_amp_a", l.PeakCurrentRMSA * math.Sqrt2}} {
		c := r.Channel(current.signal)
		if c == nil || current.peak == 0 {
			continue
		}
		var above []float64
		for _, x := range c.Values {
			if math.Abs(x) > 5*current.peak {
				above = append(above, math.Abs(x))
			}
		}
		if len(above) < max(10, len(c.Values)/100) { // single wrong values are not a wrong unit
			continue
		}
		slices.Sort(above)
		usual, greatest := above[len(above)/2], above[len(above)-1]
		likely := "is likely another signal"
		unit := c.unitWhere(func(ratio float64) bool {
			return usual*ratio > current.peak/20 && greatest*ratio < 1.5*current.peak
		})
		if unit != "" {
			likely = fmt.Sprintf("is likely in %s, as with --units %s=%s, or another signal", unit, c.Signal, unit)
		}
		list.Add(c.Signal, "is up to %s A, and the peak current of the drive is %s A; the column %q %s", short(greatest), short(current.peak), c.Column, likely)
	}
}

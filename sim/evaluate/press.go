package evaluate

import (
	"math"
	"time"

	"holdbench/sim/safety"
)

// press finds the ask that a recording does not have: in which direction the closed brake is pressed.
//
// The motor of a closed brake that is not pressed has a torque between none and what carries the load. What
// lies outside by more than the breakaway friction of the guide and a tenth of the way to the requirement
// is a press; it is over at half of that. Common practice for a threshold with hysteresis. Once the shaft has moved
// out of the window of the judge under the closed brake, torque in another direction arrests the load and is no
// press, until the brake has been open.
type press struct {
	low, high float64 // N·m: torque of an axis that is not pressed
	down, up  float64 // N·m: of a press
	over      time.Duration

	window, fromInc float64 // increments: of the judge, and the place at which the brake closed; NaN: it is open
	slipped         bool    // out of the window since then

	withheld withheldPress // the first that counts as none

	now   safety.Directions
	since float64 // s, from which on the torque is back; NaN: it is not
	sum   float64 // of the torque before the brake closed
	count int
}

// withheldPress is torque of a press that counts as none, as the shaft had moved out of the window under the closed brake.
type withheldPress struct {
	direction     safety.Directions // 0: there was none
	atS, movedDeg float64
}

const (
	pressShare    = 0.1
	carryingScans = 25 // whose mean is the torque that carries the load
)

func newPress(in *inputs, startMM float64) *press {
	p := &press{over: in.rig.Judge.Dwell, since: math.NaN(), fromInc: math.NaN(), window: in.rig.Judge.WindowDeg / 360 * in.rig.Encoder.IncrementsPerTurn}
	p.carry(in, in.loadNM(startMM))
	return p
}

// carry sets the thresholds by the motor torque that carries the load.
func (p *press) carry(in *inputs, load float64) {
	guide := in.derived.GuideBreakawayNM
	down, up := in.requiredNM(safety.Down), in.requiredNM(safety.Up)
	p.low, p.high = min(0, load)-guide, max(0, load)+guide
	p.down = p.low - float64(pressShare*max(0, p.low-down))
	p.up = p.high + float64(pressShare*max(0, up-p.high))
}

// step is one scan with a motor torque in N·m and a position in increments.
func (p *press) step(in *inputs, t, torque, inc float64, closed bool) safety.Directions {
	if !closed {
		p.fromInc, p.slipped = math.NaN(), false
		return p.open(torque)
	}
	if math.IsNaN(p.fromInc) {
		p.fromInc = inc
	}
	p.slipped = p.slipped || math.Abs(inc-p.fromInc) > p.window
	if p.count > 0 {
		p.carry(in, p.sum/float64(p.count))
		p.count, p.sum = 0, 0
	}
	switch {
	case torque < p.down && p.begins(in, t, inc, safety.Down):
		p.now, p.since = safety.Down, math.NaN()
	case torque > p.up && p.begins(in, t, inc, safety.Up):
		p.now, p.since = safety.Up, math.NaN()
	case p.now == 0 || p.pressed(torque):
		p.since = math.NaN()
	case math.IsNaN(p.since):
		p.since = t
	case t-p.since >= p.over.Seconds():
		p.now = 0
	}
	return p.now
}

// begins is whether a torque in a direction is a press.
func (p *press) begins(in *inputs, t, inc float64, d safety.Directions) bool {
	if !p.slipped || p.now == d {
		return true
	}
	if p.withheld.direction == 0 {
		p.withheld = withheldPress{d, t, math.Abs(inc-p.fromInc) * 360 / in.rig.Encoder.IncrementsPerTurn}
	}
	return false
}

// open is a scan with an open brake. A press goes on if it opens under it; else the torque carries the load.
func (p *press) open(torque float64) safety.Directions {
	if p.now != 0 && p.pressed(torque) {
		return p.now
	}
	p.now, p.since = 0, math.NaN()
	if math.IsNaN(torque) {
		return 0
	}
	if p.count < carryingScans {
		p.count++
	} else {
		p.sum -= p.sum / carryingScans
	}
	p.sum += torque
	return 0
}

// pressed is whether a torque is still one of the present press.
func (p *press) pressed(torque float64) bool {
	if p.now == safety.Down {
		return torque < (p.low+p.down)/2
	}
	return torque > (p.high+p.up)/2
}

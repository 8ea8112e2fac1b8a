package player

import "time"

// speeds are simulated over real time.
func speeds() []float64 {
	return []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000}
}

// realTime is the place of 1 in [speeds].
const realTime = 6

// longestFrame bounds what one frame is worth, for frames that come late.
const longestFrame = 250 * time.Millisecond

// pace is how fast a run plays.
type pace struct {
	speed  int       // place in [speeds]
	coming bool      // a frame was asked for and is not there yet
	last   time.Time // frame before, zero if the run did not play then
	debt   float64   // ticks that are due
}

// Speed is the present one.
func (p *Player) Speed() float64 { return speeds()[p.pace.speed] }

// Faster and Slower change the speed by one step, within [speeds].
func (p *Player) Faster() { p.pace.speed = min(p.pace.speed+1, len(speeds())-1) }

// Slower is the opposite of Faster.
func (p *Player) Slower() { p.pace.speed = max(p.pace.speed-1, 0) }

// InRealTime sets the speed of a new run.
func (p *Player) InRealTime() { p.pace.speed = realTime }

// AskFrame tells whether a frame is to be asked for: one at a time, while the run plays.
func (p *Player) AskFrame() bool {
	if p.state != Playing || p.pace.coming {
		return false
	}
	p.pace.coming = true
	return true
}

// Frame takes a frame and the time at which it came. A run whose jobs take longer than a
// frame plays slower.
func (p *Player) Frame(now time.Time, tick time.Duration) {
	last := p.pace.last
	p.pace.coming, p.pace.last = false, now
	switch {
	case p.state != Playing:
		p.pace.last, p.pace.debt = time.Time{}, 0
	case !last.IsZero() && p.job == nil:
		p.pace.debt += min(now.Sub(last), longestFrame).Seconds() * p.Speed() / tick.Seconds()
	}
}

// pay takes the whole ticks off the debt.
func (p *pace) pay() int64 {
	whole := int64(p.debt)
	p.debt -= float64(whole)
	return whole
}

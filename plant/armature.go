package plant

import "math"

// armature is the engagement e of a brake over time: 0 is open, 1 is closed. With the times as
// makers give them,
//
//	close:  e stays for t11, then rises linearly; 0.9 at t11 + t12
//	open:   e stays for t21, then falls linearly; 0.1 at t2
//
// from an open or a closed brake. t11 is the response delay, t12 the rise time to 90 % of the
// torque, t2 the release time to 10 %, t21 the part of t2 before the torque falls; all in s. The
// delays are proportional to the air gap at the moment of the command, h/h_new, as the magnet
// acts across it (common practice). A reversed command starts from the present e at the same
// slope. Source: DIN VDE 0580 for the times (from memory); straight lines are a choice.
type armature struct {
	closing  bool    // it closes or is closed
	powered  bool    // the coil has its voltage
	from     float64 // e at the start of the present command
	since    float64 // s, time since the present command; infinite once it has settled and other times have come
	settled  bool    // e has reached its final value
	delay    float64 // s, t11 or t21 of the present command
	reported bool    // the switch of the brake senses a closed brake
}

// brakeTimes are the times of an armature in s and the final values of e.
type brakeTimes struct {
	closeDelay, rise  float64 // t11 at the air gap of a new brake, time from 0 to full torque
	openDelay, fall   float64 // t21 at this air gap, time from full torque to 0
	closesTo, opensTo float64 // after a command
	dropsTo           float64 // of a brake that closes although its coil has its voltage
	full              float64 // e of a brake whose armature lies on the friction disc
}

// The shares of the torque to which makers give the times.
const (
	risenTo  = 0.9 // t12
	fallenTo = 0.1 // t2
)

// timesOf are the times of a brake. A voltage left on the coil after the close command reduces
// its closing force, see [closingForce].
func timesOf(b *Brake) brakeTimes {
	full := closingForce(b, b.ResidualVoltage)
	return brakeTimes{
		closeDelay: b.ResponseDelay.Seconds(),
		rise:       b.RiseTime.Seconds() / risenTo,
		openDelay:  b.ReleaseDelay.Seconds(),
		fall:       (b.ReleaseTime - b.ReleaseDelay).Seconds() / (1 - fallenTo),
		closesTo:   min(b.ClosesTo, full),
		opensTo:    b.OpensTo,
		dropsTo:    min(b.ClosesTo, closingForce(b, b.CoilVoltage)),
		full:       full,
	}
}

// at returns e at a time ahead of the present, in s.
func (a *armature) at(b *brakeTimes, ahead float64) float64 {
	t := a.since + ahead - a.delay
	if !a.closing {
		if a.from <= b.opensTo {
			return b.opensTo
		}
		return max(b.opensTo, a.from-ramp(t, b.fall))
	}
	end := a.end(b)
	if a.from >= end {
		return end
	}
	return min(end, a.from+ramp(t, b.rise))
}

// end is the final value of e.
func (a *armature) end(b *brakeTimes) float64 {
	switch {
	case !a.closing:
		return b.opensTo
	case a.powered:
		return b.dropsTo
	}
	return b.closesTo
}

// ramp is the completed share of a linear change of a duration in s after t seconds.
func ramp(t, duration float64) float64 {
	if t <= 0 {
		return 0
	}
	if t >= duration {
		return 1
	}
	return t / duration
}

// command applies the command of this tick.
func (b *brake) command(st *BrakeState, closed bool) {
	if closed != b.commandedClosed || !b.obeyed {
		b.obey(st, closed)
	}
}

// obey applies a command to coil and armature; a change restarts the times.
func (b *brake) obey(st *BrakeState, closed bool) {
	powered := !closed || b.coil.stuckOn
	closing := !powered || !b.coil.attracts(b.closing)
	b.commandedClosed = closed
	if closing == b.closing && powered == b.powered {
		b.obeyed = true
		return
	}
	b.rest = notAtRest
	b.obeyed = false // the coil may act otherwise on the armature that has moved
	delay := b.times.openDelay
	if closing {
		delay = b.times.closeDelay
	}
	b.armature = armature{
		closing: closing, powered: powered, from: b.at(&b.times, 0), reported: b.reported,
		delay: delay * st.BrakeGapMM / b.disc.newGap,
	}
}

// retime gives a brake other times. They are those of ways that are still to come: an armature that has settled stays
// where it is, and one that is on its way goes on from there.
func (b *brake) retime(times brakeTimes) {
	moves := b.since > b.delay && (times.rise != b.times.rise || times.fall != b.times.fall)
	switch {
	case b.settled:
		b.since = math.Inf(1)
	case moves && !math.IsInf(b.since, 1):
		b.from, b.since = b.at(&b.times, 0), b.delay
	}
	b.times = times
}

// engagement is e at a time ahead in s; a settled brake needs no calculation.
func (b *brake) engagement(st *BrakeState, ahead float64) float64 {
	if b.settled {
		return st.Engagement
	}
	return b.engaging(ahead)
}

func (b *brake) engaging(ahead float64) float64 {
	e := b.at(&b.times, ahead)
	if ahead == 0 {
		b.settled = e == b.end(&b.times)
		b.sense(e)
	}
	return e
}

// The switch of a brake reports closed once the engagement has risen to 0.9, at t11 + t12 and so
// when the maker's data say that the torque is there, and open once it has fallen to 0.5: the
// armature is then on its way. Between the two it keeps its state, as a switch with a stroke of
// its own does (common practice; the figures are a choice).
const (
	sensedClosed = 0.9
	sensedOpen   = 0.5
)

// sense updates what the switch senses. It senses the armature, which lies on the friction disc
// even while a voltage on the coil or a hand release reduces its force.
func (b *brake) sense(engagement float64) {
	switch {
	case engagement <= sensedOpen*b.times.full:
		b.reported = false
	case engagement >= sensedClosed*b.times.full:
		b.reported = true
	}
}

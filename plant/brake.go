package plant

import "time"

// armature is the engagement of the brake in time: e = 0 is open, 1 is closed.
// After a close command e stays for the response delay t11 and rises linearly over
// t12; after an open command it falls linearly over t2. A command that turns round
// goes on from the e of that moment. Source: VDI 2241 for the times.
type armature struct {
	closing bool
	from    float64 // e when the present command came
	since   float64 // s, time since the present command
}

// at returns e at a time ahead of the present, in s.
func (a *armature) at(b *Brake, ahead float64) float64 {
	t := a.since + ahead
	if !a.closing {
		if a.from <= b.OpensTo {
			return b.OpensTo
		}
		return max(b.OpensTo, a.from-ramp(t, b.ReleaseTime))
	}
	limit := b.ClosesTo
	if a.from >= limit {
		return limit
	}
	return min(limit, a.from+ramp(t-b.ResponseDelay.Seconds(), b.RiseTime))
}

// ramp is how far a linear change of the given length has come after t seconds.
func ramp(t float64, length time.Duration) float64 {
	switch {
	case t <= 0:
		return 0
	case length == 0:
		return 1
	}
	return min(1, t/length.Seconds())
}

// command takes the command of this tick; a change starts the times anew.
func (a *armature) command(b *Brake, closed bool) {
	if closed == a.closing {
		return
	}
	*a = armature{closing: closed, from: a.at(b, 0)}
}

// feedbackThreshold is the engagement from which the switch on the brake says closed.
const feedbackThreshold = 0.9

// feedback is what the switch says.
func (b *Brake) feedback(engagement float64) bool {
	switch b.Feedback {
	case FeedbackClosed:
		return true
	case FeedbackOpen:
		return false
	}
	return engagement >= feedbackThreshold
}

// capacity is the torque in N·m up to which the brake holds, C = e κ f(v), with v
// the slip speed in rad/s.
func (p *Plant) capacity(engagement, slip float64) float64 {
	b := &p.k
	return engagement * p.rig.Brake.Condition * stribeck(b.brakeStatic, b.brakeSliding, b.brakeStribeck, slip)
}

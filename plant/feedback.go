package plant

import "time"

// A bouncing contact is open for bounceOpen of each bouncePeriod: a loose switch on a machine
// that vibrates at some ten hertz (common practice; the figures are a choice).
const (
	bouncePeriod = 50 * time.Millisecond
	bounceOpen   = 12 * time.Millisecond
)

// coilCurrentless is the share of the rated current below which a coil counts as switched off (a
// choice).
const coilCurrentless = 0.1

// feedback is the signal brake_closed of a brake at a time of the run, faults of the signal
// included.
func (b *brake) feedback(r *Brake, now time.Duration) bool {
	closed := b.sensed(r, now)
	switch r.FeedbackSignal {
	case SignalClosed:
		return true
	case SignalOpen, SignalMissing:
		return false
	case SignalChattering:
		return closed && now%bouncePeriod >= bounceOpen
	}
	return closed
}

// sensed is what the feedback of the brake senses:
//
//   - a switch senses the armature, see [brake.sense];
//   - a coil feedback reads back command and current. It reports closed once the coil has been
//     without current for the response delay t11, in which the magnet lets go, and open as soon as
//     there is current. Of the armature, the friction disc and the torque it reports nothing;
//   - without feedback a timer of the controller takes its place. It reports closed t11 + t12
//     after the close command and open t2 after the open command, whatever the brake does.
//
// Both substitutes are common practice for a brake inside a motor.
func (b *brake) sensed(r *Brake, now time.Duration) bool {
	if b.commandedClosed != b.timedCommand {
		b.timedCommand, b.commandedAt = b.commandedClosed, now
	}
	switch r.Feedback {
	case FeedbackCoil:
		return b.currentless(r, now)
	case FeedbackNone:
		if b.commandedClosed {
			return now-b.commandedAt >= r.ResponseDelay+r.RiseTime
		}
		return now-b.commandedAt < r.ReleaseTime
	}
	return b.reported
}

// currentless is whether the coil has no current and its magnet has let go. The current follows
// the voltage at once; the coil's own time constant is part of t11 and t2.
func (b *brake) currentless(r *Brake, now time.Duration) bool {
	if b.powered {
		return r.CoilVoltage < coilCurrentless
	}
	return r.ResidualVoltage < coilCurrentless && (now-b.commandedAt).Seconds() >= b.delay
}

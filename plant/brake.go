package plant

import (
	"math"
	"time"
)

// armature is the engagement e of the brake over time: 0 is open, 1 is closed. After a close
// command e stays constant for the response delay t11 and rises linearly over t12; after an
// open command it falls linearly over t2. A reversed command starts from the present e.
// Source: VDI 2241 for the times.
type armature struct {
	commandedClosed bool
	from            float64 // e at the start of the present command
	since           float64 // s, time since the present command
	settled         bool    // e has reached its final value
	delay           float64 // s, t11 of the present close command
}

// brakeTimes are the times of an armature in s and the final values of e.
type brakeTimes struct {
	delay, rise, release float64 // t11 at the air gap of a new brake, t12, t2
	closesTo, opensTo    float64
}

// timesOf are the times of a brake. A voltage left on the coil after the close command, u
// of the rated voltage, acts against the springs with u² of the magnet's force (Maxwell's
// pull, proportional to the square of the flux, any text on electromagnetism), so that the
// brake closes to 1 − u² only.
func timesOf(b *Brake) brakeTimes {
	return brakeTimes{
		delay:    b.ResponseDelay.Seconds(),
		rise:     b.RiseTime.Seconds(),
		release:  b.ReleaseTime.Seconds(),
		closesTo: min(b.ClosesTo, 1-float64(b.ResidualVoltage*b.ResidualVoltage)),
		opensTo:  b.OpensTo,
	}
}

// at returns e at a time ahead of the present, in s.
func (a *armature) at(b *brakeTimes, ahead float64) float64 {
	if !a.commandedClosed {
		if a.from <= b.opensTo {
			return b.opensTo
		}
		return max(b.opensTo, a.from-ramp(a.since+ahead, b.release))
	}
	if a.from >= b.closesTo {
		return b.closesTo
	}
	return min(b.closesTo, a.from+ramp(a.since+ahead-a.delay, b.rise))
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

// command applies the command of this tick; a change restarts the times. The response delay
// is proportional to the air gap at that moment (common practice).
func (s *shaft) command(closed bool) {
	if closed == s.brake.commandedClosed {
		return
	}
	delay := s.k.times.delay * s.state.BrakeGapMM / s.k.disc.newGap
	s.brake = armature{commandedClosed: closed, from: s.brake.at(&s.k.times, 0), delay: delay}
}

// feedbackThreshold is the engagement from which the switch of the brake reports closed.
const feedbackThreshold = 0.9

// A bouncing contact is open for bounceOpen of each bouncePeriod: a loose switch on a machine
// that vibrates at some ten hertz (common practice; the figures are a choice).
const (
	bouncePeriod = 50 * time.Millisecond
	bounceOpen   = 12 * time.Millisecond
)

// feedback is the signal of the switch at a time of the run. It senses the armature, which
// lies on the friction disc even while a voltage on the coil reduces its force.
func (b *Brake) feedback(engagement float64, now time.Duration) bool {
	switch b.Feedback {
	case FeedbackClosed:
		return true
	case FeedbackOpen, FeedbackMissing:
		return false
	case FeedbackChattering:
		if now%bouncePeriod < bounceOpen {
			return false
		}
	}
	full := 1 - float64(b.ResidualVoltage*b.ResidualVoltage)
	return engagement > 0 && engagement >= feedbackThreshold*full
}

// frictionDisc holds the parameters of the friction of a closed brake and of the effects of slip.
type frictionDisc struct {
	condition          float64
	fadeFrom, fadePerK float64 // °C, 1/K
	newGap, gapLimit   float64 // mm
	wear               float64 // mm per J
	bedIn              float64 // J
	heatPath           float64 // K/W
	heatDecay          float64 // of the excess temperature in one tick
	ambient            float64 // °C
	cold               float64 // K, a negligible excess temperature
}

func frictionDiscOf(b *Brake, tick time.Duration) frictionDisc {
	return frictionDisc{
		condition: b.Condition, fadeFrom: b.FadeFromC, fadePerK: b.FadePerK,
		newGap: b.NewGapMM, gapLimit: b.GapLimitMM, wear: b.WearMMPerMJ * 1e-6, bedIn: b.BedInJ,
		heatPath: b.ThermalResistance, heatDecay: math.Exp(-tick.Seconds() / (b.ThermalResistance * b.HeatCapacity)),
		ambient: b.AmbientC, cold: 1e-9,
	}
}

// factor is κ, the capacity divided by the rated capacity:
//
//	κ = κ_condition · κ_heat · κ_gap · (1 − glaze)
//	κ_heat = 1 − a (T − T_knee) above the knee
//	κ_gap  = 1 − (h − h_limit)/h_limit past the limit gap
//
// none below 0. The force of the springs decreases with the air gap; heat fades and glazing
// polishes the friction disc (common practice).
func (l *frictionDisc) factor(tempC, gapMM, glaze float64) float64 {
	heat := 1 - float64(l.fadePerK*max(0, tempC-l.fadeFrom))
	gap := 1 - max(0, gapMM-l.gapLimit)/l.gapLimit
	return l.condition * max(0, heat) * max(0, gap) * (1 - glaze)
}

// capacity is the maximum torque of the brake in N·m, C = e κ f(v), with v the slip speed in
// rad/s.
func (s *shaft) capacity(engagement, slip float64) float64 {
	return engagement * s.state.BrakeFactor * s.k.brakeCurve.at(slip)
}

// refresh recalculates κ for the present temperature, air gap and glaze.
func (s *shaft) refresh() {
	st := &s.state
	st.BrakeFactor = s.k.disc.factor(st.BrakeTempC, st.BrakeGapMM, st.BrakeGlaze)
}

// slip applies the work of a slip under a torque in N·m: heat, wear and bedding-in. With P
// the slip power,
//
//	C_th dT/dt = P − (T − T_amb)/R_th   (the loss is in cool)
//	dh/dt = k P,  dg/dt = −g P/W
//
// Elastic work has none of these effects. Source: lumped capacitance, e.g. Incropera and
// DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.1 (from memory); Archard, J.
// Appl. Phys. 24, 1953, for wear proportional to the work; bedding-in by work with
// the constant W is common practice.
func (s *shaft) slip(slipRad, torque float64) {
	l, st := &s.k.disc, &s.state
	work := math.Abs(float64(slipRad * torque))
	st.SlipRad += math.Abs(slipRad)
	st.SlipWorkJ += work
	st.BrakeTempC += float64(work/s.k.tick*l.heatPath) * (1 - l.heatDecay)
	st.BrakeGapMM += float64(l.wear * work)
	st.BrakeGlaze *= max(0, 1-work/l.bedIn)
	s.refresh()
}

// cool applies the heat flow to the surroundings.
func (s *shaft) cool() {
	l, st := &s.k.disc, &s.state
	excess := st.BrakeTempC - l.ambient
	if math.Abs(excess) < l.cold {
		return
	}
	fading := st.BrakeTempC > l.fadeFrom
	st.BrakeTempC = l.ambient + float64(excess*l.heatDecay)
	if fading {
		s.refresh()
	}
}

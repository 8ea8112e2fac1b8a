package plant

import (
	"math"
	"time"
)

// armature is the engagement of the brake in time: e = 0 is open, 1 is closed.
// After a close command e stays for the response delay t11 and rises linearly over
// t12; after an open command it falls linearly over t2. A command that turns round
// goes on from the e of that moment. Source: VDI 2241 for the times.
type armature struct {
	commandedClosed bool
	from            float64 // e when the present command came
	since           float64 // s, time since the present command
	settled         bool    // e is at the end of its way
	delay           float64 // s, t11 of the present close
}

// brakeTimes are the times of an armature in s and the ends of its way.
type brakeTimes struct {
	delay, rise, release float64 // t11 at the gap of a new brake, t12, t2
	closesTo, opensTo    float64
}

// timesOf takes the times from a brake. Voltage that stays on the coil after the
// close command, u of the rated one, pulls against the springs with u² of the
// magnet's force (Maxwell's pull, force in proportion to the square of the flux, any
// text on electromagnetism), so the brake closes to 1 − u² only.
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

// ramp is how far a linear change of the given length in s has come after t seconds.
func ramp(t, length float64) float64 {
	if t <= 0 {
		return 0
	}
	if t >= length {
		return 1
	}
	return t / length
}

// command takes the command of this tick and starts the times anew with its change.
// The response delay grows in proportion to the air gap at that moment (common
// practice).
func (s *shaft) command(closed bool) {
	if closed == s.brake.commandedClosed {
		return
	}
	delay := s.k.times.delay * s.state.BrakeGapMM / s.k.disc.newGap
	s.brake = armature{commandedClosed: closed, from: s.brake.at(&s.k.times, 0), delay: delay}
}

// feedbackThreshold is the engagement from which the switch on the brake says closed.
const feedbackThreshold = 0.9

// A contact that bounces is open for bounceOpen of each bouncePeriod: a loose switch on a
// machine that vibrates with some ten hertz (common practice; the figures are a choice).
const (
	bouncePeriod = 50 * time.Millisecond
	bounceOpen   = 12 * time.Millisecond
)

// feedback is what the switch says at a time of the run. It watches the armature, which
// lies on the lining although voltage on the coil takes force from it.
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

// frictionDisc is what decides on the friction of a closed brake and what slip does to it.
type frictionDisc struct {
	condition          float64
	fadeFrom, fadePerK float64 // °C, 1/K
	newGap, gapLimit   float64 // mm
	wear               float64 // mm per J
	bedIn              float64 // J
	heatPath           float64 // K/W
	heatDecay          float64 // of the excess temperature in one tick
	ambient            float64 // °C
	cold               float64 // K, an excess not worth following
}

func frictionDiscOf(b *Brake, tick time.Duration) frictionDisc {
	return frictionDisc{
		condition: b.Condition, fadeFrom: b.FadeFromC, fadePerK: b.FadePerK,
		newGap: b.NewGapMM, gapLimit: b.GapLimitMM, wear: b.WearMMPerMJ * 1e-6, bedIn: b.BedInJ,
		heatPath: b.ThermalResistance, heatDecay: math.Exp(-tick.Seconds() / (b.ThermalResistance * b.HeatCapacity)),
		ambient: b.AmbientC, cold: 1e-9,
	}
}

// factor is κ, what is left of the rated capacity:
//
//	κ = κ_condition · κ_heat · κ_gap · (1 − glaze)
//	κ_heat = 1 − a (T − T_knee) above the knee
//	κ_gap  = 1 − (h − h_limit)/h_limit past the limit gap
//
// none below 0. The springs have less force the farther they reach; heat fades and
// glaze polishes the lining (common practice).
func (l *frictionDisc) factor(tempC, gapMM, glaze float64) float64 {
	heat := 1 - float64(l.fadePerK*max(0, tempC-l.fadeFrom))
	gap := 1 - max(0, gapMM-l.gapLimit)/l.gapLimit
	return l.condition * max(0, heat) * max(0, gap) * (1 - glaze)
}

// capacity is the torque in N·m up to which the brake holds, C = e κ f(v), with v
// the slip speed in rad/s.
func (s *shaft) capacity(engagement, slip float64) float64 {
	return engagement * s.state.BrakeFactor * s.k.brakeCurve.at(slip)
}

// refresh brings κ and the delay to the present temperature, gap and glaze.
func (s *shaft) refresh() {
	st := &s.state
	st.BrakeFactor = s.k.disc.factor(st.BrakeTempC, st.BrakeGapMM, st.BrakeGlaze)
}

// slip books the work of a slip in rad under a torque in N·m: heat, wear and bedding
// in. With P the slip power,
//
//	C_th dT/dt = P − (T − T_amb)/R_th   (the loss is in cool)
//	dh/dt = k P,  dg/dt = −g P/W
//
// Elastic work does none of it. Source: lumped capacitance, e.g. Incropera and
// DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.1 (from memory); Archard, J.
// Appl. Phys. 24, 1953, for wear in proportion to the work; bedding in by work with
// the constant W is common practice.
func (s *shaft) slip(way, torque float64) {
	l, st := &s.k.disc, &s.state
	work := math.Abs(float64(way * torque))
	st.SlipRad += math.Abs(way)
	st.SlipWorkJ += work
	st.BrakeTempC += float64(work/s.k.tick*l.heatPath) * (1 - l.heatDecay)
	st.BrakeGapMM += float64(l.wear * work)
	st.BrakeGlaze *= max(0, 1-work/l.bedIn)
	s.refresh()
}

// cool lets the excess temperature flow off.
func (s *shaft) cool() {
	l, st := &s.k.disc, &s.state
	excess := st.BrakeTempC - l.ambient
	if math.Abs(excess) < l.cold {
		return
	}
	faded := st.BrakeTempC > l.fadeFrom
	st.BrakeTempC = l.ambient + float64(excess*l.heatDecay)
	if faded {
		s.refresh()
	}
}

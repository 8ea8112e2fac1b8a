package evaluate

import "math"

// stopWatch follows the last stop of the safety side, and the last braking of a moving axis by its brake.
type stopWatch struct {
	since   float64 // s, of the demand; NaN: none acts
	any     bool
	seenOff bool    // torque was watched behind the time of a stop
	atS     float64 // of the first torque behind it; NaN: none
	torque  float64 // largest behind it, N·m

	stopping float64 // s, from when on a moving axis is stopped; NaN: none is
	fromMM   float64
	fromMMS  float64
	driven   bool    // the motor had torque during it
	closed   bool    // the brake was closed before standstill
	newest   stopped // NaN: there was none
}

// stopped is a stop to standstill.
type stopped struct {
	mm, s, fromMMS float64 // way, time, and speed at the demand
	by             string
}

// By what an axis was stopped; empty: it is not known.
const (
	ByDrive = "drive"
	ByBrake = "brake"
	ByBoth  = "drive and brake"
)

func newStopWatch() stopWatch {
	nan := math.NaN()
	return stopWatch{since: nan, atS: nan, stopping: nan, newest: stopped{mm: nan, s: nan, fromMMS: nan}}
}

func (s *stopWatch) step(w *watched, before, now *moment) {
	s.distance(w, before, now)
	switch {
	case !is(now.stop):
		s.since = math.NaN()
		return
	case math.IsNaN(s.since):
		s.since, s.any = now.t, true
	}
	if now.t-s.since <= w.stopTime() {
		return
	}
	s.seenOff = true
	if size := math.Abs(now.torqueNM); size > w.noTorqueNM() {
		s.torque = max(s.torque, size)
		if math.IsNaN(s.atS) {
			s.atS = now.t
		}
	}
}

// stopTime is how long a stop may leave torque in s: the time of the rig, a safety scan until the demand is
// read, and the decay of the current, e^−7 being below a thousandth.
func (w *watched) stopTime() float64 {
	r := w.in.rig
	return (r.Safety.StopTime + r.Clock.SafetyScan).Seconds() + w.decayS()
}

// decayS is the time in s in which the current of a drive that is switched off decays.
func (w *watched) decayS() float64 {
	const constants = 7
	return float64(constants * w.in.rig.Drive.CurrentLag.Seconds())
}

// noTorqueNM is the torque that counts as none: a hundredth of the limit of the drive, or five standard
// deviations of the current's noise.
func (w *watched) noTorqueNM() float64 {
	const share, deviations = 0.01, 5
	r := w.in.rig
	return max(share*w.in.derived.DriveTorqueLimitNM, deviations*r.Drive.CurrentNoiseRMSA*r.Motor.TorqueConstant)
}

// distance measures how far a moving axis goes from the demand of a stop, or from the command of its brake,
// to standstill.
func (s *stopWatch) distance(w *watched, before, now *moment) {
	still := w.standstillMMS()
	demanded := is(now.stop) && !is(before.stop) || is(now.command) && !is(before.command)
	if demanded && math.IsNaN(s.stopping) && math.Abs(now.speed) > still {
		s.stopping, s.fromMM, s.fromMMS = now.t, now.mm, math.Abs(now.speed)
		s.driven, s.closed = false, false
	}
	if math.IsNaN(s.stopping) {
		return
	}
	if math.Abs(now.speed) <= still {
		s.newest = stopped{math.Abs(now.mm - s.fromMM), now.t - s.stopping, s.fromMMS, s.by(now)}
		s.stopping = math.NaN()
		return
	}
	s.closed = s.closed || is(now.closed)
	if now.t-s.stopping > w.decayS() && math.Abs(now.torqueNM) > w.noTorqueNM() {
		s.driven = true
	}
}

// by tells by the current what stopped the axis: a motor without torque did not.
func (s *stopWatch) by(now *moment) string {
	switch {
	case s.driven && s.closed:
		return ByBoth
	case s.driven:
		return ByDrive
	case s.closed || is(now.closed) || is(now.command):
		return ByBrake
	}
	return ""
}

// standstillMMS is the speed of the load in mm/s below which the drive reports standstill.
func (w *watched) standstillMMS() float64 {
	return w.in.rig.Drive.StandstillRPM / 60 * 2 * math.Pi * w.in.derived.MMPerRad
}

// releaseWatch follows what the sequence releases.
type releaseWatch struct {
	inhibited bool    // it was, since the first check was asked for
	atS       float64 // operation is allowed again behind the last check; NaN: never
	startS    float64 // operation was inhibited for the newest test
}

func newReleaseWatch() releaseWatch { return releaseWatch{atS: math.NaN(), startS: math.NaN()} }

func (r *releaseWatch) step(w *watched, before, now *moment) {
	if math.IsNaN(now.allowed) {
		return
	}
	if is(before.allowed) && !is(now.allowed) {
		r.startS = now.t
	}
	if !is(now.allowed) {
		r.inhibited, r.atS = true, math.NaN()
		return
	}
	if w.tested(now.t) && r.inhibited && math.IsNaN(r.atS) {
		r.atS = now.t
	}
}

// holdingWatch measures the torque that holds the load at standstill with the open brake, before the first
// closing and after the last opening.
type holdingWatch struct {
	recent        []held
	before, after float64 // N·m; NaN: not seen
	openS         float64 // since when the brake is open again; NaN: it is not
	sum           float64
	count         int
}

type held struct{ t, torque float64 }

const (
	holdingTime = 0.2 // s, over which the torque is averaged
	settlesFor  = 0.2 // s, behind an opening
)

func newHoldingWatch() holdingWatch {
	return holdingWatch{before: math.NaN(), after: math.NaN(), openS: math.NaN()}
}

func (h *holdingWatch) step(w *watched, before, now *moment) {
	closing := is(now.closed) || is(now.command)
	if closing {
		h.close()
		return
	}
	if is(before.closed) || is(before.command) {
		h.openS, h.sum, h.count = now.t, 0, 0
	}
	if math.Abs(now.speed) > w.standstillMMS() || is(now.moves) {
		h.recent = h.recent[:0]
		return
	}
	h.recent = append(h.recent, held{now.t, now.torqueNM})
	for now.t-h.recent[0].t > holdingTime {
		h.recent = h.recent[1:]
	}
	if since := now.t - h.openS; since > settlesFor && since <= settlesFor+holdingTime {
		h.sum += now.torqueNM
		h.count++
		h.after = h.sum / float64(h.count)
	}
}

// close ends a stretch with the open brake.
func (h *holdingWatch) close() {
	if n := len(h.recent); n > 1 && math.IsNaN(h.before) {
		sum := 0.0
		for _, x := range h.recent {
			sum += x.torque
		}
		h.before = sum / float64(n)
	}
	h.recent, h.openS = h.recent[:0], math.NaN()
}

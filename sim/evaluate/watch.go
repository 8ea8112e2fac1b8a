package evaluate

import (
	"math"

	"holdbench/plant/recording"
)

// moment is what was recorded at one time, each signal at its last sample; NaN: never so far.
type moment struct {
	t        float64 // s
	mm       float64
	torqueNM float64
	speed    float64 // mm/s
	closed   float64 // of the first brake, by feedback or as assumed
	closed2  float64
	command  float64 // of the first brake
	moves    float64 // the drive is commanded to move
	targetMM float64
	stop     float64 // a stop of the safety side, or the demand of one
	allowed  float64 // operation, by the sequence
}

// watched is all that is collected in one pass over the moments of a recording.
type watched struct {
	in     *inputs
	run    *replay
	tracks recordedTracks
	has    struct{ command, drive, target, stop, operation bool }
	gaps   struct{ position, torque float64 } // s, longest between two samples

	toS      float64 // end of what belongs to the test: the brake is open again
	drop     dropWatch
	peakNM   float64
	peakS    float64
	openings []opening
	closing  closingWatch
	fighting float64 // s, present travel against the closed brake
	fightS   float64 // longest
	fightAtS float64
	stop     stopWatch
	release  releaseWatch
	holding  holdingWatch
}

// opening is the moment at which a brake is commanded to open, or opens where no command is recorded.
type opening struct {
	t, awayNM float64
	held      bool // by the other brake
	onSupport bool
}

// recordedTracks are those that only obligations and figures use.
type recordedTracks struct{ torque, speed, command, moves, target, stop, allowed *track }

func (in *inputs) recordedTracks(r *recording.Recording) recordedTracks {
	k := in.rig.Motor.TorqueConstant
	t := recordedTracks{
		torque: trackOf(r, "torque_nm", 1), speed: trackOf(r, "speed", 1), command: wordTrack(r, "brake", "closed"),
		moves: wordTrack(r, "drive", "move"), target: trackOf(r, "target_mm", 1), stop: trackOf(r, "safe_stop", 1),
		allowed: wordTrack(r, "operation", "allowed"),
	}
	if t.torque == nil {
		t.torque = in.current.changed(func(amp float64) float64 { return amp * k / math.Sqrt2 })
	}
	if t.stop == nil {
		t.stop = trackOf(r, "estop", 1)
	}
	if t.speed == nil {
		t.speed = trackOf(r, "speed_rad_s", in.derived.MMPerRad)
	}
	if t.speed == nil {
		t.speed = in.mm.derivative()
	}
	return t
}

// watch goes over every time of a recording.
func (in *inputs) watch(r *recording.Recording, run *replay) *watched {
	tracks := in.recordedTracks(r)
	w := &watched{in: in, run: run, tracks: tracks, toS: math.Inf(1), closing: closingWatch{math.NaN(), math.NaN(), math.NaN()}, stop: newStopWatch(), release: newReleaseWatch(), holding: newHoldingWatch()}
	w.has.command, w.has.drive, w.has.target = tracks.command != nil, tracks.moves != nil, tracks.target != nil
	w.has.stop, w.has.operation = tracks.stop != nil, tracks.allowed != nil
	readers := [...]reader{{of: in.mm}, {of: tracks.torque}, {of: tracks.speed}, {of: in.closed}, {of: in.closed2}, {of: tracks.command}, {of: tracks.moves}, {of: tracks.target}, {of: tracks.stop}, {of: tracks.allowed}}
	var before moment
	for i, t := range r.Time {
		now := moment{t: t}
		for k, to := range []*float64{&now.mm, &now.torqueNM, &now.speed, &now.closed, &now.closed2, &now.command, &now.moves, &now.targetMM, &now.stop, &now.allowed} {
			*to, _ = readers[k].at(t)
		}
		if i == 0 {
			before = now
		}
		w.step(&before, &now)
		before = now
	}
	w.gaps.position, w.gaps.torque = in.mm.longestGap(w.toS), tracks.torque.longestGap(w.toS)
	return w
}

// step is one moment.
func (w *watched) step(before, now *moment) {
	w.drop.step(w, before, now)
	w.openAndClose(before, now)
	w.watchFight(before, now)
	w.stop.step(w, before, now)
	w.release.step(w, before, now)
	w.holding.step(w, before, now)
	if size := math.Abs(now.torqueNM); size > w.peakNM && now.t <= w.toS {
		w.peakNM, w.peakS = size, now.t
	}
	if w.tested(now.t) && math.IsInf(w.toS, 1) && is(before.closed) && !is(now.closed) {
		w.toS = now.t
	}
}

// tested is whether every check is over at a time, and there was one.
func (w *watched) tested(t float64) bool {
	n := len(w.run.checks)
	return n > 0 && w.run.checks[n-1].toS <= t
}

// openAndClose looks at the edges of command and feedback of the first brake.
func (w *watched) openAndClose(before, now *moment) {
	w.closing.step(now.t, before.command, now.command, before.closed, now.closed)
	was, commanded := before.command, now.command
	if !w.has.command {
		was, commanded = before.closed, now.closed
	}
	if !is(was) || is(commanded) {
		return
	}
	s := &w.in.rig.Support
	w.openings = append(w.openings, opening{
		t: now.t, awayNM: math.Abs(now.torqueNM - w.in.loadNM(now.mm)), held: is(now.closed2),
		onSupport: s.StiffnessNPerMM > 0 && now.mm <= s.AtMM,
	})
}

// watchFight looks for travel against the closed brake.
func (w *watched) watchFight(before, now *moment) {
	if !is(before.moves) || !is(now.moves) || !is(before.closed) || !is(now.closed) {
		w.fighting = 0
		return
	}
	w.fighting += now.t - before.t
	if w.fighting > w.fightS {
		w.fightS, w.fightAtS = w.fighting, now.t-w.fighting
	}
}

// closingWatch measures from the command of the first brake to its feedback.
type closingWatch struct {
	since          float64 // s, of the newest command; NaN: the feedback has come
	closed, opened float64 // s, of the newest; NaN: never
}

func (c *closingWatch) step(t, commandBefore, command, feedbackBefore, feedback float64) {
	if is(command) != is(commandBefore) {
		c.since = t
	}
	if math.IsNaN(c.since) || is(feedback) == is(feedbackBefore) || is(feedback) != is(command) {
		return
	}
	if is(feedback) {
		c.closed = t - c.since
	} else {
		c.opened = t - c.since
	}
	c.since = math.NaN()
}

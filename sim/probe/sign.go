package probe

import (
	"math"
	"slices"
	"time"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// signLimits are the differences of measured values up to which they say nothing: a sequence has
// to allow for them in any run.
type signLimits struct {
	positionMM float64 // the judge's window: a closed brake yields elastically
	torqueNM   float64 // within which the drive counts as carrying the load
	currentA   float64 // rms, of that torque
}

func newSignLimits(r *plant.Rig) signLimits {
	d := plant.Derive(r)
	torque := sim.CarryBandNM(&d)
	return signLimits{
		positionMM: r.Judge.WindowDeg * math.Pi / 180 * d.MMPerRad,
		torqueNM:   torque,
		currentA:   torque / r.Motor.TorqueConstant,
	}
}

// shows is whether two scans differ by more than the limits, or in a signal that is no measured
// value. Times follow from the signals, and the speed from the position.
func (l *signLimits) shows(a, b sequence.Inputs) bool {
	apart := func(x, y, limit float64) bool { return math.Abs(x-y) > limit }
	if apart(a.PositionMM, b.PositionMM, l.positionMM) || apart(a.TorqueNM, b.TorqueNM, l.torqueNM) || apart(a.CurrentRMSA, b.CurrentRMSA, l.currentA) {
		return true
	}
	a.PositionMM, a.PositionDeg, a.Speed, a.TorqueNM, a.CurrentRMSA = b.PositionMM, b.PositionDeg, b.Speed, b.TorqueNM, b.CurrentRMSA
	a.ProofLeftS, a.Brake1ProofLeftS, a.Brake2ProofLeftS, a.InStateS = b.ProofLeftS, b.Brake1ProofLeftS, b.Brake2ProofLeftS, b.InStateS
	a.Clock = b.Clock
	a.ForgetKept()
	b.ForgetKept()
	return a != b
}

// firstSign is a tracer that finds the first scan in which an input of the sequence differs from
// the route, and the time from which a fault can be detected: a difference beyond the limits has
// stood for a reaction time.
type firstSign struct {
	route    *route
	scanS    float64 // scan time, s
	found    *float64
	since    float64  // s; of the present difference beyond the limits
	standing bool     // there is one
	detected *float64 // s; nil: not in the time of the route
	lastS    float64  // of the last scan that was compared
}

// Row compares a scan with that of the route at the same time.
func (s *firstSign) Row(row *sim.Row) error {
	if scan := scanAt(row.TS, s.scanS); scan < len(s.route.inputs) && s.detected == nil {
		s.compare(row, &s.route.inputs[scan])
	}
	return nil
}

// scanAt is which scan is the newest at a time in s, where none comes late or is left out.
func scanAt(atS, scanS float64) int {
	const rounding = 1e-6 // of a scan time
	return int(math.Floor(atS/scanS + rounding))
}

func (s *firstSign) compare(row *sim.Row, of *sequence.Inputs) {
	s.lastS = row.TS
	if *row.In == *of {
		s.standing = false
		return
	}
	if s.found == nil {
		s.found = new(row.TS)
	}
	if !s.route.limits.shows(*row.In, *of) {
		s.standing = false
		return
	}
	if !s.standing {
		s.since, s.standing = row.TS, true
	}
	if time.Duration((row.TS-s.since)*float64(time.Second)) >= sim.ReactionTime {
		s.detected = new(row.TS)
	}
}

// unseen are the broken obligations that no reaction could have kept: they were broken before the
// fault could be detected, and are kept without it. Only what is broken at a moment of the test
// counts; a load that drops is left to the best reaction, because a brake that is too weak shows
// in no signal before it is tested, and the sequence has to test it.
func (s *firstSign) unseen(r *sim.Result) []string {
	until := s.lastS
	if s.detected != nil {
		until = *s.detected
	}
	var names []string
	for _, o := range r.Obligations {
		momentary := o.Name == sim.Carried || o.Name == sim.BelowCeiling || o.Name == sim.NoFight
		if momentary && !o.Kept && *o.AtS <= until && !slices.Contains(s.route.broken, o.Name) {
			names = append(names, o.Name)
		}
	}
	return names
}

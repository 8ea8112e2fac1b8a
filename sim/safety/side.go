package safety

import (
	"time"

	"holdbench/plant"
)

// Side is the safety side of one axis. It may be copied; the copy goes on by itself, with the same
// rig until it is given another.
type Side struct {
	Link Link // the faults of the link

	rig   *plant.Rig // as it is at the moment: a fault may change it
	judge judge
	stop  stop
	in    Inputs
	out   Outputs

	events Events

	requests delayLine[Request]
	statuses delayLine[Status]
	received Status // as the functional side reads it
}

// New makes the safety side of a rig, with the proof that an earlier run has left.
func New(r *plant.Rig) Side {
	s := Side{rig: r, judge: newJudge(r)}
	s.refresh()
	s.fill()
	return s
}

// UseRig goes on with another rig of the same axis, such as that of a copy.
func (s *Side) UseRig(r *plant.Rig) { s.rig, s.judge.data = r, &r.Judge }

// Scan is one scan: request in over the link, judge, stop, verdict out over the link.
func (s *Side) Scan(sent Request, own Readings) {
	clock := &s.rig.Clock
	s.in.Request = s.requests.carry(sent, clock.LinkDelayScans, &s.Link.ToSafety, clock.SafetyScan, clock.LinkWatchdog)
	s.in.Ask = s.in.Ask || s.Link.ToSafety.Stuck
	s.in.Readings = own
	s.judge.step(&s.in)
	s.scanStop()
	s.refresh()
	s.received = s.statuses.carry(s.out.Status, clock.LinkDelayScans, &s.Link.ToFunctional, clock.SafetyScan, clock.LinkWatchdog)
	if s.Link.ToFunctional.Stuck {
		s.received.Verdict = Verdict{}
		s.judge.give(&s.received.Verdict, s.judge.brakes, s.rig.Judge.Interval)
	}
}

// demand is whether something demands a stop: the emergency stop, or the judge.
func (s *Side) demand() bool { return s.in.Estop || s.judge.demandsStop }

func (s *Side) scanStop() {
	began, reset := s.stop.step(s.demand(), s.in.Reset, s.rig.Clock.SafetyScan, &s.rig.Safety)
	s.events = s.judge.events
	if began {
		s.events |= StopBegan
	}
	if reset {
		s.events |= StopReset
	}
}

// refresh makes the outputs image.
func (s *Side) refresh() {
	s.out.Verdict = s.judge.verdict
	s.stop.command(&s.out, s.demand(), &s.rig.Safety)
}

// fill starts the link with the present status: the functional side has read it already.
func (s *Side) fill() {
	s.received = s.out.Status
	s.statuses.fill(s.received)
}

// SetProof gives the judge a proof with some time left, or takes its proof away. Before a run both
// sides have read it already.
func (s *Side) SetProof(left time.Duration, beforeRun bool) {
	s.judge.setProof(left)
	s.refresh()
	if beforeRun {
		s.fill()
	}
}

// PowerDown is the loss of power: the judge loses its proof and its check, and signals on the link
// are lost. Faults stay, and so does a stop.
func (s *Side) PowerDown() {
	s.stop.powerDown()
	*s = Side{Link: s.Link, rig: s.rig, judge: newJudge(s.rig), stop: s.stop}
	s.judge.verdict = Verdict{}
	s.refresh()
}

// Out is the outputs image of the newest scan.
func (s *Side) Out() *Outputs { return &s.out }

// In is the inputs image of the newest scan.
func (s *Side) In() *Inputs { return &s.in }

// Received is the status as the functional side reads it.
func (s *Side) Received() *Status { return &s.received }

// Events is what happened in the newest scan.
func (s *Side) Events() Events { return s.events }

// Brakes are the brakes that need a proof.
func (s *Side) Brakes() Brakes { return s.judge.brakes }

// Tested are the brakes that the newest check has tested.
func (s *Side) Tested() Brakes { return s.judge.tested }

// Failing are the brakes whose proof a failure of the newest check withdraws.
func (s *Side) Failing() Brakes { return s.judge.failing() }

// CheckState is how far a check has come, for people.
type CheckState struct {
	Latched      bool
	CurrentMet   bool    // the current meets the requirement
	MovedInc     int64   // increments from the latch, the shorter angular distance; 0 before the latch
	WindowInc    float64 // increments that are allowed
	IncDeg       float64 // degrees of one increment
	DwellElapsed time.Duration
	Elapsed      time.Duration
	RequiredA    float64 // amplitude, A, signed, as it came over the link or as the judge owns it
}

// Check is the state of the newest check, at a position in increments.
func (s *Side) Check(position int64) CheckState {
	j := &s.judge
	c := CheckState{
		Latched: j.latched, CurrentMet: j.verdict.Busy && j.dwelling, IncDeg: 360 / float64(j.turn),
		DwellElapsed: j.dwellElapsed, Elapsed: max(0, j.elapsed), RequiredA: j.required(s.requests.out.RequiredAmpA),
	}
	c.WindowInc = j.data.WindowDeg / c.IncDeg
	if j.latched {
		c.MovedInc = plant.TurnDifference(position, j.latch, j.turn)
	}
	return c
}

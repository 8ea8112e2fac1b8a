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
	guard guard
	stop  stop

	operation operation

	lastAsk Directions // that was read
	in      Inputs
	out     Outputs

	events Events

	requests delayLine[Request]
	statuses delayLine[Status]
	received Status // as the functional side reads it
}

// New makes the safety side of a rig, with the proof that an earlier run has left.
func New(r *plant.Rig) Side {
	s := Side{rig: r, judge: newJudge(r)}
	s.in.GuardClosed, s.in.Standstill = true, true // until the first scan
	s.scanOperation()
	s.events = 0
	s.refresh()
	s.fill()
	return s
}

// UseRig goes on with another rig of the same axis, such as that of a copy.
func (s *Side) UseRig(r *plant.Rig) { s.rig, s.judge.data = r, &r.Judge }

// Scan is one scan: request in over the link, judge, guard, stop, verdict out over the link.
func (s *Side) Scan(sent Request, own Readings) {
	clock := &s.rig.Clock
	s.in.Request = s.requests.carry(sent, clock.LinkDelayScans, &s.Link.ToSafety, clock.SafetyScan, clock.LinkWatchdog)
	s.readStuckAsk()
	s.in.Readings = own
	s.judge.step(&s.in)
	s.events = s.judge.events
	s.scanGuard()
	s.scanStop()
	s.scanOperation()
	s.refresh()
	s.receive(s.statuses.carry(s.out.Status, clock.LinkDelayScans, &s.Link.ToFunctional, clock.SafetyScan, clock.LinkWatchdog))
}

// readStuckAsk is an ask that stays at the direction that was read last.
func (s *Side) readStuckAsk() {
	switch {
	case s.Link.ToSafety.Stuck:
		if s.in.Ask = s.lastAsk; s.in.Ask == 0 {
			s.in.Ask = Down
		}
	case s.in.Ask != 0:
		s.lastAsk = s.in.Ask
	}
}

// receive is what the functional side reads of a status. Of a verdict that is stuck it reads a fresh
// proof, and the counter that it read last.
func (s *Side) receive(status Status) {
	count := s.received.TestCount
	s.received = status
	if s.Link.ToFunctional.CountHeld {
		s.received.TestCount = count
	}
	if s.Link.ToFunctional.Stuck {
		s.received.Verdict = Verdict{Tested: s.judge.needed, TestCount: count}
		s.judge.give(&s.received.Verdict, s.judge.brakes, s.rig.Judge.Interval)
	}
}

// demand is what demands a stop.
func (s *Side) demand() StopCause {
	switch {
	case s.in.Estop:
		return StopEmergency
	case s.guard.demand(&s.in, &s.rig.Safety) != StopNone:
		return s.guard.demand(&s.in, &s.rig.Safety)
	case s.judge.demandsStop:
		return StopCeiling
	case s.rig.Judge.Lapse == plant.LapseStop && s.judge.events&ProofLapsed != 0:
		return StopLapse
	}
	return StopNone
}

// add adds an event that happened.
func (s *Side) add(event Events, happened bool) {
	if happened {
		s.events |= event
	}
}

func (s *Side) scanGuard() {
	possible := s.judge.verdict.Proof && !s.judge.testing() && s.in.Released
	granted, refused := s.guard.step(&s.in, possible, s.stop.phase == torqueOff, &s.rig.Safety)
	s.add(AccessGranted, granted)
	s.add(AccessRefused, refused)
}

func (s *Side) scanStop() {
	began, reset := s.stop.step(s.demand(), s.in.Reset, s.rig.Clock.SafetyScan, &s.rig.Safety)
	s.add(StopBegan, began)
	s.add(StopReset, reset)
}

func (s *Side) scanOperation() {
	withheld, returned := s.operation.step(&s.judge.verdict, s.in.Standstill, s.rig.Judge.Lapse)
	s.add(OperationWithheld, withheld)
	s.add(OperationReturned, returned)
}

// refresh makes the outputs image.
func (s *Side) refresh() {
	s.out.Verdict = s.judge.verdict
	s.out.OperationInhibited, s.out.GuardUnlocked = s.operation.withheld, s.guard.unlocked
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
	if beforeRun {
		s.scanOperation()
	}
	s.refresh()
	if beforeRun {
		s.fill()
	}
}

// PowerDown is the loss of power: the judge loses its proof and its check, and signals on the link
// are lost; a guard locking without power stays locked. Faults stay, and so do a stop, a failure and the
// counter of verdicts. Operation is withheld as it was.
func (s *Side) PowerDown() {
	s.stop.powerDown()
	*s = Side{Link: s.Link, rig: s.rig, judge: s.judge.withoutPower(s.rig), stop: s.stop, operation: s.operation}
	s.in.GuardClosed = true
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

// Directions are those that a proof needs.
func (s *Side) Directions() Directions { return s.judge.needed }

// Brakes are the brakes that need a proof.
func (s *Side) Brakes() Brakes { return s.judge.brakes }

// UnderTest are the brakes that the newest check tests or has tested.
func (s *Side) UnderTest() Brakes { return s.judge.underTest }

// Proven are the brakes of the newest proof.
func (s *Side) Proven() Brakes { return s.judge.passedOn }

// Failing are the brakes whose proof a failure of the newest check withdraws.
func (s *Side) Failing() Brakes { return s.judge.failing() }

// CheckState is how far a check has come, for people.
type CheckState struct {
	Latched      bool
	Met          bool    // what is measured meets the requirement
	MovedInc     int64   // increments from the latch, the shorter angular distance; 0 before the latch
	WindowInc    float64 // increments that are allowed
	IncDeg       float64 // degrees of one increment
	DwellElapsed time.Duration
	Elapsed      time.Duration
	Direction    Directions // of the newest check
	Quantity     string     // what is compared: torque or current
	Unit         string     // its unit
	Required     float64    // signed, as it came over the link or as the judge owns it; 0 if nothing is
	Measured     float64    // signed
}

// Check is the state of the newest check, at a position in increments and an amplitude of the current
// in A.
func (s *Side) Check(position int64, ampA float64) CheckState {
	j := &s.judge
	c := CheckState{
		Latched: j.latched, Met: j.verdict.Busy && j.dwelling, IncDeg: 360 / float64(j.turn),
		DwellElapsed: j.dwellElapsed, Elapsed: max(0, j.elapsed), Direction: j.direction,
		Required: j.requirement.required(j.data, &s.requests.out),
		Measured: j.requirement.measured(j.data, ampA, j.constant()),
	}
	c.Quantity, c.Unit = j.requirement.quantity()
	c.WindowInc = j.data.WindowDeg / c.IncDeg
	if j.latched {
		c.MovedInc = plant.TurnDifference(position, j.latch, j.turn)
	}
	return c
}

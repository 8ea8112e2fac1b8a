package sim

import (
	"fmt"
	"math"

	"holdbench/plant"
	"holdbench/sim/safety"
)

// Event is something that happened, with what the sequence believed and what was
// true at that moment.
type Event struct {
	TS   float64 `json:"t_s"`
	Kind string  `json:"kind"`
	What string  `json:"what"` // in words; nothing is decided by them

	Type    EventType `json:"-"`
	Subject string    `json:"-"` // the state that was left, the button, the obligation
	Cause   string    `json:"-"` // of a transition, a failed check or an end; empty if none
	Kept    string    `json:"-"` // what the state that was entered keeps and was another value before, with a comma ahead; empty if nothing

	Brakes safety.Brakes `json:"-"` // of a verdict

	Snapshot Snapshot `json:"-"`
}

// EventType says what happened. Whatever is decided by an event is decided by its type.
type EventType uint8

// The types of events.
const (
	EventStateEntered      EventType = iota + 1 // by a transition of the sequence
	EventControllerStopped                      // by itself; the sequence runs no more
	EventPowerReturned                          // the sequence starts anew, in a state of its own

	EventButtonOn
	EventButtonOff

	EventFaultBegan
	EventFaultEnded

	EventAsked           // a check begins
	EventAskDropped      // a check ends without a verdict
	EventAskRefused      // no check begins, as a failure stands
	EventTorqueReached   // the judge latches the position
	EventDirectionPassed // another one is still required for a proof
	EventProven
	EventFailed
	EventAcknowledged // a failure
	EventProofDue
	EventProofLapsed
	EventCheckLost // with the power, without a verdict

	EventStopBegan // of the safety side
	EventStopReset
	EventAccess // granted or refused
	EventOperationWithheld
	EventOperationReturned

	EventBrakeClosed // fully
	EventBrakeOpened // fully

	EventDriveTorqueOn
	EventDriveTorqueOff

	EventSlipBegan   // of the closed brake
	EventLoadDropped // more than the rig's limit

	EventObligationBroken
	EventEnded
)

// Kind is the kind under which events of a type are listed.
func (t EventType) Kind() string {
	switch {
	case t <= EventPowerReturned:
		return KindState
	case t <= EventButtonOff:
		return KindOperator
	case t <= EventFaultEnded:
		return KindFault
	case t <= EventCheckLost:
		return KindJudge
	case t <= EventOperationReturned:
		return KindSafety
	case t <= EventBrakeOpened:
		return KindBrake
	case t <= EventDriveTorqueOff:
		return KindDrive
	case t <= EventLoadDropped:
		return KindTruth
	case t == EventObligationBroken:
		return KindObligation
	}
	return KindEnd
}

// EntersState is whether the sequence entered a state, whose name is in the snapshot.
func (e *Event) EntersState() bool {
	return e.Type == EventStateEntered || e.Type == EventPowerReturned
}

// Entered is the state that was entered, why, and what it keeps; of a controller that has stopped, the
// reason.
func (e *Event) Entered() string {
	if !e.EntersState() {
		return e.What
	}
	return e.Snapshot.State + because(e.Cause) + e.Kept
}

// OfBrake is whether a verdict is of the first or the second brake.
func (e *Event) OfBrake(second bool) bool {
	if second {
		return e.Brakes&safety.SecondBrake != 0
	}
	return e.Brakes&safety.FirstBrake != 0
}

// The kinds of events.
const (
	KindState      = "state"
	KindOperator   = "operator"
	KindFault      = "fault"
	KindJudge      = "judge"
	KindSafety     = "safety"
	KindBrake      = "brake"
	KindDrive      = "drive"
	KindTruth      = "truth"
	KindObligation = "obligation"
	KindEnd        = "end"
)

// EventKinds lists the kinds of events.
func EventKinds() []string {
	return []string{KindState, KindOperator, KindFault, KindJudge, KindSafety, KindBrake, KindDrive, KindTruth, KindObligation, KindEnd}
}

// TruthOnly is whether events of a kind are truth, which the sequence does not know.
func TruthOnly(kind string) bool {
	switch kind {
	case KindFault, KindBrake, KindTruth, KindObligation:
		return true
	}
	return false
}

// Snapshot is a moment of the run from both sides.
type Snapshot struct {
	State string // of the sequence
	// what the sequence's inputs say
	PositionMM   float64
	TorqueNM     float64
	BrakeClosed  bool
	Brake2Closed bool
	// what is true
	LoadMM        float64
	MotorTorqueNM float64
	BrakeTorqueNM float64
	CapacityNM    float64 // at the present engagement
	Engagement    float64
	Second        *BrakeSnapshot // nil without a second brake
	DropMM        float64
}

// BrakeSnapshot is the truth of a second brake at that moment, at the motor shaft.
type BrakeSnapshot struct {
	TorqueNM, CapacityNM float64
	Engagement           float64
	Apart                bool // it holds a severed load, and the other brake a motor without one
}

// record adds an event.
func (b *Bench) record(t EventType, what string) { b.recordOf(t, what, "", "") }

// recordOf adds an event with its subject and its cause.
func (b *Bench) recordOf(t EventType, what, subject, cause string) {
	b.events = append(b.folded.fold(b.events), Event{
		TS: b.seconds(b.tick), Kind: t.Kind(), What: what,
		Type: t, Subject: subject, Cause: cause, Snapshot: b.snapshot(),
	})
	b.folded.recorded++
}

func (b *Bench) snapshot() Snapshot {
	s := b.plant.State()
	snap := Snapshot{
		State: b.stateName(), PositionMM: b.reading.PositionMM, TorqueNM: b.reading.TorqueNM,
		BrakeClosed: b.reading.BrakeClosed, LoadMM: b.plant.LoadMM(), MotorTorqueNM: s.MotorTorqueNM,
		BrakeTorqueNM: s.BrakeTorqueNM, CapacityNM: s.CapacityNM, Engagement: s.Engagement,
		DropMM: b.monitors.drop.largest, Brake2Closed: b.reading.Brake2Closed,
	}
	if second := b.plant.Brake2State(); second != nil {
		snap.Second = &BrakeSnapshot{TorqueNM: second.BrakeTorqueNM, CapacityNM: second.CapacityNM, Engagement: second.Engagement, Apart: b.plant.Brake2OnLoad()}
	}
	return snap
}

// truthWatch is the truth at the last event, or at the last tick.
type truthWatch struct {
	started, dropped bool
	mode             plant.Mode
	first, second    brakeWatch
}

// brakeWatch is the truth of one brake at the last event, or at the last tick.
type brakeWatch struct {
	engagement, slip, slipFrom float64
	slipping                   bool
}

// slipReportedRad is the slip from which on a slip is an event: a tenth of a degree.
const slipReportedRad = 0.1 * math.Pi / 180

// watchTruth records what the plant does and the sequence cannot read.
func (b *Bench) watchTruth() {
	s, t, mode := b.plant.State(), &b.truth, b.plant.DriveMode()
	if !t.started {
		*t = truthWatch{started: true, mode: mode, first: brakeWatch{engagement: s.Engagement}}
		if second := b.plant.Brake2State(); second != nil {
			t.second.engagement = second.Engagement
		}
	}
	if limit := b.plant.Rig().Test.DropLimitMM; !t.dropped && b.monitors.drop.largest > limit {
		t.dropped = true
		b.record(EventLoadDropped, fmt.Sprintf("load drop exceeds %.3g mm%s", limit, byCommand(b.monitors.letGo.fell)))
	}
	if second := b.plant.Brake2State(); second != nil && t.second.changed(second) {
		b.watchBrake(&t.second, second, safety.SecondBrake)
		b.watchSlip(&t.second, second, safety.SecondBrake)
		t.second.engagement, t.second.slip = second.Engagement, second.SlipRad
	}
	if !t.first.changed(&s.BrakeState) && mode == t.mode {
		return
	}
	b.watchBrake(&t.first, &s.BrakeState, safety.FirstBrake)
	if on := mode != plant.Off; on != (t.mode != plant.Off) {
		b.record(onOff(on, EventDriveTorqueOn, EventDriveTorqueOff), "torque"+onOff(on, " on", " off"))
	}
	b.watchSlip(&t.first, &s.BrakeState, safety.FirstBrake)
	t.first.engagement, t.first.slip, t.mode = s.Engagement, s.SlipRad, mode
}

// unchanged is whether nothing has changed that is an event, as in most ticks.
func (t *truthWatch) unchanged(b *Bench) bool {
	s := b.plant.State()
	return t.started && (t.dropped || b.monitors.drop.largest <= b.plant.Rig().Test.DropLimitMM) &&
		s.Engagement == t.first.engagement && s.SlipRad == t.first.slip && b.plant.DriveMode() == t.mode && b.plant.Brake2State() == nil
}

func (w *brakeWatch) changed(s *plant.BrakeState) bool {
	return s.Engagement != w.engagement || s.SlipRad != w.slip
}

func (b *Bench) watchBrake(w *brakeWatch, s *plant.BrakeState, which safety.Brakes) {
	switch {
	case s.Engagement == 1 && w.engagement != 1:
		b.record(EventBrakeClosed, b.ofBrakes(which)+"fully closed")
	case s.Engagement == 0 && w.engagement != 0:
		b.record(EventBrakeOpened, b.ofBrakes(which)+"fully open")
	}
}

// watchSlip records once that the closed brake slips, by more than its wind-up.
func (b *Bench) watchSlip(w *brakeWatch, s *plant.BrakeState, which safety.Brakes) {
	switch {
	case s.Engagement < 1:
		w.slipping, w.slipFrom = false, s.SlipRad
	case !w.slipping && s.SlipRad-w.slipFrom > slipReportedRad:
		w.slipping = true
		b.record(EventSlipBegan, "the closed "+which.Name(b.safety.Brakes())+" slips")
	}
}

// recordBroken ends the events with the obligations that were broken.
func (b *Bench) recordBroken() {
	for _, o := range b.monitors.report(b) {
		if !o.Kept {
			b.recordOf(EventObligationBroken, o.Name+" broken: "+o.Detail, o.Name, "")
		}
	}
}

package sim

import (
	"fmt"
	"math"
	"time"

	"holdbench/plant"
)

// Event is something that happened, with what the sequence believed and what was
// true at that moment.
type Event struct {
	TS       float64  `json:"t_s"`
	Kind     string   `json:"kind"`
	What     string   `json:"what"`
	Snapshot Snapshot `json:"-"`
}

// The kinds of events.
const (
	EventState      = "state"
	EventOperator   = "operator"
	EventFault      = "fault"
	EventJudge      = "judge"
	EventBrake      = "brake"
	EventDrive      = "drive"
	EventTruth      = "truth"
	EventObligation = "obligation"
	EventEnd        = "end"
)

// EventKinds lists the kinds of events.
func EventKinds() []string {
	return []string{EventState, EventOperator, EventFault, EventJudge, EventBrake, EventDrive, EventTruth, EventObligation, EventEnd}
}

// TruthOnly tells whether events of a kind say what only the plant knows.
func TruthOnly(kind string) bool {
	switch kind {
	case EventFault, EventBrake, EventTruth, EventObligation:
		return true
	}
	return false
}

// Snapshot is a moment of the run from both sides.
type Snapshot struct {
	State string // of the sequence
	// what the sequence's inputs say
	PositionMM  float64
	TorqueNM    float64
	BrakeClosed bool
	// what is true
	LoadMM        float64
	MotorTorqueNM float64
	BrakeTorqueNM float64
	CapacityNM    float64 // at the present engagement
	Engagement    float64
	DropMM        float64
}

// shortDuration writes 8h instead of 8h0m0s, and 5m instead of 5m0s.
func shortDuration(d time.Duration) string {
	switch {
	case d >= time.Hour && d%time.Hour == 0:
		return fmt.Sprintf("%dh", d/time.Hour)
	case d >= time.Minute && d%time.Minute == 0:
		return fmt.Sprintf("%dm", d/time.Minute)
	}
	return d.String()
}

func (b *Bench) note(kind, what string) {
	b.events = append(b.events, Event{TS: b.seconds(b.tick), Kind: kind, What: what, Snapshot: b.snapshot()})
}

func (b *Bench) snapshot() Snapshot {
	s := b.plant.State()
	return Snapshot{
		State: b.stateName(), PositionMM: b.reading.PositionMM, TorqueNM: b.reading.TorqueNM,
		BrakeClosed: b.reading.BrakeClosed, LoadMM: b.plant.LoadMM(), MotorTorqueNM: s.MotorTorqueNM,
		BrakeTorqueNM: s.BrakeTorqueNM, CapacityNM: s.CapacityNM, Engagement: s.Engagement,
		DropMM: b.monitors.drop.worst,
	}
}

// truthWatch remembers what was last looked at of the truth.
type truthWatch struct {
	started, slipping, fallen  bool
	mode                       plant.Mode
	engagement, slip, slipFrom float64
}

// slipToTellRad is the slip from which a slip is worth a line: a tenth of a degree.
const slipToTellRad = 0.1 * math.Pi / 180

// watchTruth notes what the plant does and the sequence cannot see. Most ticks change
// nothing of it.
func (b *Bench) watchTruth() {
	s, t, mode := b.plant.State(), &b.truth, b.plant.DriveMode()
	if !t.started {
		*t = truthWatch{started: true, mode: mode, engagement: s.Engagement}
	}
	if limit := b.plant.Rig().Test.DropLimitMM; !t.fallen && b.monitors.drop.worst > limit {
		t.fallen = true
		b.note(EventTruth, fmt.Sprintf("the load has sunk more than %.3g mm", limit))
	}
	if s.Engagement == t.engagement && s.SlipRad == t.slip && mode == t.mode {
		return
	}
	b.watchBrake(s.Engagement)
	if on := mode != plant.Off; on != (t.mode != plant.Off) {
		b.note(EventDrive, "torque"+onOff(on))
	}
	b.watchSlip(s)
	t.engagement, t.slip, t.mode = s.Engagement, s.SlipRad, mode
}

func (b *Bench) watchBrake(engagement float64) {
	switch before := b.truth.engagement; {
	case engagement == 1 && before != 1:
		b.note(EventBrake, "fully closed")
	case engagement == 0 && before != 0:
		b.note(EventBrake, "fully open")
	}
}

// watchSlip tells once a slip of the closed brake that is more than wind-up.
func (b *Bench) watchSlip(s *plant.State) {
	t := &b.truth
	switch {
	case s.Engagement < 1:
		t.slipping, t.slipFrom = false, s.SlipRad
	case !t.slipping && s.SlipRad-t.slipFrom > slipToTellRad:
		t.slipping = true
		b.note(EventTruth, "the closed brake slips")
	}
}

// noteBroken ends the events with the obligations that were broken.
func (b *Bench) noteBroken() {
	for _, o := range b.monitors.report(b) {
		if !o.Kept {
			b.note(EventObligation, o.Name+" broken: "+o.Detail)
		}
	}
}

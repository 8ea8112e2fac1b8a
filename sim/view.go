package sim

import (
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim/safety"
)

// View is all about one moment of a run, for people. It shares nothing with the run, except
// for the events, which do not change.
type View struct {
	TS        float64 // s, of the tick that was last done
	Tick      int64   // ticks done
	Done      bool    // the run is over
	Unpowered bool    // the controllers have no power
	Halted    bool    // the controller of the sequence has stopped
	State     int     // place in the program's states
	InStateS  float64
	End       sequence.EndKind
	Cause     string
	In        sequence.Inputs
	Out       sequence.Outputs
	Waiting   []sequence.Condition // nil where the controller does not tell it
	Listing   []sequence.Line      // of a program: what runs in the state
	Buttons   map[string]bool

	CloseBrake, CloseBrake2 bool // to each brake: close; the safety side has the last word

	Truth             plant.State
	Partner           *plant.State // nil without one
	Rig               plant.Rig    // with the faults of the moment
	LoadMM            float64
	SupportShare      float64           // of the load that rests on its support
	DemandNM          float64           // motor torque that the drive asks for
	StaticCapacityNM  float64           // capacity at rest, if the brake were closed
	RequiredTestNM    float64           // test torque
	Brake2            *plant.BrakeState // nil without one
	StaticCapacity2NM float64           // the same of the second brake, at the motor shaft

	Judge       JudgeView
	Faults      []FaultView
	Obligations []Obligation // as broken so far
	Events      []Event
}

// JudgeView is the state of the judge.
type JudgeView struct {
	Verdict     safety.Verdict
	Received    safety.Verdict // the verdict that the sequence reads
	LatchedS    float64        // s, when
	CheckEndedS float64        // s, when the newest check ended; without meaning while one runs
	Stop        string         // SS1 or STO, empty while the drive may run
	Withheld    bool           // the safety side withholds operation
	safety.CheckState
}

// FaultView is the state of one fault of the run.
type FaultView struct {
	What     string
	WaitsFor string  // state, empty if the fault has a time of its own
	DueS     float64 // s, NaN while it is not known
	Active   bool
	Over     bool

	// Idle is whether it is active and changes nothing at the moment: later ones set what it sets, earlier ones set the
	// same, or all that it sets is so already.
	Idle bool
}

// Case is what is run.
func (b *Bench) Case() *Case { return b.c }

// Ticks is how many ticks are done.
func (b *Bench) Ticks() int64 { return b.tick }

// Done is whether the run is over.
func (b *Bench) Done() bool { return b.done }

// StateIndex is the place of the sequence's state in the program.
func (b *Bench) StateIndex() int { return b.state }

// Events are those of the run so far; of very many those that [Folded] leaves.
func (b *Bench) Events() []Event { return b.events }

// Recorded is how many events there were so far, with those that are left out.
func (b *Bench) Recorded() int { return b.folded.recorded }

// AtStop is whether the moment is one of the stops of a lesson, and which.
func (b *Bench) AtStop(s *Stops) (index int, due bool) {
	return s.Due(b.seconds(b.tick), b.stateName(), b.controller.InState().Seconds(), b.events, b.folded.recorded)
}

// View is the present moment of the run. It allocates.
func (b *Bench) View() *View {
	l := &View{
		TS: b.seconds(max(0, b.tick-1)), Tick: b.tick, Done: b.done, Unpowered: b.unpowered, Halted: b.halted,
		State: b.state, InStateS: b.controller.InState().Seconds(),
		End: b.end(), Cause: b.cause(), In: b.in, Out: b.out,
		Waiting: b.controller.Waiting(), Buttons: map[string]bool{},
		CloseBrake: b.command.CloseBrake, CloseBrake2: b.command.CloseBrake2,
		Truth: *b.plant.State(), Rig: *b.plant.Rig(), LoadMM: b.plant.LoadMM(), SupportShare: b.plant.SupportShare(),
		DemandNM:         b.plant.DemandNM(),
		StaticCapacityNM: b.plant.StaticCapacityNM(), StaticCapacity2NM: b.plant.StaticCapacity2NM(), RequiredTestNM: b.plant.RequiredTestNM(),
		Judge: b.judgeView(), Faults: b.faultViews(),
		Obligations: b.monitors.report(b), Events: b.events[:len(b.events):len(b.events)],
	}
	if program, ok := b.controller.(sequence.Lister); ok {
		l.Listing = program.Listing()
	}
	for _, name := range Buttons() {
		l.Buttons[name] = b.Button(name)
	}
	if p := b.plant.PartnerState(); p != nil {
		own := *p
		l.Partner = &own
	}
	if s := b.plant.Brake2State(); s != nil {
		own := *s
		l.Brake2 = &own
	}
	return l
}

// judgeCurrentA is the current that the judge reads: of a transducer of its own that of its last
// scan, so that a view draws no noise.
func (b *Bench) judgeCurrentA() float64 {
	if b.plant.Rig().Judge.Transducer == plant.TransducerOwn {
		return b.safety.In().CurrentAmpA
	}
	return math.Sqrt2 * b.reading.CurrentRMSA
}

func (b *Bench) judgeView() JudgeView {
	return JudgeView{
		Verdict: b.safety.Out().Verdict, Received: b.safety.Received().Verdict,
		LatchedS:    b.seconds(b.latchTick),
		CheckEndedS: b.seconds(b.checkedTick),
		Stop:        b.safety.Out().Stop(),
		Withheld:    b.safety.Out().OperationInhibited,
		CheckState:  b.safety.Check(b.reading.SingleTurn, b.safety.In().CurrentAmpA), // the current that was judged
	}
}

func (b *Bench) faultViews() []FaultView {
	var list []FaultView
	uppermost := b.uppermost()
	changes := func(f *scheduledFault) bool {
		return slices.ContainsFunc(f.settings, func(s setting) bool { g := uppermost[s.target]; return g.changes(f) })
	}
	for _, f := range b.schedule {
		v := FaultView{What: f.text(), DueS: math.NaN(), Active: f.active, Over: f.over, Idle: f.active && !changes(f)}
		if f.state >= 0 {
			v.WaitsFor = f.fault.When.State
		}
		if f.due >= 0 {
			v.DueS = b.seconds(f.due)
		}
		list = append(list, v)
	}
	return list
}

package sequence

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/looplab/fsm"
)

// Machine is one run of a Program. It belongs to one goroutine. Every transition goes
// through a state machine of the program, which is the authority on the state that it
// leads to; the machine keeps its index.
type Machine struct {
	program *Program
	scan    time.Duration
	scanS   float64

	state      int
	started    bool
	clock      time.Duration // of the last scan
	passed     int           // scans since the last one: 1, or more if some were left out
	entered    int           // scans since the state was entered
	ownHeld    []int         // scans each condition of the state has held; -1 if it does not
	anyHeld    []int         // the same for the any transitions, across states
	fired      []int         // firings by the number of the transition
	cause      string
	causeIsOld bool // of the run before the last end
	outputs    Outputs
	kept       memory
	last       Inputs
	open       []int // places of the candidates that a scan looks at, see watched
	settled    bool  // the state was not entered by the last scan
	failure    error
}

// Fired is what one scan did. OK is false if no transition fired.
type Fired struct {
	OK        bool
	From, To  string
	FromIndex int
	ToIndex   int
	Event     string // name of the transition of a document: travel/0, any/1
	Cause     string // of the transition: the judge's word where it takes it; "" if an earlier cause is kept
}

// NewMachine makes a run at its beginning; scan is the time between two calls
// of Scan and must be above zero, or every call of Scan returns an error.
func NewMachine(p *Program, scan time.Duration) *Machine {
	return newMachine(p, scan, p.start, DefaultOutputs())
}

// NewMachineAt makes a run that begins in the state of that place, as a controller
// does when its power comes back, with Description.PowerUp as the place: all
// counts are zero, no cause is known, and the outputs are PowerUpOutputs until a
// state sets them. A place that is none makes every call of Scan return an error.
func NewMachineAt(p *Program, scan time.Duration, state int) *Machine {
	if state >= 0 && state < len(p.states) {
		return newMachine(p, scan, state, PowerUpOutputs())
	}
	m := newMachine(p, scan, p.start, PowerUpOutputs())
	m.failure = fmt.Errorf("sequence %s: the index of the first state is %d; must be from 0 to %d", p.about.Name, state, len(p.states)-1)
	return m
}

func newMachine(p *Program, scan time.Duration, state int, outputs Outputs) *Machine {
	m := &Machine{
		program: p, scan: scan, scanS: scan.Seconds(), state: state, outputs: outputs,
		anyHeld: unheld(nil, len(p.any)), fired: make([]int, len(p.events)), open: make([]int, 0, p.most),
	}
	m.ownHeld = unheld(nil, len(p.states[state].Edges))
	if scan <= 0 {
		m.failure = fmt.Errorf("sequence %s: the scan time is %v; must be above zero", p.about.Name, scan)
	}
	return m
}

// Scan runs one functional scan. It fills in.InStateS, in.ScanS and the kept values, fires at most one
// transition and writes the whole output image; what the caller changed in out since the last scan is
// lost. The first Scan also enters the first state. An end state with transitions of its own goes on like
// any other, and one of them begins a new run. An error means that the machine is lost.
//
// Nothing is allocated unless a transition fires.
func (m *Machine) Scan(in *Inputs, out *Outputs) (Fired, error) {
	if m.failure != nil {
		return Fired{}, m.failure
	}
	m.tick(in.Clock)
	in.InStateS, in.ScanS, in.kept = m.InState().Seconds(), m.scanS, m.kept
	if m.started {
		in.before = &m.last
	} else {
		m.started = true
		m.apply(in)
	}
	fired, err := m.step(in)
	in.before = nil // the image may outlive the machine
	m.last = *in
	*out = m.outputs
	return fired, err
}

// tick counts the scan, and those that were left out since the last one; the first is time zero.
func (m *Machine) tick(clock time.Duration) {
	if m.passed = 1; clock != m.clock+m.scan {
		m.passed = max(1, int((clock-m.clock+m.scan/2)/m.scan))
	}
	m.clock = clock
	if m.started {
		m.entered += m.passed
	}
}

// step tries the any transitions, then the state's own, in document order.
func (m *Machine) step(in *Inputs) (Fired, error) {
	if chosen := m.pick(in); chosen != nil {
		return m.fire(chosen, in)
	}
	return Fired{}, nil
}

// lasts is the time of so many scans.
func (m *Machine) lasts(scans int) time.Duration { return time.Duration(scans) * m.scan }

// fire takes the transition and enters the target, which may be the same state.
func (m *Machine) fire(edge *Edge, in *Inputs) (Fired, error) {
	from := m.state
	if err := m.event(edge); err != nil {
		m.failure = fmt.Errorf("sequence %s: transition %s: %w", m.program.about.Name, edge.Event, err)
		return Fired{}, m.failure
	}
	m.count(edge)
	m.leave(m.program.states[from].End)
	m.entered, m.settled = 0, false
	m.ownHeld = unheld(m.ownHeld, len(m.program.states[m.state].Edges))
	m.apply(in)
	cause := edge.Cause
	switch cause {
	case causeOfJudge:
		cause = in.JudgeCause
	case causeOfStop:
		cause = in.StopCause
	}
	if edge.Any && m.cause != "" && !m.causeIsOld {
		cause = "" // the first cause is kept
	}
	if cause != "" {
		m.cause, m.causeIsOld = cause, false
	}
	if m.program.states[m.state].End == EndPass {
		m.cause = "" // of a failure that was made good
	}
	return Fired{
		OK: true, From: m.program.states[from].Name, To: edge.To,
		FromIndex: from, ToIndex: m.state, Event: edge.Event, Cause: cause,
	}, nil
}

// event fires the transition in a state machine that is in the present state and reads the
// state back from it. A transition to the same state comes back as a NoTransitionError, which is no
// failure. One that has failed is not used again.
func (m *Machine) event(edge *Edge) error {
	states := m.program.stateMachine(m.State())
	err := states.Event(context.Background(), edge.Event)
	var same fsm.NoTransitionError
	if errors.As(err, &same) && same.Err == nil && edge.Target == m.state {
		err = nil
	}
	if err != nil {
		return err
	}
	now := m.program.index[states.Current()]
	if now != edge.Target {
		return fmt.Errorf("the state is %s; %s was due", states.Current(), edge.To)
	}
	m.program.unused.Put(states)
	m.state = now
	return nil
}

// count remembers a firing for Times.
func (m *Machine) count(edge *Edge) {
	m.fired[edge.number]++
	if edge.Any {
		m.anyHeld[edge.number] = -1 // its condition must hold anew
	}
}

// leave begins a new run after an end: the cause is that of the run before until there is another, and
// what may fire a number of times a run may again. A lockout that is left goes on: its counts stay.
func (m *Machine) leave(end EndKind) {
	m.causeIsOld = m.causeIsOld || end != EndNone
	if end == EndNone || end == EndFail {
		return
	}
	clear(m.fired)
}

// apply keeps the values of the present state, in their order, then carries out its settings.
func (m *Machine) apply(in *Inputs) {
	state := &m.program.states[m.state]
	for i := range state.Keeps {
		state.Keeps[i].apply(in)
	}
	m.kept = in.kept
	for i := range state.Sets {
		state.Sets[i].apply(in, &m.outputs)
	}
}

// unheld makes a count of n conditions none of which holds yet.
func unheld(counts []int, n int) []int {
	counts = slices.Grow(counts[:0], n)[:n]
	for i := range counts {
		counts[i] = -1
	}
	return counts
}

// Program is what the machine runs.
func (m *Machine) Program() *Program { return m.program }

// State is the name of the present state.
func (m *Machine) State() string { return m.program.states[m.state].Name }

// StateIndex is the place of the present state in Program.States.
func (m *Machine) StateIndex() int { return m.state }

// InState is the time since the state was entered; 0 in the scan that entered it.
func (m *Machine) InState() time.Duration { return m.lasts(m.entered) }

// Ended reports how the run ended, and whether it has.
func (m *Machine) Ended() (EndKind, bool) {
	end := m.program.states[m.state].End
	return end, end != EndNone
}

// Cause is the last cause that a transition named; "" if none did.
func (m *Machine) Cause() string { return m.cause }

// Outputs is the output image as the machine has it.
func (m *Machine) Outputs() Outputs { return m.outputs }

// PowerUp starts the machine anew in the state after a loss of power. It retains nothing.
func (m *Machine) PowerUp() { *m = *NewMachineAt(m.program, m.scan, m.program.powerUp) }

// Copy is Clone, as every functional side has it.
func (m *Machine) Copy() (Controller, bool) { return m.Clone(), true }

// Clone copies the machine with all its counts; the two go on independently.
func (m *Machine) Clone() *Machine {
	c := *m
	c.ownHeld = slices.Clone(m.ownHeld)
	c.anyHeld = slices.Clone(m.anyHeld)
	c.fired = slices.Clone(m.fired)
	c.open = slices.Clone(m.open)
	return &c
}

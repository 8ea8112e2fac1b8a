package sequence

import (
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/looplab/fsm"
)

// Program is a checked sequence with its parameters resolved. It is immutable
// and serves any number of runs at once; what its methods return is shared and
// must not be written to.
type Program struct {
	about   Description
	doc     Document
	states  []DocumentState
	any     []Edge
	index   map[string]int // state name to place in states
	start   int
	powerUp int        // state after a loss of power
	events  fsm.Events // one for each transition of the document
	most    int        // candidates of a state
	unused  *sync.Pool // of state machines with these events, of which making one takes longer than many transitions
}

// ParamValue is a parameter as this program has it.
type ParamValue struct {
	Name    string
	Note    string  // of the document
	Kind    Kind    // boolean or number
	Unit    Unit    // by the end of the name
	Number  float64 // value of a number
	Boolean bool
	Expr    *Expr // what it was computed from; nil for one of a program
	Set     bool  // overridden by the caller
}

// Written is the value as it was written: an expression of a document, or else the value itself.
func (v *ParamValue) Written() string {
	switch {
	case v.Expr != nil:
		return v.Expr.Text
	case v.Kind == KindBoolean:
		return strconv.FormatBool(v.Boolean)
	}
	return strconv.FormatFloat(v.Number, 'g', -1, 64)
}

// DocumentState is one state of a program, with what only a document knows of it.
type DocumentState struct {
	Name       string
	Note       string
	Index      int
	Keeps      []Keeping
	Sets       []Assign
	Edges      []Edge
	Any        []bool // by place in Program.Any: whether it applies here
	OptOut     []string
	SlipsBrake bool
	End        EndKind // EndNone for a state that the run goes on from

	candidates []candidate // what a scan looks at
}

// Assign is one output set on entry of a state.
type Assign struct {
	Signal Signal
	Word   string // for a word or free text
	Expr   *Expr  // for a number or a boolean; nil otherwise

	apply func(*Inputs, *Outputs)
}

// Keeping is one value that a state keeps on entry.
type Keeping struct {
	Signal Signal
	Expr   *Expr

	apply func(*Inputs)
}

// Edge is one transition of a program.
type Edge struct {
	Event  string // name of the event: travel/0, any/1
	To     string
	Target int   // index of To
	When   *Expr // nil without a condition
	For    Span
	After  Span
	Times  int    // most firings a run; -1 without limit
	Cause  string // "" without; judge_cause and stop_cause for the word in the input
	Any    bool

	number    int                // among the transitions of the document; those of any come first
	never     bool               // the condition is false whatever the inputs are
	test      func(*Inputs) bool // nil without a condition
	gate      func(*Inputs) bool // nil without one, see gateOf
	conjuncts []string           // what the condition joins with and, as text
}

// Span is a duration of the document.
type Span struct {
	Text string // 50ms, or the name of a parameter; "" if not written
	Time time.Duration
}

// These in a transition mean the word in the input of that name.
const (
	causeOfJudge = "judge_cause"
	causeOfStop  = "stop_cause"
)

// About is what every functional side tells of itself.
func (p *Program) About() *Description { return &p.about }

// With is the same document with values of its parameters.
func (p *Program) With(values Values) (Logic, error) {
	made, err := Compile(p.doc, values)
	if err != nil {
		return nil, err // and not a Logic that is not nil
	}
	return made, nil
}

// New makes a machine at its beginning.
func (p *Program) New(scan time.Duration) Controller { return NewMachine(p, scan) }

// stateMachine is one of the program in a state.
func (p *Program) stateMachine(state string) *fsm.FSM {
	if m, ok := p.unused.Get().(*fsm.FSM); ok {
		m.SetState(state)
		return m
	}
	return fsm.NewFSM(state, p.events, nil)
}

// Document is what the program was made from.
func (p *Program) Document() Document { return p.doc }

// States lists the states in document order; a state's Index is its place.
func (p *Program) States() []DocumentState { return p.states }

// Any lists the transitions that lead away from every state that does not opt
// out.
func (p *Program) Any() []Edge { return p.any }

// causes lists the causes that a run can end with, each once: those of the transitions that a
// run can come to and that can fire, and those of the safety side where one of them takes its cause.
func (p *Program) causes() []string {
	seen := make([]bool, len(p.states))
	todo := []int{p.start, p.powerUp}
	var list []string
	for len(todo) > 0 {
		s := &p.states[todo[len(todo)-1]]
		todo = todo[:len(todo)-1]
		if seen[s.Index] {
			continue
		}
		seen[s.Index] = true
		for _, edge := range p.leaving(s) {
			list, todo = append(list, edge.Cause), append(todo, edge.Target)
		}
	}
	if slices.Contains(list, causeOfJudge) {
		list = append(list, JudgeCauses()...)
	}
	if slices.Contains(list, causeOfStop) {
		list = append(list, StopCauses()...)
	}
	slices.Sort(list)
	none := func(cause string) bool {
		return cause == "" || cause == causeOfJudge || cause == causeOfStop || cause == StopNone
	}
	return slices.DeleteFunc(slices.Compact(list), none)
}

// leaving lists the transitions that can fire in a state.
func (p *Program) leaving(s *DocumentState) []*Edge {
	var list []*Edge
	for k := range p.any {
		if s.Any[k] && p.any[k].canFire() {
			list = append(list, &p.any[k])
		}
	}
	for k := range s.Edges {
		if s.Edges[k].canFire() {
			list = append(list, &s.Edges[k])
		}
	}
	return list
}

// events names every transition of the document once, with its sources.
func (p *Program) eventTable() fsm.Events {
	count := len(p.any)
	for i := range p.states {
		count += len(p.states[i].Edges)
	}
	events := make(fsm.Events, 0, count)
	for i, edge := range p.any {
		events = append(events, fsm.EventDesc{Name: edge.Event, Src: p.sources(i), Dst: edge.To})
	}
	for _, s := range p.states {
		for _, edge := range s.Edges {
			events = append(events, fsm.EventDesc{Name: edge.Event, Src: []string{s.Name}, Dst: edge.To})
		}
	}
	return events
}

// sources lists the states that an any transition leads away from.
func (p *Program) sources(place int) []string {
	var names []string
	for _, s := range p.states {
		if s.Any[place] {
			names = append(names, s.Name)
		}
	}
	return names
}

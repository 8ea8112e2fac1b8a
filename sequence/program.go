package sequence

import (
	"slices"
	"time"

	"github.com/looplab/fsm"
)

// Program is a checked sequence with its parameters resolved. It is immutable
// and serves any number of runs at once; what its methods return is shared and
// must not be written to.
type Program struct {
	doc     Document
	params  []ParamValue
	kept    []Signal
	roles   map[string]string // parameter by role
	states  []StateInfo
	any     []Edge
	index   map[string]int // state name to place in states
	start   int
	powerUp int        // state after a loss of power
	events  fsm.Events // one for each transition of the document
}

// ParamValue is a parameter as this program has it.
type ParamValue struct {
	Name    string
	Kind    Kind    // boolean or number
	Unit    Unit    // by the end of the name
	Number  float64 // value of a number
	Boolean bool
	Expr    *Expr // what it was computed from
	Set     bool  // overridden by the caller
}

// StateInfo is one state of a program.
type StateInfo struct {
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

	never     bool               // the condition is false whatever the inputs are
	test      func(*Inputs) bool // nil without a condition
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

// Name is the name of the sequence.
func (p *Program) Name() string { return p.doc.Sequence }

// Note is the sequence's description.
func (p *Program) Note() string { return p.doc.Note }

// Document is what the program was made from.
func (p *Program) Document() Document { return p.doc }

// Start is the state that a run starts in.
func (p *Program) Start() string { return p.states[p.start].Name }

// AfterPowerLoss is the index of the state that the controller starts in when its
// power returns: the document's after_power_loss, or the start.
func (p *Program) AfterPowerLoss() int { return p.powerUp }

// States lists the states in document order; a state's Index is its place.
func (p *Program) States() []StateInfo { return p.states }

// StateNames lists the names of the states in document order.
func (p *Program) StateNames() []string {
	names := make([]string, len(p.states))
	for i := range p.states {
		names[i] = p.states[i].Name
	}
	return names
}

// Any lists the transitions that lead away from every state that does not opt
// out.
func (p *Program) Any() []Edge { return p.any }

// StateIndex finds a state by name.
func (p *Program) StateIndex(name string) (int, bool) {
	i, ok := p.index[name]
	return i, ok
}

// End is how a run ends in a state; EndNone if it goes on there or if there
// is no such state.
func (p *Program) End(state string) EndKind {
	if i, ok := p.index[state]; ok {
		return p.states[i].End
	}
	return EndNone
}

// Params lists the resolved parameters in document order.
func (p *Program) Params() []ParamValue { return p.params }

// Param finds a parameter by name.
func (p *Program) Param(name string) (ParamValue, bool) {
	for _, v := range p.params {
		if v.Name == name {
			return v, true
		}
	}
	return ParamValue{}, false
}

// Causes lists the causes that a run can end with, each once: those of the transitions that a
// run can come to and that can fire, and those of the safety side where one of them takes its cause.
func (p *Program) Causes() []string {
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
func (p *Program) leaving(s *StateInfo) []*Edge {
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

// Kept lists the values that states keep, in the order in which the document names them first.
// They read from the image of the inputs, as an input does.
func (p *Program) Kept() []Signal { return p.kept }

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

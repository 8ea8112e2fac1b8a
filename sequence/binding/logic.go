package binding

import (
	"slices"
	"sync"
	"time"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/st"
)

// Logic is a program with its binding.
type Logic struct {
	about   sequence.Description
	doc     Document
	program *st.Program
	block   *st.Block

	inputs, outputs []link
	state           stateOf
	cause           *link
	momentary       bool
	params          []param
	watch           []watched
	start           []preset
	scans           st.Ref // only where the binding names it

	// What is shown of the program, read when it is first asked for: a screen asks many times a second.
	text  func() []textLine
	cases func() []st.Case // that select by the state
}

// preset is the value of a variable with which a run starts.
type preset struct {
	handle st.Ref
	kind   st.Kind
	whole  int64
	real   float64
}

// source identifies a program and its binding.
type source struct {
	Binding Document
	Text    string
}

// New binds a program to the signals of the bench; file names it in messages. Problems of the
// binding have the paths of the document and no file, those of the program have file, line and
// column. The error is a [problem.List] of all that keeps the program from running.
func New(d Document, file string, text []byte) (*Logic, problem.List, error) {
	program, warnings, err := st.Compile(file, string(text))
	if err != nil {
		return nil, warnings, err
	}
	c := &checker{doc: &d, program: program, taken: map[string]string{}, found: warnings}
	l := &Logic{doc: d, program: program}
	l.text = sync.OnceValue(l.readText)
	l.cases = sync.OnceValue(func() []st.Case { return program.Cases(l.block, l.state.handle) })
	l.about = sequence.Description{Name: d.Binding, Note: d.Note, Source: source{d, string(text)}}
	if c.head() {
		l.block = c.block
		l.bind(c)
	}
	warnings, err = c.found.Split()
	if err != nil {
		return nil, warnings, err
	}
	return l, warnings, nil
}

// IsProgram is whether a text is meant as a program, see [st.IsProgram].
func IsProgram(text []byte) bool { return st.IsProgram(string(text)) }

// Vet checks a program without a binding, and warns of what looks like an oversight.
func Vet(file string, text []byte) (problem.List, error) {
	program, warnings, err := st.Compile(file, string(text))
	if err != nil {
		return warnings, err
	}
	return append(warnings, program.Vet(st.VetOptions{})...), nil
}

// head checks the keys above the signals, and finds the block.
func (c *checker) head() bool {
	if c.doc.Binding == "" {
		c.fail("$.binding", "the binding has no name; give it one")
	}
	names := []string{}
	for _, b := range c.program.Blocks {
		if b.Kind != st.Function {
			names = append(names, b.Name)
		}
	}
	if c.doc.Block == "" {
		c.fail("$.block", "block is missing; must be the PROGRAM or FUNCTION_BLOCK that is run, one of %s", shownWords(names))
		return false
	}
	block, err := c.program.Block(c.doc.Block)
	if err == nil {
		_, err = c.program.New(block)
	}
	if err != nil {
		c.fail("$.block", "%s", err.Error())
		return false
	}
	c.block = block
	return true
}

// machine is an instance as it is when power has come.
func (c *checker) machine() *st.Machine { return fresh(c.program, c.block) }

// fresh is an instance of a block that head has accepted.
func fresh(p *st.Program, b *st.Block) *st.Machine {
	m, err := p.New(b)
	if err != nil {
		panic("binding: unchecked block: " + err.Error())
	}
	return m
}

// bind checks everything that names a variable.
func (l *Logic) bind(c *checker) {
	l.inputs = c.links("$.inputs", c.doc.Inputs, sequence.InputSignals())
	l.outputs = c.links("$.outputs", c.doc.Outputs, sequence.OutputSignals())
	l.watch, l.about.Kept = c.watches()
	l.state, l.about.States = c.state(l.about.Kept)
	l.cause, l.about.Causes = c.causeLink()
	l.momentary = c.doc.Cause != nil && c.doc.Cause.Momentary
	l.start = c.presets()
	l.scans = c.scans()
	params, tied := c.params()
	l.params = tied
	values, roles, found := sequence.ResolveParams(params, c.doc.Roles, nil)
	c.found = append(c.found, found...)
	l.about.Params, l.about.Roles = values, roles
	l.about.Asks = asks(l.outputs)
	l.about.Inputs, l.about.Outputs = signalNames(l.inputs, sequence.InputSignals()), signalNames(l.outputs, sequence.OutputSignals())
	for _, name := range []string{"drive", "brake"} {
		if !slices.Contains(l.about.Outputs, name) && !c.doc.binds(name) {
			c.fail("$.outputs", "%s is not bound; without it no test can be made", name)
		}
	}
	if !hasErrors(c.found) {
		l.settle()
		l.firstStates(c)
	}
}

// firstStates finds out in which state a run begins, and in which one after a loss of power.
func (l *Logic) firstStates(c *checker) {
	m, err := l.begun()
	if err != nil {
		c.fail("$.params", "%s", err.Error())
		return
	}
	begun, err := l.state.now(m)
	if err != nil {
		c.fail("$.state", "at the start of a run %s", err.Error())
		return
	}
	l.about.Start = begun
	if l.about.PowerUp, err = l.state.now(c.machine()); err != nil {
		c.fail("$.state", "after a loss of power %s", err.Error())
		return
	}
	if want := c.doc.State.AfterPowerLoss; want != "" && want != l.about.States[l.about.PowerUp].Name {
		c.fail("$.state.after_power_loss", "with the initial values of its variables the program begins in %s; must be that, or the initial value must be another", l.about.States[l.about.PowerUp].Name)
	}
}

// settle prepares what a scan looks up.
func (l *Logic) settle() {
	for _, list := range [][]link{l.inputs, l.outputs} {
		for i := range list {
			list[i].settle()
		}
	}
	for i := range l.params {
		l.params[i].link.settle()
	}
	for i := range l.watch {
		l.watch[i].link.settle()
	}
	if l.cause != nil {
		l.cause.settle()
	}
}

// asks are the directions in which the program can ask.
func asks(outputs []link) []string {
	var asks []string
	for i := range outputs {
		for _, v := range outputs[i].words {
			if outputs[i].signal.Name == "ask" && v.word != sequence.AskNone.String() && !slices.Contains(asks, v.word) {
				asks = append(asks, v.word)
			}
		}
	}
	return asks
}

func hasErrors(list problem.List) bool {
	return slices.ContainsFunc(list, func(p problem.Problem) bool { return !p.Warning })
}

// signalNames are those of links in the order of their table.
func signalNames(links []link, table []sequence.Signal) []string {
	var names []string
	for i := range table {
		if slices.ContainsFunc(links, func(l link) bool { return l.signal.Name == table[i].Name }) {
			names = append(names, table[i].Name)
		}
	}
	return names
}

// About is what is known ahead of a run.
func (l *Logic) About() *sequence.Description { return &l.about }

// With is the program with other values of its parameters.
func (l *Logic) With(values sequence.Values) (sequence.Logic, error) {
	if len(values) == 0 {
		return l, nil
	}
	c := &checker{doc: &l.doc, program: l.program, block: l.block, taken: map[string]string{}}
	params, _ := c.params()
	resolved, _, found := sequence.ResolveParams(params, l.doc.Roles, values)
	if _, err := found.Split(); err != nil {
		return nil, err
	}
	n := *l
	n.about.Params = resolved
	if _, err := n.begun(); err != nil {
		return nil, problem.List{problem.At("$.params", "%s", err.Error())}
	}
	return &n, nil
}

// Document is the binding as it is written.
func (l *Logic) Document() Document { return l.doc }

// New makes a run at its beginning.
func (l *Logic) New(scan time.Duration) sequence.Controller {
	m, err := l.begun()
	if err != nil {
		panic("binding: unchecked values: " + err.Error())
	}
	return newController(l, m, scan)
}

// begun is an instance with its parameters, at the start of a run.
func (l *Logic) begun() (*st.Machine, error) {
	m := fresh(l.program, l.block)
	return m, l.beginOn(m)
}

// beginOn sets an instance up as at the start of a run.
func (l *Logic) beginOn(m *st.Machine) error {
	if err := l.setParams(m); err != nil {
		return err
	}
	for k := range l.start {
		if err := l.start[k].set(m); err != nil {
			return err
		}
	}
	return nil
}

// setParams writes the parameters into their variables.
func (l *Logic) setParams(m *st.Machine) error {
	for k := range l.params {
		if v, ok := l.about.Param(l.params[k].name); ok {
			if err := l.params[k].set(m, &v); err != nil {
				return err
			}
		}
	}
	return nil
}

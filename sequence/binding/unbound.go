package binding

import (
	"slices"
	"strings"
	"time"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/st"
)

// sortedUnique sorts a list and removes what is in it twice.
func sortedUnique(list []string) []string {
	slices.Sort(list)
	return slices.Compact(list)
}

// Review warns of what looks like an oversight and keeps no program from running: of what the
// program itself leaves out, see [st.Program.Vet], and of what the binding does, which are signals
// that the program never reads or never sets, inputs of the block that nothing sets, and its outputs
// that nothing reads.
func (l *Logic) Review() problem.List {
	c := &checker{doc: &l.doc, program: l.program, block: l.block, found: l.program.Vet(l.vetOptions())}
	c.unbound()
	return c.found
}

// VetProgram warns of what looks like an oversight in the program of a binding that is refused, with what
// of the binding can be used.
func VetProgram(d Document, file string, text []byte) problem.List {
	program, warnings, err := st.Compile(file, string(text))
	if err != nil {
		return append(problem.Of(err), warnings...)
	}
	options := st.VetOptions{}
	c := &checker{doc: &d, program: program, taken: map[string]string{}}
	if c.head() {
		l := &Logic{doc: d, program: program, block: c.block}
		l.bind(c)
		if slices.ContainsFunc(c.found, func(p problem.Problem) bool { return p.Path == "$.scans" }) {
			l.doc.Scans = ""
		}
		options = l.vetOptions()
	}
	return append(warnings, program.Vet(options)...)
}

// vetOptions are what the binding knows and the text does not.
func (l *Logic) vetOptions() st.VetOptions {
	o := st.VetOptions{Main: l.block}
	l.stateOptions(&o)
	l.runOptions(&o)
	for i := range l.inputs {
		o.Given = append(o.Given, l.inputs[i].handle.Path())
	}
	for i := range l.params {
		o.Given = append(o.Given, l.params[i].link.handle.Path())
		o.Settings = append(o.Settings, l.params[i].link.handle.Path())
	}
	for i := range l.outputs {
		o.Shown = append(o.Shown, l.outputs[i].paths()...)
	}
	for i := range l.watch {
		o.Shown = append(o.Shown, l.watch[i].link.handle.Path())
	}
	if l.cause != nil {
		o.Shown = append(o.Shown, l.cause.paths()...)
	}
	return o
}

// runOptions are those of a program that is run with drawn inputs.
func (l *Logic) runOptions(o *st.VetOptions) {
	o.Inputs = []st.VetInput{}
	var inState, scan *link
	for i := range l.inputs {
		in := &l.inputs[i]
		switch in.signal.Name {
		case "in_state_s":
			inState = in
		case "scan_s":
			scan = in
		default:
			o.Inputs = append(o.Inputs, st.VetInput{Path: in.handle.Path(), Values: wholes(in.words)})
		}
	}
	o.Passes = func(m *st.Machine, since, step time.Duration) {
		if inState != nil {
			_ = inState.putNumber(m, since.Seconds())
		}
		if l.doc.Scans != "" {
			m.PutInt(l.scans, min(max(1, int64(step/st.VetScan)), mostScans))
		}
	}
	for _, start := range []func(*st.Machine) error{l.beginOn, l.setParams} {
		o.Begins = append(o.Begins, func(m *st.Machine) error {
			if scan != nil {
				_ = scan.putNumber(m, st.VetScan.Seconds())
			}
			return start(m)
		})
	}
}

func wholes(words []value) []int64 {
	var list []int64
	for i := range words {
		list = append(list, words[i].whole)
	}
	return list
}

// stateOptions are those of the state: by its variable, or by its flags, which are steps.
func (l *Logic) stateOptions(o *st.VetOptions) {
	isEnd := func(state int) bool { return l.about.States[state].End != sequence.EndNone }
	for _, v := range l.state.values {
		if isEnd(v.state) {
			o.Ends = append(o.Ends, l.state.handle.Type().Word(v.whole))
		}
	}
	for _, f := range l.state.flags {
		o.Steps = append(o.Steps, f.handle.Path())
		if isEnd(f.state) {
			o.Ends = append(o.Ends, f.handle.Path())
		}
	}
	o.Shown = append(o.Shown, o.Steps...)
	if len(l.state.values) > 0 {
		o.State = l.state.handle.Path()
		o.Shown = append(o.Shown, o.State)
	}
	for _, name := range sortedKeys(l.doc.Start) {
		value := l.doc.Start[name]
		if on, ok := boolValue(value); ok && on == 1 {
			o.Starts = append(o.Starts, name) // a step
		}
		if strings.EqualFold(name, l.doc.State.Variable) {
			o.Starts = append(o.Starts, value)
		}
	}
}

func (c *checker) unbound() {
	has := func(links Links) func(string) bool {
		return func(name string) bool {
			return slices.ContainsFunc(links, func(l Link) bool { return l.Signal == name })
		}
	}
	if list := missing(sequence.InputSignals(), has(c.doc.Inputs), "in_state_s"); len(list) > 0 {
		c.warn("$.inputs", "not bound, so that the program does not know of them: %s", strings.Join(list, ", "))
	}
	if list := missing(sequence.OutputSignals(), has(c.doc.Outputs)); len(list) > 0 {
		c.warn("$.outputs", "not bound, so that they stay as they are at the start of a run: %s", strings.Join(list, ", "))
	}
	c.unboundVariables()
}

// missing are the signals of a table without a link.
func missing(table []sequence.Signal, bound func(string) bool, but ...string) []string {
	var list []string
	for i := range table {
		if name := table[i].Name; !bound(name) && !slices.Contains(but, name) {
			list = append(list, name)
		}
	}
	return list
}

// unboundVariables lists the inputs of the block that keep their initial values, and its outputs
// that nobody reads.
func (c *checker) unboundVariables() {
	named := map[string]bool{}
	note := func(path string) { named[strings.ToUpper(root(path))] = true }
	for _, list := range []Links{c.doc.Inputs, c.doc.Outputs} {
		for i := range list {
			note(list[i].Variable)
			for _, f := range list[i].Flags {
				note(f.Variable)
			}
		}
	}
	for i := range c.doc.Params {
		note(c.doc.Params[i].Variable)
	}
	for i := range c.doc.State.Flags {
		note(c.doc.State.Flags[i].Key)
	}
	for name := range c.doc.Start {
		note(name)
	}
	note(c.doc.State.Variable)
	note(c.doc.Scans)
	if c.doc.Cause != nil {
		note(c.doc.Cause.Variable)
		for _, f := range c.doc.Cause.Flags {
			note(f.Variable)
		}
	}
	var inputs, outputs []string
	for _, v := range c.block.Variables {
		switch {
		case named[strings.ToUpper(v.Name)]:
		case v.Section == st.Input:
			inputs = append(inputs, v.Name)
		case v.Section == st.Output:
			outputs = append(outputs, v.Name)
		}
	}
	if len(inputs) > 0 {
		c.warn("$.inputs", "inputs of %s that nothing sets: %s", c.block.Name, strings.Join(inputs, ", "))
	}
	if len(outputs) > 0 {
		c.warn("$.outputs", "outputs of %s that nothing reads: %s", c.block.Name, strings.Join(outputs, ", "))
	}
}

// root is the variable of the block that a path begins with.
func root(path string) string {
	if i := strings.IndexAny(path, ".["); i >= 0 {
		return path[:i]
	}
	return path
}

package export

import (
	"slices"
	"strings"

	"holdbench/sequence"
)

// enumeration is a type of named values that stands for the words of a document.
type enumeration struct {
	name   string
	words  []string
	values []string // identifiers, in the order of the words
	wanted []string // what they would be without a limit of length
}

// value is the identifier for a word.
func (e *enumeration) value(word string) string {
	if i := slices.Index(e.words, word); i >= 0 {
		return e.values[i]
	}
	return e.values[0]
}

func (w *stWriter) enumerate(name, prefix string, words []string) *enumeration {
	e := &enumeration{name: w.global(name), words: words}
	for _, word := range words {
		if word == "" {
			word = "none"
		}
		wanted := w.valuePrefix(prefix) + strings.ToUpper(strings.ReplaceAll(word, "-", "_"))
		e.wanted = append(e.wanted, wanted)
		e.values = append(e.values, w.names.new(wanted))
	}
	return e
}

// ownNames are those that the program needs for itself.
type ownNames struct {
	block, values, commands                            string
	state, next, again, entered, inState               string
	reason, common, cause, command                     string
	hasCause, lastCause                                string
	held, heldAny, scans, scanS, first, i, brake2Apart string
	sign, cosine, count, least, seconds                string
}

// nameAll gives an identifier to everything. What has a name in the document comes first and keeps it.
func (w *stWriter) nameAll() {
	p, n := w.program, w.names
	w.nameInputs()
	for _, v := range p.About().Params {
		w.params[v.Name] = n.new(v.Name)
	}
	for _, s := range p.About().Kept {
		w.kept[s.Name] = n.new(s.Name)
	}
	w.nameOutputs()
	w.own = ownNames{
		block: w.global("BrakeTest"),
		state: n.new("state"), next: n.new("next"), entered: n.new("entered"),
		inState: n.new("in_state"), reason: n.new("reason"), common: n.new("common"), hasCause: n.new("has_cause"),
		cause: n.new("cause"), lastCause: n.new("last_cause"), command: n.new("cmd"), held: n.new("held"), heldAny: n.new("held_any"), scans: n.new("scans"),
		first: n.new("first"), i: n.new("i"), sign: w.global("Sign"), cosine: w.global("CosDeg"), count: w.global("ScansHeld"),
		least: w.global("LeastScans"), seconds: w.global("SecondsOf"), brake2Apart: n.new("brake_2_apart"),
	}
	w.own.commands = w.global("Command")
	w.own.values = w.global("Values")
	w.states = w.enumerate("State", "S_", stateNames(p))
	w.causes = w.enumerate("TestCause", "CAUSE_", w.causeWords())
	if w.reenters() {
		w.own.again = n.new("again")
	}
	w.own.scanS = w.signals["scan_s"]
	w.nameWords()
}

func stateNames(p *sequence.Program) []string {
	var list []string
	for _, s := range p.States() {
		list = append(list, s.Name)
	}
	return list
}

// causeWords are all causes that a transition names, and those of the safety side that are read.
func (w *stWriter) causeWords() []string {
	words := []string{""}
	add := func(list ...string) {
		for _, word := range list {
			if word != "" && word != sequence.StopNone && !slices.Contains(words, word) {
				words = append(words, word)
			}
		}
	}
	if w.reads("judge_cause") {
		add(sequence.JudgeCauses()...)
	}
	if w.reads("stop_cause") {
		add(sequence.StopCauses()...)
	}
	for _, e := range w.edges() {
		if e.Cause != "judge_cause" && e.Cause != "stop_cause" {
			add(e.Cause)
		}
	}
	return words
}

// edges are all transitions, those from any state first.
func (w *stWriter) edges() []*sequence.Edge { return edgesOf(w.program) }

// reads is whether the sequence looks at an input, be it for a cause.
func (w *stWriter) reads(input string) bool {
	if slices.Contains(w.program.About().Inputs, input) {
		return true
	}
	if input != "judge_cause" && input != "stop_cause" {
		return false
	}
	return slices.ContainsFunc(w.edges(), func(e *sequence.Edge) bool { return e.Cause == input })
}

// nameInputs gives an identifier to every input that is read.
func (w *stWriter) nameInputs() {
	for _, s := range sequence.InputSignals() {
		if s.Name != "in_state_s" && (w.reads(s.Name) || s.Name == "scan_s") {
			w.inputs = append(w.inputs, s)
			w.signals[s.Name] = w.names.new(s.Name)
		}
	}
}

// nameOutputs gives an identifier to every output that is set, another one where a parameter has its
// name. A word of two is a BOOL, whose name says what TRUE is.
func (w *stWriter) nameOutputs() {
	for _, s := range sequence.OutputSignals() {
		if !slices.Contains(w.program.About().Outputs, s.Name) {
			continue
		}
		w.outputs = append(w.outputs, s)
		name := outputName(s.Name)
		if w.params[s.Name] != "" || w.kept[s.Name] != "" {
			name = "commanded_" + s.Name
		}
		w.signals["output "+s.Name] = w.names.new(name)
	}
}

// outputName says what TRUE is where an output has two words. FALSE is the safe one: it is what an output
// has when a controller stops.
func outputName(signal string) string {
	switch signal {
	case "brake":
		return "open_brake"
	case "brake_2":
		return "open_brake_2"
	case "operation":
		return "allow_operation"
	}
	return signal
}

// nameWords gives a type to the signals that are one of several words.
func (w *stWriter) nameWords() {
	w.words = map[string]*enumeration{"judge_cause": w.causes, "stop_cause": w.causes}
	for _, e := range []struct{ signal, name, prefix string }{
		{"drive", "DriveMode", "DRIVE_"}, {"ask", "AskDirection", "ASK_"}, {"tested", "TestedDirections", "TESTED_"},
	} {
		if s, ok := w.signalNamed(e.signal); ok {
			w.words[e.signal] = w.enumerate(e.name, e.prefix, s.Words)
		}
	}
}

func (w *stWriter) signalNamed(name string) (sequence.Signal, bool) {
	all := slices.Concat(w.inputs, w.outputs)
	if i := slices.IndexFunc(all, func(s sequence.Signal) bool { return s.Name == name }); i >= 0 {
		return all[i], true
	}
	return sequence.Signal{}, false
}

// variable is the identifier of an input, a parameter or a kept value.
func (w *stWriter) variable(name string) string {
	if name == "in_state_s" {
		w.needs.seconds = true
		return w.own.seconds + "(" + w.own.inState + ", " + w.own.scanS + ")"
	}
	for _, list := range []map[string]string{w.signals, w.params, w.kept} {
		if id, ok := list[name]; ok {
			return id
		}
	}
	w.refuse("there is no variable %s", name)
	return name
}

// previous is the identifier of an input as it was in the scan before.
func (w *stWriter) previous(input string) string {
	if id, ok := w.before[input]; ok {
		return id
	}
	id := w.names.new("was_" + input)
	w.before[input] = id
	w.beforeOrder = append(w.beforeOrder, input)
	return id
}

package export

import (
	"fmt"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// declared is a variable of an interface, as its declaration and its row in the table say it.
type declared struct{ name, typ, initial, unit, note string }

// text is the declaration.
func (d declared) text() string {
	text := d.name + " : " + d.typ
	if d.initial != "" {
		text += " := " + d.initial
	}
	return text + ";"
}

// described is the note with its unit.
func (d declared) described() string {
	if d.unit == "" || d.note == "" {
		return d.unit + d.note
	}
	return d.unit + "; " + d.note
}

// unitText is a unit in the characters of a program; "" for a plain number.
func unitText(u sequence.Unit) string {
	if u == (sequence.Unit{}) {
		return ""
	}
	return plain(u.String())
}

func (w *stWriter) typeOf(s sequence.Signal) string {
	switch {
	case w.words[s.Name] != nil:
		return w.enumType(w.words[s.Name])
	case w.counters[s.Name]:
		return "DINT"
	case s.Kind == sequence.KindNumber:
		return "LREAL"
	case s.Kind == sequence.KindWord && s.Words == nil:
		return "STRING[" + strconv.Itoa(w.longestText()) + "]"
	}
	return "BOOL"
}

func (w *stWriter) enumType(e *enumeration) string {
	if w.options.Integers {
		return "INT"
	}
	return e.name
}

// inputTable are the inputs that are signals.
func (w *stWriter) inputTable() []declared {
	var list []declared
	for _, s := range w.inputs {
		d := declared{name: w.signals[s.Name], typ: w.typeOf(s), unit: unitText(s.Unit), note: s.Note}
		if s.Name == "scan_s" {
			if w.options.Scan > 0 {
				d.initial = realText(w.options.Scan.Seconds())
			}
			d.note += ": must be that of the task"
		}
		if s.Name == counterSignal && !w.counters[s.Name] {
			d.note += "; a whole number, LREAL because the sequence computes with it"
		}
		list = append(list, d)
	}
	return append(list, declared{
		name: w.own.scans, typ: "DINT", initial: "1",
		note: "scans since the last call: 1, or more if the task has left some out",
	})
}

// outputTable are the outputs, as they are when power has come.
func (w *stWriter) outputTable() []declared {
	var list []declared
	for _, s := range w.outputs {
		list = append(list, w.output(s))
	}
	return append(list,
		declared{name: w.own.state, typ: w.enumType(w.states), initial: w.initial(w.states, w.program.States()[w.program.About().PowerUp].Name), note: "state of the sequence; when power has come, the one that begins"},
		declared{name: w.own.cause, typ: w.enumType(w.causes), initial: w.initial(w.causes, ""), note: "why the last test failed or was stopped"},
	)
}

// output is one output, as it is when power has come.
func (w *stWriter) output(s sequence.Signal) declared {
	d := declared{name: w.signals["output "+s.Name], typ: w.typeOf(s), unit: unitText(s.Unit), note: s.Note}
	switch s.Name {
	case "brake", "brake_2":
		d.initial, d.note = "FALSE", "TRUE opens: "+s.Note
	case "operation":
		d.initial, d.note = "FALSE", "TRUE allows: "+s.Note
	case "drive":
		d.initial = w.initial(w.words["drive"], "off")
	}
	return d
}

// commandType writes the structure of what the states command, as it is when power has come.
func (w *stWriter) commandType() {
	w.line(1, "%s : STRUCT", w.own.commands)
	for _, s := range w.outputs {
		d := w.output(s)
		d.name, d.note, d.unit = outputName(s.Name), "", ""
		w.line(2, "%s", d.text())
	}
	w.line(1, "END_STRUCT;")
}

func (w *stWriter) initial(e *enumeration, word string) string {
	if !w.options.Integers {
		return e.value(word)
	}
	for i, have := range e.words {
		if have == word {
			return strconv.Itoa(i)
		}
	}
	return "0"
}

// innerTable are the variables that belong to the program alone.
func (w *stWriter) innerTable() []declared {
	state, cause := w.enumType(w.states), w.enumType(w.causes)
	list := []declared{
		{name: w.own.first, typ: "BOOL", initial: "TRUE", note: "scan since power has come"},
		{name: w.own.next, typ: state, note: "state after this scan"},
		{name: w.own.entered, typ: "BOOL", note: "a state is entered in this scan"},
		{name: w.own.inState, typ: "DINT", note: "scans since the state was entered"},
		{name: w.own.command, typ: w.own.commands, note: "what the states have commanded"},
		{name: w.own.reason, typ: cause, note: "why a test fails, in the scan that finds it"},
		{name: w.own.lastCause, typ: cause, note: "cause of the last failure or stop, until there is another"},
		{name: w.own.hasCause, typ: "BOOL", note: "this failure has a cause already"},
	}
	if w.reenters() {
		list = append(list, declared{name: w.own.again, typ: "BOOL", note: "the present state is entered again"})
	}
	if len(w.program.Any()) > 0 {
		list = append(list, declared{name: w.own.common, typ: cause, note: "cause of a way out of every state"})
	}
	for _, to := range w.mayOrder {
		list = append(list, declared{name: w.may[to], typ: "BOOL", note: "the way to " + w.states.value(to) + " is open from the present state"})
	}
	if n := w.mostAny; n > 0 {
		list = append(list, declared{name: w.own.heldAny, typ: array(n), initial: filled(n), note: "scans that a condition of part 2 has held, -1 if it does not"})
	}
	if n := w.most; n > 0 {
		list = append(list,
			declared{name: w.own.held, typ: array(n), initial: filled(n), note: "scans that a condition of the present state has held, -1 if it does not"},
			declared{name: w.own.i, typ: "DINT"})
	}
	for _, event := range w.order {
		list = append(list, declared{name: w.taken[event], typ: "DINT", note: "how often this way was taken"})
	}
	if _, ok := w.signalNamed("brake_2"); ok {
		list = append(list, declared{name: w.own.brake2Apart, typ: "BOOL", note: "the second brake has a command of its own"})
	}
	for _, s := range w.program.About().Kept {
		d := declared{name: w.kept[s.Name], typ: "LREAL", unit: unitText(s.Unit), note: "kept by " + strings.Join(w.keepers(s.Name), ", ")}
		switch {
		case s.Kind == sequence.KindBoolean:
			d.typ = "BOOL"
		case w.counters[s.Name]:
			d.typ = "DINT"
		}
		list = append(list, d)
	}
	for _, input := range w.beforeOrder {
		s, _ := w.signalNamed(input)
		list = append(list, declared{name: w.before[input], typ: w.typeOf(s), note: input + " in the scan before"})
	}
	return list
}

// keepers are the states that keep a value.
func (w *stWriter) keepers(name string) []string {
	var list []string
	for _, s := range w.program.States() {
		for _, k := range s.Keeps {
			if k.Signal.Name == name {
				list = append(list, s.Name)
			}
		}
	}
	return list
}

func array(n int) string  { return fmt.Sprintf("ARRAY[1..%d] OF DINT", n) }
func filled(n int) string { return fmt.Sprintf("[%d(-1)]", n) }

// interfaces writes the head of the block with its variables.
func (w *stWriter) interfaces() {
	w.line(0, "FUNCTION_BLOCK %s", w.own.block)
	w.section("VAR_INPUT", "signals", w.inputTable())
	w.section("VAR_INPUT", "parameters of the engineering", w.paramTable())
	w.section("VAR_OUTPUT", "without power the drive is off and the brake closed, and so they begin", w.outputTable())
	w.section("VAR", "", w.innerTable())
	if w.options.Integers {
		w.constants()
	}
	w.line(0, "")
}

func (w *stWriter) section(kind, title string, list []declared) {
	if len(list) == 0 {
		return
	}
	w.line(0, "%s", kind)
	if title != "" {
		w.comment(1, title)
	}
	for _, d := range list {
		w.declare(1, d)
	}
	w.line(0, "END_VAR")
}

// declare writes a declaration with its comment beside it, or above it where both are long.
func (w *stWriter) declare(depth int, d declared) {
	const column = 44
	text, note := d.text(), commentText(d.described())
	switch {
	case note == "":
		w.line(depth, "%s", text)
	case max(len(text), column)+len(note)+8 <= widest:
		w.line(depth, "%-*s (* %s *)", column, text, note)
	default:
		w.comment(depth, note)
		w.line(depth, "%s", text)
	}
}

// constants writes the values of the enumerations as integers.
func (w *stWriter) constants() {
	w.line(0, "VAR CONSTANT")
	for _, e := range w.enumerations() {
		for i, v := range e.values {
			w.line(1, "%s : INT := %d;", v, i)
		}
	}
	w.line(0, "END_VAR")
}

// enumerations are those that the program uses.
func (w *stWriter) enumerations() []*enumeration {
	list := []*enumeration{w.states, w.causes}
	for _, signal := range []string{"drive", "ask", "tested"} {
		if e := w.words[signal]; e != nil {
			list = append(list, e)
		}
	}
	return list
}

// types writes the enumerations, and the structure of the commands.
func (w *stWriter) types() {
	w.line(0, "TYPE")
	for _, e := range w.enumerations() {
		if w.options.Integers {
			break
		}
		if text := strings.Join(e.values, ", "); len(text)+len(e.name) < widest-10 {
			w.line(1, "%s : (%s);", e.name, text)
			continue
		}
		w.line(1, "%s : (", e.name)
		w.line(2, "%s);", wrapped(e.values, ", ", ",\n    ", widest-6))
	}
	w.commandType()
	w.line(0, "END_TYPE")
	w.line(0, "")
}

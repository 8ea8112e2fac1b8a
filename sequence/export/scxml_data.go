package export

import (
	"fmt"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// head writes what the chart is and what it asks of its host.
func (w *chartWriter) head() {
	about := w.program.About()
	w.line(0, `<?xml version="1.0" encoding="UTF-8"?>`)
	w.line(0, "<!--")
	title := "The sequence " + about.Name
	if about.Note != "" {
		title += ", " + about.Note
	}
	lines := append(w.heading.lines(title+": a chart in SCXML"), w.explained()...)
	for _, line := range lines {
		w.line(1, "%s", strings.TrimRight(xmlComment(line), " "))
	}
	w.table("The image: properties of the data of scan", w.inputTable())
	w.table("Outputs: variables of the data model, and in the log", w.outputTable())
	w.line(0, "-->")
}

// table writes a line for each signal of an interface.
func (w *chartWriter) table(title string, list []declared) {
	if len(list) == 0 {
		return
	}
	w.line(0, "")
	w.line(1, "%s", title)
	for _, d := range list {
		w.line(2, "%s", strings.TrimRight(xmlComment(fmt.Sprintf("%-26s %-8s %-8s %s", d.name, d.typ, d.unit, d.note)), " "))
	}
}

// explained says how the chart works, and what it asks of its host.
func (w *chartWriter) explained() []string {
	return []string{
		"",
		"The host sends the event " + eventScan + " once in every scan, with the image of the inputs as its data. When all that",
		"follows from it is done, the active state is that of the sequence, and the outputs are in the data model.",
		"They are also logged whenever a state is entered, as JSON, under the label " + eventEntered + ".",
		"At most one transition of the sequence is taken in a scan; the state that it leads to commands in the same",
		"scan. What a state does not command stays as the state before left it.",
		"An interpreter that starts is a controller whose power has come: the sequence begins in " + w.stateOf(w.program.About().PowerUp) + ".",
		"A run of the bench begins in operation, with the drive on: for that the host sends the event " + eventOperation,
		"before the first scan, and the sequence begins in " + w.stateOf(w.program.About().Start) + ".",
		"Positive torque and current raise the load.",
	}
}

// chartUnit is a unit; "" for a plain number.
func chartUnit(u sequence.Unit) string {
	if u == (sequence.Unit{}) {
		return ""
	}
	return u.String()
}

func (w *chartWriter) stateOf(place int) string { return w.program.States()[place].Name }

// inputTable are the properties of the image that are read.
func (w *chartWriter) inputTable() []declared {
	var list []declared
	for _, s := range sequence.InputSignals() {
		if s.Name == "in_state_s" || s.Name != "scan_s" && !w.reads[s.Name] {
			continue
		}
		list = append(list, declared{name: s.Name, typ: signalType(s), unit: chartUnit(s.Unit), note: signalNote(s)})
	}
	return append(list, declared{
		name: "scans", typ: "number", note: "scans since the last one: 1, also if it is not there, or more if some were left out",
	})
}

func (w *chartWriter) outputTable() []declared {
	var list []declared
	for _, s := range w.outputSignals() {
		list = append(list, declared{name: w.outputs[s.Name], typ: signalType(s), unit: chartUnit(s.Unit), note: signalNote(s)})
	}
	return list
}

// signalType is what the values of a signal are.
func signalType(s sequence.Signal) string {
	return map[sequence.Kind]string{sequence.KindNumber: "number", sequence.KindBoolean: "boolean", sequence.KindWord: "string"}[s.Kind]
}

// signalNote is the note of a signal, with the words that it can be.
func signalNote(s sequence.Signal) string {
	var words []string
	for _, word := range s.Words {
		words = append(words, scriptString(word))
	}
	if words == nil {
		return s.Note
	}
	return s.Note + ": " + strings.Join(words, ", ")
}

// outputSignals are the outputs that some state sets.
func (w *chartWriter) outputSignals() []sequence.Signal {
	var list []sequence.Signal
	for _, s := range sequence.OutputSignals() {
		if _, ok := w.outputs[s.Name]; ok {
			list = append(list, s)
		}
	}
	return list
}

// data writes the data model.
func (w *chartWriter) data() {
	w.line(0, "")
	w.line(1, "<datamodel>")
	w.section("parameters of the engineering", w.paramData())
	w.section("kept by states", w.keptData())
	w.section("outputs: without power the drive is off and the brake closed", w.outputData())
	w.section("of the chart itself", w.ownData())
	w.line(1, "</datamodel>")
}

func (w *chartWriter) section(title string, list []declared) {
	if len(list) == 0 {
		return
	}
	w.comment(2, title)
	for _, d := range list {
		text := `<data id="` + d.name + `"`
		if d.initial != "" {
			text += ` expr="` + xmlAttribute(d.initial) + `"`
		}
		text += "/>"
		if note := d.described(); note != "" {
			text += " <!-- " + xmlComment(note) + " -->"
		}
		w.line(2, "%s", text)
	}
}

// paramData are the parameters. Those that follow from others have no value here: data may be
// initialised in any order (SCXML 5.2.2, from memory).
func (w *chartWriter) paramData() []declared {
	var list []declared
	for _, v := range w.given {
		value := scriptNumber(v.Number)
		if v.Kind == sequence.KindBoolean {
			value = strconv.FormatBool(v.Boolean)
		}
		list = append(list, declared{name: w.params[v.Name], initial: value, unit: chartUnit(v.Unit)})
	}
	for _, v := range w.computed {
		list = append(list, declared{name: w.params[v.Name], unit: chartUnit(v.Unit), note: "computed before the first scan"})
	}
	return list
}

func (w *chartWriter) keptData() []declared {
	var list []declared
	for _, s := range w.program.About().Kept {
		d := declared{name: w.kept[s.Name], initial: "0", unit: chartUnit(s.Unit), note: s.Note}
		if s.Kind == sequence.KindBoolean {
			d.initial = "false"
		}
		list = append(list, d)
	}
	return list
}

// outputValue is the value of an output in an image, as a literal.
func outputValue(s sequence.Signal, image sequence.Outputs) string {
	text := string(s.AppendOutput(nil, &image))
	if s.Kind == sequence.KindWord {
		return scriptString(text)
	}
	return text
}

func (w *chartWriter) outputData() []declared {
	var list []declared
	for _, s := range w.outputSignals() {
		list = append(list, declared{name: w.outputs[s.Name], initial: outputValue(s, sequence.PowerUpOutputs())})
	}
	return list
}

func (w *chartWriter) ownData() []declared {
	list := []declared{{name: w.own.input, note: "image of this scan"}}
	if w.readsBefore() {
		list = append(list, declared{name: w.own.previous, note: "image of the scan before; in the first scan this one"})
	}
	list = append(list,
		declared{name: w.own.scans, initial: "1", note: "since the last scan"},
		declared{name: w.own.scanNS, initial: "0", note: "ns, between two scans"},
		declared{name: w.own.inStateScans, initial: "0", note: "scans since the state was entered"},
	)
	if w.reads["in_state_s"] {
		list = append(list, declared{name: w.own.inState, initial: "0", note: "s, the same at the beginning of the scan"})
	}
	if w.reads["previous(in_state_s)"] {
		list = append(list, declared{name: w.own.wasInState, initial: "0", note: "s, the same in the scan before"})
	}
	for _, id := range w.heldOwn {
		list = append(list, declared{name: id, initial: "-1", note: "scans that a condition of the state has held, -1 if it does not"})
	}
	for _, e := range w.program.Any() {
		if id := w.heldAny[e.Event]; id != "" {
			list = append(list, declared{name: id, initial: "-1", note: "the same for the way from any state to " + e.To})
		}
	}
	for _, to := range w.mayOrder {
		list = append(list, declared{name: w.may[to], initial: "false", note: "the way from any state to " + to + " is open in the present one"})
	}
	for _, e := range w.edges() {
		if id := w.firings[e.Event]; id != "" {
			list = append(list, declared{name: id, initial: "0", note: "how often this way was taken in this run"})
		}
	}
	list = append(list,
		declared{name: w.own.cause, initial: "''", note: "why the test has failed or was stopped; the first cause is kept"},
		declared{name: w.own.causeIsOld, initial: "false", note: "it is that of the run before the last end"},
	)
	if _, ok := w.outputs["brake_2"]; ok {
		list = append(list, declared{name: w.own.brake2Apart, initial: "false", note: "the second brake has a command of its own"})
	}
	return list
}

// script writes the functions that the expressions of a text use.
func (w *chartWriter) script(text string) {
	var used []string
	for _, f := range w.functions() {
		if strings.Contains(text, f.name+"(") {
			used = append(used, f.text)
		}
	}
	if used == nil {
		return
	}
	w.line(0, "")
	w.line(1, "<script><![CDATA[")
	w.out.WriteString(strings.Join(used, ""))
	w.line(1, "]]></script>")
}

// function is one of ECMAScript.
type function struct{ name, text string }

func (w *chartWriter) functions() []function {
	return []function{
		{w.own.least, fmt.Sprintf(`    // the least number of scans that lasts at least a time in s, both counted in whole ns
    function %[1]s(time_s) {
      var time_ns = Math.round(time_s * 1e9), rest = time_ns %% %[2]s;
      return (time_ns - rest) / %[2]s + (rest > 0 ? 1 : 0);
    }
`, w.own.least, w.own.scanNS)},
		{w.own.held, fmt.Sprintf(`    // for how many scans a condition has held: 0 in the first, -1 while it does not
    function %s(met, before) { return !met ? -1 : before < 0 ? 0 : before + %s; }
`, w.own.held, w.own.scans)},
		{w.own.seconds, fmt.Sprintf(`    // the time of a number of scans, in s
    function %s(count) {
      var time_ns = count * %s, rest = time_ns %% 1e9;
      return (time_ns - rest) / 1e9 + rest / 1e9;
    }
`, w.own.seconds, w.own.scanNS)},
		{w.own.sign, fmt.Sprintf("    function %s(x) { return x > 0 ? 1 : x < 0 ? -1 : x; }\n", w.own.sign)},
		{w.own.cosines, fmt.Sprintf("    function %s(angle_deg) { return Math.cos(angle_deg * Math.PI / 180); }\n", w.own.cosines)},
	}
}

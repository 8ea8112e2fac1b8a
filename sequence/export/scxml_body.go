package export

import (
	"slices"
	"strings"

	"holdbench/sequence"
)

// beforeTheFirstScan writes the states in which the chart waits for it.
func (w *chartWriter) beforeTheFirstScan() {
	about := w.program.About()
	w.line(0, "")
	w.comment(1, "Power has come.")
	w.line(1, `<state id="%s">`, w.own.powerOff)
	w.block(2, "onentry", func() {
		for _, v := range w.computed {
			w.assign(3, w.params[v.Name], w.broken(v.Expr.Node, w.indent(5), 0))
		}
	})
	w.firstScan(about.PowerUp)
	w.line(2, `<transition event="%s" target="%s">`, eventOperation, w.own.operation)
	for _, s := range w.outputSignals() {
		before, in := outputValue(s, sequence.PowerUpOutputs()), outputValue(s, sequence.DefaultOutputs())
		if before != in {
			w.assign(3, w.outputs[s.Name], in)
		}
	}
	w.line(2, "</transition>")
	w.line(1, "</state>")
	w.line(0, "")
	w.comment(1, "A run begins in operation, as those of the bench do.")
	w.line(1, `<state id="%s">`, w.own.operation)
	w.firstScan(about.Start)
	w.line(1, "</state>")
}

// firstScan writes how a state is entered in the first scan, in which transitions can follow at once.
func (w *chartWriter) firstScan(state int) {
	w.line(2, `<transition event="%s" target="%s">`, eventScan, w.stateOf(state))
	w.assign(3, w.own.input, "_event.data")
	if w.readsBefore() {
		w.assign(3, w.own.previous, "_event.data")
	}
	w.assign(3, w.own.scanNS, "Math.round(_event.data.scan_s * 1e9)")
	w.raise(3, eventBegin)
	w.line(2, "</transition>")
}

// decide raises what decides on transitions.
func (w *chartWriter) decide(depth int) {
	if len(w.heldAny) > 0 {
		w.raise(depth, eventCountAny)
	}
	w.raise(depth, eventDecideAny)
}

// common writes what is the same in every state.
func (w *chartWriter) common() {
	w.comment(2, "Every scan but the first: the image is taken over, and time is counted.")
	w.line(2, `<transition event="%s">`, eventScan)
	if w.readsBefore() {
		w.assign(3, w.own.previous, w.own.input)
	}
	w.assign(3, w.own.input, "_event.data")
	w.assign(3, w.own.scans, "_event.data.scans || 1")
	w.assign(3, w.own.inStateScans, w.own.inStateScans+" + "+w.own.scans)
	if w.reads["previous(in_state_s)"] {
		w.assign(3, w.own.wasInState, w.own.inState)
	}
	if w.reads["in_state_s"] {
		w.assign(3, w.own.inState, w.own.seconds+"("+w.own.inStateScans+")")
	}
	w.decide(3)
	w.line(2, "</transition>")
	w.line(0, "")
	w.comment(2, "The first scan: it is decided after the entry of the first state.")
	w.line(2, `<transition event="%s">`, eventBegin)
	w.decide(3)
	w.line(2, "</transition>")
	w.fromAny()
	w.entered()
	w.newRun()
}

// fromAny writes the transitions from any state. They leave and enter states within, so they are internal.
func (w *chartWriter) fromAny() {
	if len(w.heldAny) > 0 {
		w.line(0, "")
		w.comment(2, "The ways from any state: how long their conditions have held.")
		w.line(2, `<transition event="%s">`, eventCountAny)
		for _, e := range w.program.Any() {
			if id := w.heldAny[e.Event]; id != "" {
				w.assign(3, id, w.counted(&e, id))
			}
		}
		w.line(2, "</transition>")
	}
	w.line(0, "")
	w.comment(2, "The first way from any state that is due is taken. If none is, it is the turn of the present state.")
	for i := range w.program.Any() {
		e := &w.program.Any()[i]
		w.transition(e, eventDecideAny, w.heldAny[e.Event])
	}
	w.line(2, `<transition event="%s">`, eventDecideAny)
	if len(w.heldOwn) > 0 {
		w.raise(3, eventCountOwn)
	}
	w.raise(3, eventDecideOwn)
	w.line(2, "</transition>")
}

// open is whether the present state can be left for one by a transition from any state, by the shorter
// of the two lists.
func (w *chartWriter) open(to string) string {
	var in, out []string
	for _, s := range w.program.States() {
		if w.applies(&s, to) {
			in = append(in, "In('"+s.Name+"')")
		} else {
			out = append(out, "In('"+s.Name+"')")
		}
	}
	indent := "\n" + w.indent(5)
	switch {
	case len(in) == 0:
		return "false"
	case len(out) <= len(in):
		return "!(" + wrapped(out, " || ", indent+"|| ", widest-10) + ")"
	}
	return wrapped(in, " || ", indent+"|| ", widest-10)
}

func (w *chartWriter) indent(depth int) string { return strings.Repeat("  ", depth) }

// counted is for how many scans the condition of a transition has held.
func (w *chartWriter) counted(e *sequence.Edge, id string) string {
	return w.own.held + "(" + w.broken(e.When.Node, w.indent(5), 0) + ", " + id + ")"
}

// entered writes what follows the entry of any state.
func (w *chartWriter) entered() {
	w.line(0, "")
	w.comment(2, "A state was entered: what is counted in it begins, the ways from any state are open in it or not, and its outputs are shown.")
	w.line(2, `<transition event="%s">`, eventEntered)
	for _, to := range w.mayOrder {
		w.assign(3, w.may[to], w.open(to))
	}
	w.assign(3, w.own.inStateScans, "0")
	for _, id := range w.heldOwn {
		w.assign(3, id, "-1")
	}
	if _, ok := w.outputs["brake_2"]; ok {
		w.line(3, `<if cond="!%s">`, w.own.brake2Apart)
		w.assign(4, w.outputs["brake_2"], w.outputs["brake"])
		w.line(3, "</if>")
	}
	var outputs, kept []string
	for _, s := range w.outputSignals() {
		outputs = append(outputs, s.Name+": "+w.outputs[s.Name])
	}
	for _, s := range w.program.About().Kept {
		kept = append(kept, s.Name+": "+w.kept[s.Name])
	}
	indent := ",\n" + w.indent(5)
	w.line(3, `<log label="%s" expr="JSON.stringify({outputs: {%s},`, eventEntered, wrapped(outputs, ", ", indent, widest-15))
	w.line(5, `kept: {%s}, cause: %s})"/>`, wrapped(kept, ", ", indent, widest-15), w.own.cause)
	w.line(2, "</transition>")
}

// newRun writes what begins anew after an end.
func (w *chartWriter) newRun() {
	if len(w.firings) == 0 {
		return
	}
	w.line(0, "")
	w.comment(2, "An end was left, and a new run begins.")
	w.line(2, `<transition event="%s">`, eventNewRun)
	for _, e := range w.edges() {
		if id := w.firings[e.Event]; id != "" {
			w.assign(3, id, "0")
		}
	}
	w.line(2, "</transition>")
}

// state writes one state.
func (w *chartWriter) state(s *sequence.DocumentState) {
	w.line(0, "")
	if note := noteOf(s); note != "" {
		w.comment(2, note)
	}
	w.line(2, `<state id="%s">`, s.Name)
	w.line(3, "<onentry>")
	for i := range s.Keeps {
		w.assign(4, w.kept[s.Keeps[i].Signal.Name], w.broken(s.Keeps[i].Expr.Node, w.indent(6), 0))
	}
	for i := range s.Sets {
		w.set(&s.Sets[i])
	}
	if s.End == sequence.EndPass {
		w.assign(4, w.own.cause, "''")
	}
	w.raise(4, eventEntered)
	w.line(3, "</onentry>")
	if s.End != sequence.EndNone {
		w.line(3, "<onexit>")
		w.assign(4, w.own.causeIsOld, "true")
		if s.End != sequence.EndFail && len(w.firings) > 0 {
			w.raise(4, eventNewRun)
		}
		w.line(3, "</onexit>")
	}
	w.ways(s)
	w.line(2, "</state>")
}

// noteOf is the note of a state, and whether a run ends in it.
func noteOf(s *sequence.DocumentState) string {
	if s.End == sequence.EndNone {
		return s.Note
	}
	return strings.TrimPrefix(s.Note+"; a run ends here: "+s.End.String(), "; ")
}

func (w *chartWriter) set(a *sequence.Assign) {
	id := w.outputs[a.Signal.Name]
	if a.Expr == nil {
		w.assign(4, id, scriptString(a.Word))
	} else {
		w.assign(4, id, w.broken(a.Expr.Node, w.indent(6), 0))
	}
	if a.Signal.Name == "brake_2" {
		w.assign(4, w.own.brake2Apart, "true")
	}
}

// ways writes the transitions of a state.
func (w *chartWriter) ways(s *sequence.DocumentState) {
	texts := heldTexts(s.Edges)
	held := func(e *sequence.Edge) string { return w.heldOwn[slices.Index(texts, e.When.Text)] }
	if len(texts) > 0 {
		w.line(3, `<transition event="%s">`, eventCountOwn)
		for i, e := range s.Edges {
			first := func(o sequence.Edge) bool { return o.For.Text != "" && o.When.Text == e.When.Text }
			if e.For.Text != "" && slices.IndexFunc(s.Edges, first) == i {
				w.assign(4, held(&e), w.counted(&e, held(&e)))
			}
		}
		w.line(3, "</transition>")
	}
	for i := range s.Edges {
		e := &s.Edges[i]
		id := ""
		if e.For.Text != "" {
			id = held(e)
		}
		w.transition(e, eventDecideOwn, id)
	}
}

package export

import (
	"strings"

	"holdbench/sequence"
)

// This file writes what happens when a state is entered, and the outputs.

// enter writes what a state does when it is entered.
func (w *stWriter) enter() {
	again := ""
	if w.reenters() {
		again = " OR " + w.own.again
	}
	w.line(0, "")
	w.line(0, "(* ---- 4: another state is entered: what it keeps, and what it commands. What it does not command stays. ---- *)")
	w.line(0, "")
	w.line(0, "%s := %s <> %s%s;", w.own.entered, w.own.next, w.own.state, again)
	w.line(0, "IF %s THEN", w.own.entered)
	w.leave()
	w.tell()
	w.line(1, "%s := %s;", w.own.state, w.own.next)
	w.cases(1, w.own.state, func() {
		for i := range w.program.States() {
			w.entry(2, i)
		}
	})
	w.line(1, "%s := 0;", w.own.inState)
	if w.most > 0 {
		w.line(1, "FOR %s := 1 TO %d DO", w.own.i, w.most)
		w.line(2, "%s[%s] := -1;", w.own.held, w.own.i)
		w.line(1, "END_FOR;")
	}
	w.line(0, "END_IF;")
}

// leave writes what begins anew when an end is left: a run after a pass or a stop counts from the
// beginning, and after any end a new cause counts.
func (w *stWriter) leave() {
	var ends, anew []string
	for _, s := range w.program.States() {
		if s.End == sequence.EndNone {
			continue
		}
		ends = append(ends, w.own.state+" = "+w.states.value(s.Name))
		if s.End != sequence.EndFail {
			anew = append(anew, w.own.state+" = "+w.states.value(s.Name))
		}
	}
	if len(ends) > 0 {
		w.line(1, "IF %s THEN", wrapped(ends, " OR ", "\n      OR ", widest))
		w.line(2, "%s := FALSE;", w.own.hasCause)
		w.line(1, "END_IF;")
	}
	if len(anew) == 0 || len(w.order) == 0 {
		return
	}
	w.line(1, "IF %s THEN", wrapped(anew, " OR ", "\n      OR ", widest))
	for _, event := range w.order {
		w.line(2, "%s := 0;", w.taken[event])
	}
	w.line(1, "END_IF;")
}

// tell writes which cause counts: one from any state only where none is known.
func (w *stWriter) tell() {
	none := w.causes.value("")
	if len(w.program.Any()) > 0 {
		w.line(1, "IF NOT %s AND %s <> %s THEN", w.own.hasCause, w.own.common, none)
		w.line(2, "%s := %s;", w.own.reason, w.own.common)
		w.line(1, "END_IF;")
	}
	w.line(1, "IF %s <> %s THEN", w.own.reason, none)
	w.line(2, "%s := %s;", w.own.lastCause, w.own.reason)
	w.line(2, "%s := TRUE;", w.own.hasCause)
	w.line(1, "END_IF;")
	var passes []string
	for _, s := range w.program.States() {
		if s.End == sequence.EndPass {
			passes = append(passes, w.own.next+" = "+w.states.value(s.Name))
		}
	}
	if len(passes) == 0 {
		return
	}
	w.line(1, "IF %s THEN", strings.Join(passes, " OR "))
	w.line(2, "(* A failure that was made good is none. *)")
	w.line(2, "%s := %s;", w.own.lastCause, none)
	w.line(2, "%s := FALSE;", w.own.hasCause)
	w.line(1, "END_IF;")
}

// entry writes what one state does when it is entered: it keeps, in this order, then it commands.
func (w *stWriter) entry(depth, state int) {
	s := &w.program.States()[state]
	if len(s.Keeps)+len(s.Sets) == 0 {
		return
	}
	w.line(depth, "%s:", w.label(s.Name))
	for i := range s.Keeps {
		w.line(depth+1, "%s := %s;", w.kept[s.Keeps[i].Signal.Name], w.broken(s.Keeps[i].Expr.Node, depth, 0))
	}
	for i := range s.Sets {
		w.set(depth+1, &s.Sets[i])
	}
}

// set writes one command.
func (w *stWriter) set(depth int, a *sequence.Assign) {
	name := w.own.command + "." + outputName(a.Signal.Name)
	switch {
	case a.Expr != nil:
		w.line(depth, "%s := %s;", name, w.broken(a.Expr.Node, depth, 0))
	case a.Signal.Words == nil:
		w.refuseText(a.Word)
		w.line(depth, "%s := %s;", name, stringText(a.Word))
	case w.words[a.Signal.Name] != nil:
		w.line(depth, "%s := %s;", name, w.words[a.Signal.Name].value(a.Word))
	default:
		w.line(depth, "%s := %s;", name, boolText(a.Word == a.Signal.Words[0]))
	}
	if a.Signal.Name == "brake_2" {
		w.line(depth, "%s := TRUE;", w.own.brake2Apart)
	}
}

// deliver writes the outputs. The second brake goes with the first until it has a command of its own.
func (w *stWriter) deliver() {
	for _, s := range w.outputs {
		output := w.signals["output "+s.Name]
		field := w.own.command + "." + outputName(s.Name)
		if s.Name == "brake_2" {
			field = "SEL(" + w.own.brake2Apart + ", " + w.own.command + "." + outputName("brake") + ", " + field + ")"
		}
		w.line(0, "%s := %s;", output, field)
	}
	w.line(0, "%s := %s;", w.own.cause, w.own.lastCause)
}

// remember writes what the next scan reads as the scan before.
func (w *stWriter) remember(depth int) {
	for _, input := range w.beforeOrder {
		w.line(depth, "%s := %s;", w.before[input], w.variable(input))
	}
}

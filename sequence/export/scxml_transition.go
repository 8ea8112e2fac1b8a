package export

import (
	"strings"

	"holdbench/sequence"
)

// transition writes one transition of the sequence.
func (w *chartWriter) transition(e *sequence.Edge, event, held string) {
	depth := 3
	head := `<transition event="` + event + `" target="` + e.To + `"`
	if e.Any {
		depth = 2
		head += ` type="internal"`
	}
	if cond := w.condition(e, held, w.indent(depth+3)); cond != "" {
		cond = ` cond="` + xmlAttribute(cond) + `"`
		if len(head)+len(cond)+2*depth > widest {
			cond = "\n" + w.indent(depth+2) + cond[1:]
		}
		head += cond
	}
	content := w.written(func() { w.taken(depth+1, e, held) })
	if content == "" {
		w.line(depth, "%s/>", head)
		return
	}
	w.line(depth, "%s>", head)
	w.out.WriteString(content)
	w.line(depth, "</transition>")
}

// condition is when a transition is taken; "" for one that always is.
func (w *chartWriter) condition(e *sequence.Edge, held, indent string) string {
	var parts []string
	firing := w.firings[e.Event]
	if may := w.may[e.To]; e.Any && may != "" {
		parts = append(parts, may)
	}
	switch {
	case held != "":
		parts = append(parts, held+" >= "+w.leastScans(e.For))
	case e.When != nil && (len(parts) > 0 || e.After.Text != "" || firing != ""):
		parts = append(parts, w.broken(e.When.Node, indent, andLevel))
	case e.When != nil:
		parts = append(parts, w.broken(e.When.Node, indent, 0))
	}
	if e.After.Text != "" {
		parts = append(parts, w.own.inStateScans+" >= "+w.leastScans(e.After))
	}
	if firing != "" {
		times := timesOf(w.program, e)
		if id, ok := w.params[times]; ok {
			times = id
		}
		parts = append(parts, firing+" < "+times)
	}
	return strings.Join(parts, " && ")
}

func (w *chartWriter) leastScans(s sequence.Span) string {
	text := scriptNumber(s.Time.Seconds())
	if id, ok := w.params[s.Text]; ok {
		text = id
	}
	return w.own.least + "(" + text + ")"
}

// taken writes what a transition does beside leading to a state.
func (w *chartWriter) taken(depth int, e *sequence.Edge, held string) {
	if id := w.firings[e.Event]; id != "" {
		w.assign(depth, id, id+" + 1")
	}
	if e.Any && held != "" {
		w.assign(depth, held, "-1")
	}
	if e.Cause == "" {
		return
	}
	value := scriptString(e.Cause)
	var only []string // the input may have no cause, and one that is known already is kept
	if causeInInput(e) {
		value = w.own.input + "." + e.Cause
		only = append(only, value+" !== ''")
	}
	if e.Any {
		none := w.own.cause + " === '' || " + w.own.causeIsOld
		if only != nil {
			none = "(" + none + ")"
		}
		only = append(only, none)
	}
	if only != nil {
		w.line(depth, `<if cond="%s">`, xmlAttribute(strings.Join(only, " && ")))
		depth++
	}
	w.assign(depth, w.own.cause, value)
	w.assign(depth, w.own.causeIsOld, "false")
	if only != nil {
		w.line(depth-1, "</if>")
	}
}

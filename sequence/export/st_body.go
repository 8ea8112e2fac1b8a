package export

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// body writes the statements.
func (w *stWriter) body() string {
	w.count()
	w.firstScan()
	w.fromAnyState()
	w.enter()
	w.line(0, "")
	w.line(0, "(* ---- 5: the outputs, each written at one place, and what the next scan needs of this one. ---- *)")
	w.line(0, "")
	w.deliver()
	w.line(0, "%s := FALSE;", w.own.first)
	w.remember(0)
	w.line(0, "END_FUNCTION_BLOCK")
	return w.out.String()
}

// count writes what is counted in every scan.
func (w *stWriter) count() {
	w.line(0, "(* ---- 1: time. It is counted in scans, so that a program does the same at every scan time. ---- *)")
	w.line(0, "")
	w.line(0, "%s := %s;", w.own.reason, w.causes.value(""))
	w.line(0, "IF NOT %s THEN", w.own.first)
	w.line(1, "%s := MIN(%s + %s, 2000000000);", w.own.inState, w.own.inState, w.own.scans)
	w.line(0, "END_IF;")
}

// firstScan enters the state that the program begins in.
func (w *stWriter) firstScan() {
	w.line(0, "IF %s THEN", w.own.first)
	w.remember(1)
	start, powerUp := w.program.About().Start, w.program.About().PowerUp
	w.line(1, "(* The state that a run begins in is entered like any other, see part 4. *)")
	if states := w.program.States(); start != powerUp {
		w.comment(1, "On a controller this is "+w.states.value(states[powerUp].Name)+". "+w.states.value(states[start].Name)+" is for the bench, whose runs begin in operation.")
	}
	w.cases(1, w.own.state, func() {
		w.entry(2, powerUp)
		if start != powerUp {
			w.entry(2, start)
		}
	})
	w.line(0, "END_IF;")
}

// cases writes a CASE that does nothing for other values; none at all where nothing is in it.
func (w *stWriter) cases(depth int, of string, write func()) {
	before := w.out.String()
	w.line(depth, "CASE %s OF", of)
	empty := w.out.Len()
	if write(); w.out.Len() == empty {
		w.out.Reset()
		w.out.WriteString(before)
		w.line(depth, ";")
		return
	}
	w.line(depth, "ELSE")
	w.line(depth+1, ";")
	w.line(depth, "END_CASE;")
}

// held writes the counts of the conditions that must hold for a time, and returns the name of each.
func (w *stWriter) held(depth int, array string, edges []sequence.Edge) (names map[string]string, most int) {
	names = map[string]string{}
	counted := map[string]string{}
	for i := range edges {
		e := &edges[i]
		if e.For.Text == "" {
			continue
		}
		w.needs.count = true
		condition := w.broken(e.When.Node, depth, 0)
		if same, ok := counted[condition]; ok && !e.Any { // which counts anew after it was taken
			names[e.Event] = same
			continue
		}
		most++
		name := fmt.Sprintf("%s[%d]", array, most)
		names[e.Event], counted[condition] = name, name
		w.line(depth, "%s := %s(%s, %s, %s);", name, w.own.count, condition, name, w.own.scans)
	}
	return names, most
}

// widest is how long a line may be.
const widest = 110

// broken is an expression as text, of several lines where it is long: each part that is joined in it
// begins a line, those within brackets one step further in.
func (w *stWriter) broken(node ast.Node, depth, least int) string {
	whole := w.expr(node)
	text := whole.within(least)
	if len(text)+2*depth < widest-15 {
		return text
	}
	word, parts := joined(node)
	if word == "" {
		return text
	}
	o := operatorOf(word)
	var list []string
	for _, p := range parts {
		list = append(list, w.broken(p, depth+1, o.level))
	}
	text = strings.Join(list, "\n"+strings.Repeat("  ", depth+2)+o.text+" ")
	if whole.level < least {
		return "(" + text + ")"
	}
	return text
}

// joined are the parts that and, or or, joins at the top of a condition.
func joined(node ast.Node) (string, []ast.Node) {
	n, ok := node.(*ast.BinaryNode)
	if !ok || operatorOf(n.Operator).level > andLevel {
		return "", nil
	}
	var list []ast.Node
	for _, side := range []ast.Node{n.Left, n.Right} {
		if word, parts := joined(side); word != "" && operatorOf(word) == operatorOf(n.Operator) {
			list = append(list, parts...)
			continue
		}
		list = append(list, side)
	}
	return n.Operator, list
}

// condition is when a transition is taken; "" for one that always is.
func (w *stWriter) condition(e *sequence.Edge, held map[string]string, depth int, before string) string {
	var parts []string
	if before != "" {
		parts = append(parts, before)
	}
	rest := e.After.Text != "" || w.taken[e.Event] != "" || before != ""
	switch {
	case e.For.Text != "":
		parts = append(parts, held[e.Event]+" >= "+w.leastScans(e.For))
	case e.When != nil && rest:
		parts = append(parts, w.broken(e.When.Node, depth, andLevel))
	case e.When != nil:
		parts = append(parts, w.broken(e.When.Node, depth, 0))
	}
	if e.After.Text != "" {
		parts = append(parts, w.own.inState+" >= "+w.leastScans(e.After))
	}
	if name := w.taken[e.Event]; name != "" {
		parts = append(parts, name+" < "+w.limit(w.times(e)))
	}
	return strings.Join(parts, " AND ")
}

func (w *stWriter) leastScans(s sequence.Span) string {
	w.needs.least = true
	text := realText(s.Time.Seconds())
	if w.isParam(s.Text) {
		text = w.params[s.Text]
	}
	return w.own.least + "(" + text + ", " + w.own.scanS + ")"
}

func (w *stWriter) limit(times string) string {
	switch {
	case w.counts[times]:
		return w.params[times]
	case w.isParam(times):
		return "LREAL_TO_DINT(" + w.params[times] + ")"
	}
	return times
}

// choice writes transitions as one IF: the first whose condition is met is taken.
func (w *stWriter) choice(depth int, from string, edges []sequence.Edge, held map[string]string, may func(*sequence.Edge) string) (open bool) {
	word := "IF"
	for i := range edges {
		e := &edges[i]
		condition := w.condition(e, held, depth, may(e))
		if condition == "" && word == "IF" {
			w.take(depth, from, e)
			return false
		}
		if condition == "" {
			w.line(depth, "ELSE")
			w.take(depth+1, from, e)
			break
		}
		w.line(depth, "%s %s THEN", word, condition)
		w.take(depth+1, from, e)
		word = "ELSIF"
	}
	return word != "IF"
}

// take writes what a transition does.
func (w *stWriter) take(depth int, from string, e *sequence.Edge) {
	text := w.own.next + " := " + w.states.value(e.To) + ";"
	if e.To == from || e.Any && w.toItself(*e) {
		text += " " + w.own.again + " := TRUE;"
	}
	into := w.own.reason
	if e.Any {
		into = w.own.common
	}
	switch e.Cause {
	case "":
	case "judge_cause", "stop_cause":
		text += " " + into + " := " + w.signals[e.Cause] + ";"
	default:
		text += " " + into + " := " + w.causes.value(e.Cause) + ";"
	}
	w.line(depth, "%s", text)
	if name := w.taken[e.Event]; name != "" {
		w.line(depth, "%s := %s + 1;", name, name)
	}
	if name := w.anyHeld[e.Event]; name != "" {
		w.line(depth, "%s := -1;", name)
	}
}

// placeOf is the place of a transition from any state.
func (w *stWriter) placeOf(e *sequence.Edge) int {
	return slices.IndexFunc(w.program.Any(), func(a sequence.Edge) bool { return a.Event == e.Event })
}

// fromAnyState writes the transitions that come first, and after them those of the present state.
func (w *stWriter) fromAnyState() {
	w.line(0, "")
	w.line(0, "%s := %s;", w.own.next, w.own.state)
	if w.reenters() {
		w.line(0, "%s := FALSE;", w.own.again)
	}
	if len(w.program.Any()) > 0 {
		w.line(0, "")
		w.line(0, "(* ---- 2: ways out of every state but those that are listed here. They come first. ---- *)")
		w.line(0, "")
		w.exempt()
		w.line(0, "%s := %s;", w.own.common, w.causes.value(""))
		w.anyHeld, w.mostAny = w.held(0, w.own.heldAny, w.program.Any())
		w.choice(0, "", w.program.Any(), w.anyHeld, func(e *sequence.Edge) string { return w.may[e.To] })
		w.line(0, "ELSE")
	}
	w.line(0, "")
	w.line(0, "(* ---- 3: ways out of the present state: the first whose condition is met counts. ---- *)")
	w.line(0, "")
	w.cases(0, w.own.state, func() {
		for i := range w.program.States() {
			w.state(&w.program.States()[i])
		}
	})
	if len(w.program.Any()) > 0 {
		w.line(0, "END_IF;")
	}
}

// reenters is whether a transition leads from a state to itself.
func (w *stWriter) reenters() bool {
	for _, s := range w.program.States() {
		for i := range s.Edges {
			if s.Edges[i].Target == s.Index {
				return true
			}
		}
	}
	return slices.ContainsFunc(w.program.Any(), w.toItself)
}

// toItself is whether a transition from any state leaves the one that it leads to.
func (w *stWriter) toItself(e sequence.Edge) bool {
	return w.program.States()[e.Target].Any[w.placeOf(&e)]
}

// exempt writes which states a transition from any state does not leave.
func (w *stWriter) exempt() {
	var targets []string
	for _, e := range w.program.Any() {
		if !slices.Contains(targets, e.To) {
			targets = append(targets, e.To)
			w.may[e.To] = w.names.new("may_" + e.To)
		}
	}
	w.mayOrder = targets
	for _, to := range targets {
		w.line(0, "%s := TRUE;", w.may[to])
	}
	groups, order := map[string][]string{}, []string(nil)
	for i := range w.program.States() {
		s := &w.program.States()[i]
		var flags []string
		for _, to := range targets {
			if !w.applies(s, to) {
				flags = append(flags, w.may[to]+" := FALSE;")
			}
		}
		if key := strings.Join(flags, "\n"); key != "" {
			if groups[key] == nil {
				order = append(order, key)
			}
			groups[key] = append(groups[key], w.label(s.Name))
		}
	}
	w.cases(0, w.own.state, func() {
		for _, key := range order {
			w.line(1, "%s:", wrapped(groups[key], ", ", ",\n  ", widest-4))
			for _, flag := range strings.Split(key, "\n") {
				w.line(2, "%s", flag)
			}
		}
	})
}

// applies is whether the transitions from any state to one leave a state.
func (w *stWriter) applies(s *sequence.DocumentState, to string) bool {
	for k, e := range w.program.Any() {
		if e.To == to {
			return s.Any[k]
		}
	}
	return false
}

// state writes the ways out of one state.
func (w *stWriter) state(s *sequence.DocumentState) {
	if len(s.Edges) == 0 {
		return
	}
	w.line(0, "")
	w.line(1, "%s:", w.label(s.Name))
	if s.Note != "" {
		w.comment(2, s.Note)
	}
	held, count := w.held(2, w.own.held, s.Edges)
	w.most = max(w.most, count)
	if w.choice(2, s.Name, s.Edges, held, func(*sequence.Edge) string { return "" }) {
		w.line(2, "END_IF;")
	}
}

// label is the label of a state in a CASE.
func (w *stWriter) label(state string) string {
	name := w.states.value(state)
	if w.options.Integers {
		return strconv.Itoa(slices.Index(w.states.words, state)) + " (* " + name + " *)"
	}
	return name
}

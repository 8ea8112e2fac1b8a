package export

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// chartNames gives out the ids of a chart. Those of states and of data are in one space, as XML wants
// ids (XML 1.0, 3.3.1), and those of data are variables of ECMAScript.
type chartNames struct{ taken map[string]bool }

func newChartNames() *chartNames {
	n := &chartNames{taken: map[string]bool{}}
	for _, word := range strings.Fields(reservedInScript) {
		n.taken[word] = true
	}
	return n
}

// new is an id like the one wanted, with a number if that is taken.
func (n *chartNames) new(wanted string) string {
	id := wanted
	for i := 2; n.taken[id]; i++ {
		id = wanted + "_" + strconv.Itoa(i)
	}
	n.taken[id] = true
	return id
}

// or is the id wanted, or where that is taken one that begins with what it is.
func (n *chartNames) or(what, wanted string) string {
	if n.taken[wanted] {
		wanted = what + "_" + wanted
	}
	return n.new(wanted)
}

// state keeps the name of a state, which no script uses as a variable.
func (n *chartNames) state(name string) { n.taken[name] = true }

// chartName is the name of a chart as an identifier, of which interpreters make another one (common
// practice).
func chartName(name string) string {
	id := strings.Map(func(r rune) rune {
		if isLetter(r) || isDigit(r) {
			return r
		}
		return '_'
	}, name)
	if id == "" || isDigit(rune(id[0])) {
		id = "_" + id
	}
	return id
}

// nameAll gives an id to everything. What has a name in the document comes first and keeps it.
func (w *chartWriter) nameAll() {
	for _, s := range w.program.States() {
		w.ids.state(s.Name)
	}
	w.read()
	w.params, w.kept, w.outputs = map[string]string{}, map[string]string{}, map[string]string{}
	for _, v := range slices.Concat(w.given, w.computed) {
		w.params[v.Name] = w.ids.or("param", v.Name)
	}
	for _, s := range w.program.About().Kept {
		w.kept[s.Name] = w.ids.or("kept", s.Name)
	}
	outputs := w.program.About().Outputs
	if slices.Contains(outputs, "brake_2") && !slices.Contains(outputs, "brake") {
		outputs = append(outputs, "brake") // which the second brake follows
	}
	for _, name := range outputs {
		w.outputs[name] = w.ids.or("commanded", name)
	}
	w.nameOwn()
	w.nameFirings()
	w.nameHeld()
	w.nameMay()
}

func (w *chartWriter) nameOwn() {
	n := w.ids
	w.own = chartOwn{
		powerOff: n.new("first_scan"), operation: n.new("first_scan_in_operation"), running: n.new("running"),
		input: n.new("input"), previous: n.new("previous"), scans: n.new("scans"), scanNS: n.new("scan_ns"),
		inStateScans: n.new("in_state_scans"), inState: n.new("in_state_s"), wasInState: n.new("was_in_state_s"),
		cause: n.new("cause"), causeIsOld: n.new("cause_is_old"), brake2Apart: n.new("brake_2_apart"),
		least: n.new("leastScans"), seconds: n.new("secondsOf"), held: n.new("scansHeld"), sign: n.new("signOf"), cosines: n.new("cosDeg"),
	}
}

// nameFirings counts the transitions that may be taken a number of times.
func (w *chartWriter) nameFirings() {
	w.firings = map[string]string{}
	for _, e := range w.edges() {
		if e.Times < 0 {
			continue
		}
		name := "n_" + e.To
		if !e.Any {
			from, _, _ := strings.Cut(e.Event, "/")
			name = "n_" + from + "_" + e.To
		}
		w.firings[e.Event] = w.ids.new(name)
	}
}

// nameHeld counts the conditions that must hold for a time: the states share their counts, as one of
// them is active.
func (w *chartWriter) nameHeld() {
	w.heldAny = map[string]string{}
	for _, e := range w.program.Any() {
		if e.For.Text != "" {
			w.heldAny[e.Event] = w.ids.new("held_any_" + strconv.Itoa(len(w.heldAny)+1))
		}
	}
	for _, s := range w.program.States() {
		for n := len(heldTexts(s.Edges)); len(w.heldOwn) < n; {
			w.heldOwn = append(w.heldOwn, w.ids.new("held_"+strconv.Itoa(len(w.heldOwn)+1)))
		}
	}
}

// heldTexts are the conditions of a state that must hold for a time, each once.
func heldTexts(edges []sequence.Edge) []string {
	var list []string
	for _, e := range edges {
		if e.For.Text != "" && !slices.Contains(list, e.When.Text) {
			list = append(list, e.When.Text)
		}
	}
	return list
}

// nameMay has a flag for each target of the transitions from any state that some state opts out of.
func (w *chartWriter) nameMay() {
	w.may = map[string]string{}
	for _, e := range w.program.Any() {
		leaves := func(s sequence.DocumentState) bool { return !w.applies(&s, e.To) }
		if w.may[e.To] == "" && slices.ContainsFunc(w.program.States(), leaves) {
			w.may[e.To] = w.ids.new("may_" + e.To)
			w.mayOrder = append(w.mayOrder, e.To)
		}
	}
}

// read finds out which parameters and inputs are read.
func (w *chartWriter) read() {
	w.reads = map[string]bool{}
	note := func(e *sequence.Expr) {
		if e == nil {
			return
		}
		visit(e.Node, func(node ast.Node) {
			if id, ok := node.(*ast.IdentifierNode); ok {
				w.reads[id.Value] = true
			}
			if name, arguments, _ := sequence.CallOf(node); name == "previous" {
				w.reads[fmt.Sprintf("previous(%s)", arguments[0])] = true
			}
		})
	}
	for _, s := range w.program.States() {
		for _, k := range s.Keeps {
			note(k.Expr)
		}
		for _, a := range s.Sets {
			note(a.Expr)
		}
	}
	for _, e := range w.edges() {
		note(e.When)
		w.reads[e.For.Text], w.reads[e.After.Text], w.reads[timesOf(w.program, e)] = true, true, true
		if causeInInput(e) {
			w.reads[e.Cause] = true
		}
	}
	given, computed := parametersInOrder(w.program)
	for _, v := range slices.Backward(computed) { // each is after what it is computed from
		if w.reads[v.Name] {
			note(v.Expr)
		}
	}
	unread := func(v *sequence.ParamValue) bool { return !w.reads[v.Name] }
	w.given, w.computed = slices.DeleteFunc(given, unread), slices.DeleteFunc(computed, unread)
}

// causeInInput is whether the cause of a transition is the word in the input of that name.
func causeInInput(e *sequence.Edge) bool { return e.Cause == "judge_cause" || e.Cause == "stop_cause" }

// readsBefore is whether some expression reads an input as it was in the scan before.
func (w *chartWriter) readsBefore() bool {
	for name := range w.reads {
		if strings.HasPrefix(name, "previous(") && name != "previous(in_state_s)" {
			return true
		}
	}
	return false
}

// reservedInScript are the reserved words of ECMA-262, fifth edition, 7.6.1, those that later editions
// added (12.7.2 of the sixteenth; both from memory), and names that the global object of an interpreter may have.
const reservedInScript = `
arguments async await break case catch class const continue debugger default delete do else enum eval export extends
false finally for function get if implements import in instanceof interface let new null of package private protected
public return set static super switch this throw true try typeof undefined var void while with yield
console escape exports gc global module name print process require self unescape window`

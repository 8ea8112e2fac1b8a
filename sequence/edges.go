package sequence

import (
	"fmt"
	"math"
	"strconv"
	"sync"
	"time"

	"github.com/expr-lang/expr/ast"
)

// edge reads one transition.
func (a *analysis) edge(path, event string, t Transition) Edge {
	edge := Edge{
		Event: event, To: t.To, Target: a.target(path+".to", "to", t.To),
		For: a.span(path+".for", t.For), After: a.span(path+".after", t.After),
		Times: a.times(path+".times", t.Times), Cause: a.cause(path+".cause", t.Cause),
	}
	if t.For != "" && t.When == "" {
		a.fail(path+".for", "for needs a condition; add when, or use after instead")
	}
	if t.When != "" {
		a.condition(path+".when", t.When, &edge)
	}
	return edge
}

func (a *analysis) condition(path string, text Text, edge *Edge) {
	e := a.expr(path, text, KindBoolean)
	if e == nil {
		a.graphBroken = true // it is not known when this transition fires
		return
	}
	test := a.scope.compile(e.Node)
	e.terms = sync.OnceValue(func() []term { return a.scope.terms(e) })
	edge.gate = a.scope.gateOf(e.Node)
	edge.When, edge.test, edge.never, edge.conjuncts = e, test.boolean, test.always(false), conjuncts(e)
	if !usesNames(e.Node) {
		a.warn(path, "%s is constant; use an input or a parameter, or remove when", e.Text)
	}
}

func usesNames(node ast.Node) bool {
	found := false
	walk(node, func(n ast.Node) {
		if _, ok := n.(*ast.IdentifierNode); ok {
			found = true
		}
	})
	return found
}

// span reads a duration: 50ms, 1.5s, 8h, or the name of a parameter in seconds.
func (a *analysis) span(path string, text Text) Span {
	span := Span{Text: string(text)}
	switch what, named := a.scope.symbols[span.Text]; {
	case text == "":
	case named && what.kept:
		a.scope.used[span.Text] = true
		a.fail(path, "%s is kept during the run; a duration is fixed before it: must be 50ms, 1.5s or 8h, or a parameter in s; for another one compare in_state_s with %s in when", span.Text, span.Text)
	case named && what.fixed():
		span.Time = a.spanOfParam(path, span.Text, what)
	default:
		span.Time = a.spanLiteral(path, span.Text)
	}
	return span
}

func (a *analysis) spanLiteral(path, text string) time.Duration {
	d, err := time.ParseDuration(text)
	_, plain := strconv.ParseFloat(text, 64)
	switch {
	case isName(text):
		a.fail(path, "there is no parameter %q; %s", text, Suggest(text, a.doc.ParamNames()))
	case plain == nil && text != "0":
		a.fail(path, "%s has no unit; must be written as 50ms, 1.5s or 8h", text)
	case err != nil:
		a.fail(path, "%q is not a duration; must be 50ms, 1.5s or 8h, or a parameter in s", text)
	case d < 0:
		a.fail(path, "%s is negative; a duration must be 0 or more", text)
	default:
		return d
	}
	return 0
}

// maxSpanS keeps a duration within what time.Duration holds.
const maxSpanS = 1e9

func (a *analysis) spanOfParam(path, name string, what symbol) time.Duration {
	a.scope.used[name] = true
	if what.kind == KindUnknown {
		return 0
	}
	if what.kind != KindNumber || what.unit != base(baseS) {
		a.fail(path, "%s is not in seconds; a duration needs a parameter whose name ends in _s", name)
		return 0
	}
	s := what.code.number(&Inputs{})
	if s < 0 || s > maxSpanS {
		a.fail(path, "%s is %g s; a duration must be from 0 to %g s", name, s, float64(maxSpanS))
		return 0
	}
	return time.Duration(math.Round(s * float64(time.Second)))
}

// times reads the most firings a run; -1 is without limit.
func (a *analysis) times(path string, text Text) int {
	if text == "" {
		return -1
	}
	what, named := a.scope.symbols[string(text)]
	if named && what.fixed() {
		return a.timesOfParam(path, string(text), what)
	}
	n, err := strconv.Atoi(string(text))
	if err != nil || n < 0 {
		a.fail(path, "%q is not a count; must be a whole number of 0 or more, or a parameter with such a value", text)
		return -1
	}
	if n == 0 {
		a.warn(path, "times is 0, so this transition never fires; remove it or use a parameter")
	}
	return n
}

func (a *analysis) timesOfParam(path, name string, what symbol) int {
	a.scope.used[name] = true
	if what.kind == KindUnknown {
		return -1
	}
	if what.kind != KindNumber || what.unit != (Unit{}) {
		a.fail(path, "%s has a unit; a count must be a plain number", name)
		return -1
	}
	n := what.code.number(&Inputs{})
	if n < 0 || n != math.Trunc(n) || n > math.MaxInt32 {
		a.fail(path, "%s is %g; a count must be a whole number of 0 or more", name, n)
		return -1
	}
	return int(n)
}

// cause reads the cause of a transition.
func (a *analysis) cause(path string, text Text) string {
	word := string(text)
	if word != "" && word != causeOfJudge && word != causeOfStop && !isCause(word) {
		a.fail(path, "%s, or judge_cause or stop_cause", CauseFault(word))
	}
	return word
}

// CauseFault says what is wrong with a cause; empty if nothing is.
func CauseFault(word string) string {
	if isCause(word) {
		return ""
	}
	return fmt.Sprintf("%q is not a cause; must be lower-case words joined by hyphens, such as brake-not-closed", word)
}

// isCause accepts words joined by single hyphens, a letter first.
func isCause(s string) bool {
	before := '-'
	for i, c := range s {
		letter := c >= 'a' && c <= 'z'
		digit := c >= '0' && c <= '9' && i > 0
		hyphen := c == '-' && before != '-'
		if !letter && !digit && !hyphen {
			return false
		}
		before = c
	}
	return before != '-'
}

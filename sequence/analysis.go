package sequence

import (
	"errors"
	"fmt"
	"slices"
	"sort"
)

// analysis checks a document and, on the way, builds what a program needs.
type analysis struct {
	doc      Document
	values   Values
	parsed   trees
	findings []Finding

	scope  *scope
	params []ParamValue
	states []StateInfo
	any    []Edge
	index  map[string]int
	start  int
	wake   int // state after a loss of power

	graphBroken bool // targets are wrong, so reachability would mislead
}

// Vet reports everything there is to say about the document, with the
// parameters overridden by values, in document order.
func (d Document) Vet(values Values) []Finding {
	return slices.Clone(check(d, values).findings)
}

// Compile checks the document and makes a program of it, with the parameters
// overridden by values. The error is a *FindingsError with all errors at once;
// warnings do not keep it from compiling.
func Compile(d Document, values Values) (*Program, error) {
	c := check(d, values)
	if c.program != nil {
		return c.program, nil
	}
	errs := make([]Finding, 0, len(c.findings))
	for _, f := range c.findings {
		if f.Severity == SeverityError {
			errs = append(errs, f)
		}
	}
	return nil, &FindingsError{Sequence: d.Sequence, Findings: errs}
}

// program is what the analysis of a document without an error comes to.
func (a *analysis) program() *Program {
	p := &Program{
		doc: a.doc, params: a.params, states: a.states, any: a.any, index: a.index, start: a.start, wake: a.wake,
	}
	p.events = p.eventTable()
	return p
}

func analyse(d Document, values Values, parsed trees) *analysis {
	a := &analysis{doc: d, values: values, parsed: parsed, scope: newScope(), index: map[string]int{}, start: -1, wake: -1}
	a.head()
	a.resolveParams()
	a.nameStates()
	a.readAny()
	a.readStates()
	a.readEnds()
	a.applyAny()
	a.outputsNeeded()
	a.unusedParams()
	if !a.graphBroken && a.start >= 0 {
		a.graph()
	}
	a.inOrder()
	return a
}

func (a *analysis) fail(path string, format string, args ...any) {
	a.findings = append(a.findings, Finding{Path: path, Severity: SeverityError, Message: fmt.Sprintf(format, args...)})
}

func (a *analysis) warn(path string, format string, args ...any) {
	a.findings = append(a.findings, Finding{Path: path, Severity: SeverityWarning, Message: fmt.Sprintf(format, args...)})
}

func (a *analysis) failExpr(path, value string, problems ...*ExprError) {
	for _, p := range problems {
		a.findings = append(a.findings, Finding{
			Path: path, Column: p.Column, Value: value, Severity: SeverityError, Message: p.Message,
		})
	}
}

// expr reads and checks an expression; nil if it is wrong.
func (a *analysis) expr(path string, text Text, want Kind) *Expr {
	e, err := a.parse(string(text))
	if err != nil {
		a.failExpr(path, "", err)
		return nil
	}
	if problems := a.scope.check(e, want); len(problems) > 0 {
		a.failExpr(path, "", problems...)
		return nil
	}
	if e.Kind == KindUnknown {
		return nil // rests on a parameter that was reported
	}
	return e
}

// parse is ParseExpr with the error in its own type; what is parsed already is taken
// from there.
func (a *analysis) parse(text string) (*Expr, *ExprError) {
	if node, ok := a.parsed[text]; ok {
		return &Expr{Text: text, Node: node}, nil
	}
	e, err := ParseExpr(text)
	if err == nil {
		return e, nil
	}
	var own *ExprError
	if errors.As(err, &own) {
		return nil, own
	}
	return nil, &ExprError{Message: err.Error()}
}

// head checks what stands above the states.
func (a *analysis) head() {
	if a.doc.Sequence == "" {
		a.fail("$.sequence", "the sequence has no name; give it one")
	}
	if len(a.doc.States) == 0 {
		a.fail("$.states", "there are no states; a sequence needs one at least")
		a.graphBroken = true
	}
}

// inOrder sorts the findings by where they stand in the document.
func (a *analysis) inOrder() {
	if len(a.findings) == 0 {
		return
	}
	place := map[string]int{}
	for i, path := range a.doc.paths() {
		if _, ok := place[path]; !ok {
			place[path] = i
		}
	}
	sort.SliceStable(a.findings, func(i, j int) bool {
		f, g := a.findings[i], a.findings[j]
		if place[f.Path] != place[g.Path] {
			return place[f.Path] < place[g.Path]
		}
		return f.Column < g.Column
	})
	for i := range a.findings {
		a.findings[i].Path = readablePath(a.findings[i].Path)
	}
}

// paths lists every place a finding can point at, in document order. The first
// is the document itself.
func (d Document) paths() []string {
	paths := []string{"$", "$.sequence", "$.start", "$.after_power_loss", "$.params"}
	for _, p := range d.Params {
		paths = append(paths, pathKey("$.params", p.Name))
	}
	paths = append(paths, "$.states")
	for _, s := range d.States {
		paths = append(paths, s.paths()...)
	}
	for i := range d.Any {
		paths = append(paths, edgePaths(pathIndex("$.any", i))...)
	}
	paths = append(paths, "$.ends")
	for _, e := range d.Ends {
		paths = append(paths, pathKey("$.ends", e.State))
	}
	return paths
}

func (s State) paths() []string {
	at := pathKey("$.states", s.Name)
	paths := []string{at, at + ".set"}
	for _, set := range s.Set {
		paths = append(paths, pathKey(at+".set", set.Output))
	}
	for i := range s.Go {
		paths = append(paths, edgePaths(pathIndex(at+".go", i))...)
	}
	for i := range s.OptOut {
		paths = append(paths, pathIndex(at+".opt_out", i))
	}
	return paths
}

func edgePaths(at string) []string {
	return []string{at, at + ".to", at + ".when", at + ".for", at + ".after", at + ".times", at + ".cause"}
}

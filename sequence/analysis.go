package sequence

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sync"

	"holdbench/plant/problem"
)

// analysis checks a document and, on the way, builds what a program needs.
type analysis struct {
	doc      Document
	values   Values
	parsed   trees
	problems problem.List

	reactions problem.List // that are missing

	guardReactions problem.List // that are missing on a machine with a guard

	scope   *scope
	params  []ParamValue
	kept    []Signal
	roles   map[string]string
	states  []DocumentState
	any     []Edge
	index   map[string]int
	start   int
	powerUp int // state after a loss of power

	graphBroken bool // targets are wrong, so reachability would mislead
}

// Vet reports all errors and warnings of the document, with the parameters
// overridden by values, in document order. The error is a [problem.List] of all that
// keeps the document from running. The package does not know files, so a problem has the
// path of goccy/go-yaml within the document, such as $.states.travel.go[0].when, and the
// column within the text there, or the [ValuePath] of a value.
func (d Document) Vet(values Values) (warnings problem.List, err error) {
	return slices.Clone(check(d, values).problems).Split()
}

// Compile checks the document and makes a program of it, with the parameters
// overridden by values. The error holds a [problem.List] with all errors at once;
// warnings do not keep it from compiling.
func Compile(d Document, values Values) (*Program, error) {
	c := check(d, values)
	if c.program != nil {
		return c.program, nil
	}
	_, err := c.problems.Split()
	return nil, fmt.Errorf("sequence %q does not compile\n%w", d.Sequence, err)
}

// program is the result for a document without an error.
func (a *analysis) program() *Program {
	p := &Program{
		doc: a.doc, states: a.states, any: a.any, index: a.index, start: a.start, powerUp: a.powerUp,
		unused: new(sync.Pool),
	}
	p.events = p.eventTable()
	p.number()
	for i := range p.states {
		p.states[i].candidates = p.candidates(&p.states[i])
		p.most = max(p.most, len(p.states[i].candidates))
	}
	p.about = a.about(p)
	return p
}

func analyse(d Document, values Values, parsed trees) *analysis {
	a := &analysis{doc: d, values: values, parsed: parsed, scope: newScope(), index: map[string]int{}, start: -1, powerUp: -1}
	a.head()
	a.declareKept()
	a.resolveParams()
	a.typeKept()
	a.readRoles()
	a.nameStates()
	a.readAny()
	a.readStates()
	a.readEnds()
	a.applyAny()
	a.checkNeeds()
	a.unusedParams()
	a.unusedKept()
	if !a.graphBroken && a.start >= 0 {
		a.graph()
	}
	a.inOrder()
	return a
}

func (a *analysis) fail(path string, format string, args ...any) {
	a.problems.Add(path, format, args...)
}

func (a *analysis) warn(path string, format string, args ...any) {
	a.problems.Warn(path, format, args...)
}

func (a *analysis) failExpr(path string, problems ...*ExprError) {
	for _, p := range problems {
		a.problems = append(a.problems, problem.Problem{Path: path, Column: p.Column, Message: p.Message})
	}
}

// expr reads and checks an expression; nil if it is wrong.
func (a *analysis) expr(path string, text Text, want Kind) *Expr {
	e, err := a.parse(string(text))
	if err != nil {
		a.failExpr(path, err)
		return nil
	}
	if problems := a.scope.check(e, want); len(problems) > 0 {
		a.failExpr(path, problems...)
		return nil
	}
	if e.Kind == KindUnknown {
		return nil // depends on a parameter that was reported
	}
	return e
}

// parse is ParseExpr with the error in its own type. Expressions that were parsed
// before are taken from a.parsed.
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

// head checks the keys above the states.
func (a *analysis) head() {
	if a.doc.Sequence == "" {
		a.fail("$.sequence", "the sequence has no name; give it one")
	}
	if len(a.doc.States) == 0 {
		a.fail("$.states", "there are no states; a sequence needs one at least")
		a.graphBroken = true
	}
}

// inOrder sorts the problems by their location in the document, those of a value with
// its parameter.
func (a *analysis) inOrder() {
	if len(a.problems) == 0 {
		return
	}
	place := map[string]int{}
	for i, path := range a.doc.paths() {
		if _, ok := place[path]; !ok {
			place[path] = i
		}
	}
	for name := range a.values {
		at, ok := place[pathKey(paramsPath, name)]
		if !ok {
			at = place[paramsPath]
		}
		place[ValuePath(name)] = at
	}
	slices.SortStableFunc(a.problems, func(p, q problem.Problem) int {
		return cmp.Or(cmp.Compare(place[p.Path], place[q.Path]), cmp.Compare(p.Column, q.Column))
	})
	for i := range a.problems {
		a.problems[i].Path = readablePath(a.problems[i].Path)
	}
}

// paths lists every place a finding can point at, in document order. The first
// is the document itself.
func (d Document) paths() []string {
	paths := []string{"$", "$.sequence", "$.start", "$.after_power_loss", paramsPath}
	for _, p := range d.Params {
		paths = append(paths, pathKey(paramsPath, p.Name))
	}
	paths = append(paths, rolesPath)
	for _, r := range d.Roles {
		paths = append(paths, pathKey(rolesPath, r.Role))
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
	paths := []string{at, at + ".keep"}
	for _, k := range s.Keep {
		paths = append(paths, pathKey(at+".keep", k.Name))
	}
	paths = append(paths, at+".set")
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

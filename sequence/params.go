package sequence

import (
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
)

// resolver computes the parameters, each after those that it depends on.
type resolver struct {
	*analysis
	exprs map[string]*Expr
	stage map[string]int // 0 not yet, 1 in progress, 2 done
	trail []string       // parameters in progress, outermost first
}

// resolveParams reads all parameters, in any order, and adds them to the scope.
func (a *analysis) resolveParams() {
	r := &resolver{analysis: a, exprs: map[string]*Expr{}, stage: map[string]int{}}
	a.unknownValues()
	for _, p := range a.doc.Params {
		r.read(p)
	}
	for _, p := range a.doc.Params {
		r.resolve(p.Name)
	}
	r.collect()
}

// unknownValues finds overrides of parameters that do not exist.
func (a *analysis) unknownValues() {
	names := a.doc.ParamNames()
	for _, name := range slices.Sorted(maps.Keys(a.values)) {
		if indexOf(names, name) < 0 {
			a.failExpr(ValuePath(name), &ExprError{0, "the sequence has no parameter " + name + "; " + Suggest(name, names)})
		}
	}
}

// ParamNames lists the names of the parameters in document order.
func (d *Document) ParamNames() []string {
	names := make([]string, 0, len(d.Params))
	for _, p := range d.Params {
		names = append(names, p.Name)
	}
	return names
}

// read parses one parameter and adds its name to the scope.
func (r *resolver) read(p Param) {
	path := pathKey(paramsPath, p.Name)
	if _, twice := r.exprs[p.Name]; twice {
		r.fail(path, "the parameter %s is defined twice; remove one", p.Name)
		return
	}
	r.exprs[p.Name] = nil
	if why := paramNameFault(p.Name); why != "" {
		r.fail(path, "%s", why)
	}
	if what, taken := r.scope.symbols[p.Name]; taken && what.input {
		r.fail(path, "%s is the name of an input; choose another", p.Name)
		r.stage[p.Name] = 2
		return
	}
	r.scope.add(p.Name, symbol{unit: UnitOf(p.Name)})
	e, err := r.parse(r.text(p))
	if err != nil {
		r.failExpr(r.at(p.Name), err)
		return
	}
	r.exprs[p.Name] = e
}

// text is the parameter's expression, or what overrides it.
func (r *resolver) text(p Param) string {
	if text, ok := r.values[p.Name]; ok {
		return text
	}
	return string(p.Value)
}

// at is the path of a parameter's expression: in the document or among the values.
func (r *resolver) at(name string) string {
	if _, ok := r.values[name]; ok {
		return ValuePath(name)
	}
	return pathKey(paramsPath, name)
}

func paramNameFault(name string) string {
	if !isName(name) {
		return "a name must be lower-case letters, digits and underscores, beginning with a letter"
	}
	if _, ok := functionNamed(name); ok {
		return name + " is the name of a function; choose another"
	}
	if indexOf(reservedWords(), name) >= 0 {
		return name + " is a reserved word of the expressions; choose another"
	}
	return ""
}

// reservedWords are reserved by the parser.
func reservedWords() []string {
	return []string{textTrue, textFalse, "nil", opAnd, opOr, opNot, "in", "let", "if", "else", "matches", "contains"}
}

// isName accepts names that are valid in every language that a sequence is exported to.
func isName(s string) bool {
	for i, c := range s {
		letter := c >= 'a' && c <= 'z'
		later := i > 0 && (c == '_' || (c >= '0' && c <= '9'))
		if !letter && !later {
			return false
		}
	}
	return s != ""
}

// resolve computes one parameter after those that it depends on. An error leaves its
// kind unknown, so that it is reported once.
func (r *resolver) resolve(name string) {
	e := r.exprs[name]
	if r.stage[name] == 2 || e == nil {
		return
	}
	if r.stage[name] == 1 {
		r.circular(name)
		return
	}
	r.stage[name] = 1
	r.trail = append(r.trail, name)
	walk(e.Node, func(n ast.Node) {
		if part, ok := n.(*ast.IdentifierNode); ok {
			r.resolve(part.Value)
		}
	})
	r.trail = r.trail[:len(r.trail)-1]
	if r.stage[name] == 1 {
		r.stage[name] = 2
		r.compute(name, e)
	}
}

// circular reports parameters that depend on each other, and excludes them all.
func (r *resolver) circular(name string) {
	cycle := append(slices.Clone(r.trail[indexOf(r.trail, name):]), name)
	r.failExpr(r.at(name), &ExprError{0,
		"circular parameters: " + strings.Join(cycle, " -> ") + "; one of them must not depend on the others"})
	for _, member := range cycle {
		r.stage[member] = 2
	}
}

// compute checks one parameter and sets its value.
func (r *resolver) compute(name string, e *Expr) {
	problems := r.inputsIn(e)
	if len(problems) == 0 {
		problems = r.scope.check(e, KindUnknown)
	}
	if len(problems) == 0 && e.Kind != KindUnknown {
		problems = r.paramFits(name, e)
	}
	r.failExpr(r.at(name), problems...)
	if len(problems) > 0 || e.Kind == KindUnknown {
		return
	}
	r.scope.add(name, symbol{kind: e.Kind, unit: UnitOf(name), code: r.scope.compile(e.Node)})
}

// inputsIn finds what is not known before the run.
func (r *resolver) inputsIn(e *Expr) []*ExprError {
	var problems []*ExprError
	walk(e.Node, func(n ast.Node) {
		name, ok := n.(*ast.IdentifierNode)
		if !ok || r.scope.symbols[name.Value].fixed() {
			return
		}
		what := "an input"
		if r.scope.symbols[name.Value].kept {
			what = "kept during the run"
		}
		problems = append(problems, at(n, "%s is %s; a parameter is fixed before the run and must use parameters only", name.Value, what))
	})
	return problems
}

// paramFits requires a finite number in the unit of the name, or a boolean.
func (r *resolver) paramFits(name string, e *Expr) []*ExprError {
	unit := UnitOf(name)
	switch e.Kind {
	case KindBoolean:
		if unit != (Unit{}) {
			return []*ExprError{{0, name + " is a boolean; by its name it is " + unitText(unit)}}
		}
	case KindNumber:
		return numberFits(name, unit, r.scope, e)
	case KindWord:
		return []*ExprError{{0, name + " is a word; a parameter must be a number, true or false"}}
	}
	return nil
}

func numberFits(name string, unit Unit, s *scope, e *Expr) []*ExprError {
	if problem := unitFits(name, unit, s, e); problem != nil {
		return []*ExprError{problem}
	}
	v := s.compile(e.Node).number(&Inputs{})
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return []*ExprError{{0, name + " is not a finite number; check for a division by zero or the root of a negative number"}}
	}
	return nil
}

// unitFits compares the unit of an expression with that of its target.
func unitFits(name string, unit Unit, s *scope, e *Expr) *ExprError {
	c := checker{scope: s}
	m := c.measure(e.Node)
	if m.anyUnit || m.unit == unit {
		return nil
	}
	return &ExprError{0, e.Text + " is " + unitText(m.unit) + ", " + name + " is " + unitText(unit) +
		"; both need the same unit" + currentHint(m.unit, unit)}
}

// collect lists the values in document order for the program.
func (r *resolver) collect() {
	for _, p := range r.doc.Params {
		what := r.scope.symbols[p.Name]
		_, set := r.values[p.Name]
		v := ParamValue{Name: p.Name, Note: p.Note, Kind: what.kind, Unit: what.unit, Expr: r.exprs[p.Name], Set: set}
		switch {
		case what.input:
			continue
		case what.kind == KindNumber:
			v.Number = what.code.number(&Inputs{})
		case what.kind == KindBoolean:
			v.Boolean = what.code.boolean(&Inputs{})
		}
		r.params = append(r.params, v)
	}
}

// unusedParams warns of parameters that change nothing.
func (a *analysis) unusedParams() {
	for _, p := range a.doc.Params {
		if !a.scope.used[p.Name] {
			a.warn(pathKey(paramsPath, p.Name), "the parameter %s is not used; use it or remove it", p.Name)
		}
	}
}

package sequence

import (
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
)

// This file reads the memory of a sequence: the values that states keep on entry.

// declareKept adds the names of the kept values to the scope, so that parameters can be
// refused that would read them. Their kinds follow in typeKept.
func (a *analysis) declareKept() {
	done := map[string]bool{}
	for _, s := range a.doc.States {
		for _, k := range s.Keep {
			if done[k.Name] {
				continue
			}
			done[k.Name] = true
			path := pathKey(pathKey("$.states", s.Name)+".keep", k.Name)
			if why := a.keptNameFault(k.Name); why != "" {
				a.fail(path, "%s", why)
				continue
			}
			a.scope.add(k.Name, symbol{unit: UnitOf(k.Name), kept: true})
			a.kept = append(a.kept, Signal{Name: k.Name, Unit: UnitOf(k.Name), Note: "kept on entry of " + strings.Join(a.keepers(k.Name), ", ")})
		}
	}
}

// keptNameFault refuses a name that is taken. A name of an output is refused too, because a
// trace has a column for each.
func (a *analysis) keptNameFault(name string) string {
	const another = "; choose another for the value to keep"
	switch what, taken := a.scope.symbols[name]; {
	case taken && what.input:
		return name + " is the name of an input" + another
	case indexOf(a.doc.ParamNames(), name) >= 0:
		return name + " is the name of a parameter" + another
	case indexOf(outputNames(), name) >= 0:
		return name + " is the name of an output" + another
	}
	return paramNameFault(name)
}

// keepers lists the states that keep a value.
func (a *analysis) keepers(name string) []string {
	var states []string
	for _, s := range a.doc.States {
		if slices.ContainsFunc(s.Keep, func(k Keep) bool { return k.Name == name }) {
			states = append(states, s.Name)
		}
	}
	return states
}

// typeKept finds the kind of every kept value and gives it its place in the memory. A name
// with a unit is a number. The kind of another one is that of an expression that is kept
// under it, as soon as the kinds of the names in that are known.
func (a *analysis) typeKept() {
	for i := range a.kept {
		if a.kept[i].Unit != (Unit{}) {
			a.setKind(i, KindNumber)
		}
	}
	for again := true; again; {
		again = false
		for i := range a.kept {
			if a.kept[i].Kind == KindUnknown {
				a.setKind(i, a.keptKind(a.kept[i].Name))
				again = again || a.kept[i].Kind != KindUnknown
			}
		}
	}
	for i := range a.kept {
		if a.kept[i].Kind == KindUnknown {
			a.setKind(i, KindNumber) // it depends on itself alone
		}
	}
	a.placeKept()
}

func (a *analysis) setKind(i int, kind Kind) {
	a.kept[i].Kind = kind
	what := a.scope.symbols[a.kept[i].Name]
	what.kind = kind
	a.scope.symbols[a.kept[i].Name] = what
}

// keptKind is the kind of the first expression that is kept under a name and has one.
func (a *analysis) keptKind(name string) Kind {
	for _, s := range a.doc.States {
		for _, k := range s.Keep {
			e, err := a.parse(string(k.Value))
			if k.Name != name || err != nil {
				continue
			}
			c := checker{scope: a.scope}
			if kind := c.kind(e.Node); kind != KindUnknown {
				return kind
			}
		}
	}
	return KindUnknown
}

// placeKept gives every kept value its place in the memory.
func (a *analysis) placeKept() {
	var numbers, booleans int
	for i := range a.kept {
		s := &a.kept[i]
		next := &numbers
		if s.Kind == KindBoolean {
			next = &booleans
		}
		if *next == maxKept {
			a.fail(a.keepPath(s.Name), "%s is one value too many; a sequence can keep %d numbers and %d booleans", s.Name, maxKept, maxKept)
			s.Kind = KindUnknown
		}
		place := *next
		switch s.Kind {
		case KindBoolean:
			s.in.boolean = func(in *Inputs) *bool { return &in.kept.booleans[place] }
		case KindNumber:
			s.in.number = func(in *Inputs) *float64 { return &in.kept.numbers[place] }
			s.in.read = func(in *Inputs) float64 { return in.kept.numbers[place] }
		default: // reported, here or where it is kept
			a.scope.symbols[s.Name] = symbol{unit: s.Unit, kept: true}
			continue
		}
		*next++
		a.scope.symbols[s.Name] = symbol{kind: s.Kind, unit: s.Unit, code: readInput(*s), kept: true}
	}
}

// keepPath is where a name is kept first.
func (a *analysis) keepPath(name string) string {
	return pathKey(pathKey("$.states", a.keepers(name)[0])+".keep", name)
}

// keeps reads what one state keeps.
func (a *analysis) keeps(path string, list Keeps) []Keeping {
	var keeps []Keeping
	seen := map[string]bool{}
	for _, k := range list {
		at := pathKey(path, k.Name)
		if seen[k.Name] {
			a.fail(at, "%s is kept twice; remove one", k.Name)
			continue
		}
		seen[k.Name] = true
		i := slices.IndexFunc(a.kept, func(s Signal) bool { return s.Name == k.Name })
		if i < 0 {
			continue // its name was refused
		}
		if keeping, ok := a.keeping(at, a.kept[i], k.Value); ok {
			keeps = append(keeps, keeping)
		}
	}
	return keeps
}

// keeping compiles one value to keep.
func (a *analysis) keeping(path string, signal Signal, value Text) (Keeping, bool) {
	none := Keeping{}
	e := a.expr(path, value, KindUnknown)
	switch {
	case e == nil:
		return none, false
	case e.Kind == KindWord:
		a.fail(path, "%s is a word; a kept value must be a number, true or false", e.Text)
		return none, false
	case signal.Kind == KindUnknown:
		return none, false
	case e.Kind != signal.Kind:
		a.fail(path, "%s is a %s, and %s is a %s%s; must be the same kind", e.Text, e.Kind, signal.Name, signal.Kind, byItsName(signal))
		return none, false
	}
	code := a.scope.compile(e.Node)
	if signal.Kind == KindBoolean {
		to, from := signal.in.boolean, code.boolean
		return Keeping{signal, e, func(in *Inputs) { *to(in) = from(in) }}, true
	}
	if wrong := unitFits(signal.Name, signal.Unit, a.scope, e); wrong != nil {
		a.failExpr(path, wrong)
		return none, false
	}
	to, from := signal.in.number, code.number
	return Keeping{signal, e, func(in *Inputs) { *to(in) = from(in) }}, true
}

func byItsName(s Signal) string {
	if s.Unit != (Unit{}) {
		return " by its name"
	}
	return ""
}

// unusedKept warns of values that are kept and never read.
func (a *analysis) unusedKept() {
	for _, s := range a.kept {
		if !a.scope.used[s.Name] {
			a.warn(a.keepPath(s.Name), "%s is kept and not used; use it or remove it", s.Name)
		}
	}
}

// keptSet is a set of kept values, by their place in the list of all.
type keptSet []bool

// checkKept warns of kept values that are read where a path leads to without a state that
// keeps them: there they are 0 or false.
func (a *analysis) checkKept() {
	if len(a.kept) == 0 {
		return
	}
	reached, surely := a.reachable(a.start, a.powerUp), a.surelyKept()
	told := map[string]bool{}
	for i := range a.states {
		if reached[i] {
			a.checkKeptIn(&a.states[i], surely[i], told)
		}
	}
}

// surelyKept is, by state, what has been kept on every path to it before its entry: the
// largest solution of
//
//	before(s) = intersection over all p with a transition to s of before(p) and kept(p)
//
// in which nothing is kept before the states that a run begins in. A forward data-flow
// analysis as compilers do for variables without a value (Aho, Lam, Sethi, Ullman,
// Compilers, 2nd edition, section 9.2; from memory).
func (a *analysis) surelyKept() []keptSet {
	before := make([]keptSet, len(a.states))
	todo := []int{a.start, a.powerUp}
	before[a.start], before[a.powerUp] = make(keptSet, len(a.kept)), make(keptSet, len(a.kept))
	for len(todo) > 0 {
		s := &a.states[todo[len(todo)-1]]
		todo = todo[:len(todo)-1]
		after := a.keptAfter(s, before[s.Index])
		for _, edge := range a.outgoing(s) {
			if edge.Target >= 0 && meet(&before[edge.Target], after) {
				todo = append(todo, edge.Target)
			}
		}
	}
	return before
}

// keptAfter adds what a state keeps.
func (a *analysis) keptAfter(s *DocumentState, before keptSet) keptSet {
	after := slices.Clone(before)
	for i := range a.kept {
		name := a.kept[i].Name
		after[i] = after[i] || slices.ContainsFunc(s.Keeps, func(k Keeping) bool { return k.Signal.Name == name })
	}
	return after
}

// meet intersects a set with another one, and reports whether that changed it. A set that is
// nil holds everything.
func meet(set *keptSet, other keptSet) (changed bool) {
	if *set == nil {
		*set = slices.Clone(other)
		return true
	}
	for i := range other {
		if (*set)[i] && !other[i] {
			(*set)[i], changed = false, true
		}
	}
	return changed
}

// checkKeptIn warns of what one state reads too early.
func (a *analysis) checkKeptIn(s *DocumentState, before keptSet, told map[string]bool) {
	path := pathKey("$.states", s.Name)
	have := slices.Clone(before)
	read := func(path string, e *Expr) {
		for i := range a.kept {
			name := a.kept[i].Name
			if key := path + " " + name; !have[i] && e != nil && mentions(e, name) && !told[key] {
				told[key] = true
				a.warn(path, "%s is read in %s, and not on every path to it a state has kept it: there it is %s; keep it earlier", name, s.Name, zeroOf(a.kept[i].Kind))
			}
		}
	}
	for _, k := range s.Keeps {
		read(pathKey(path+".keep", k.Signal.Name), k.Expr)
		have[slices.IndexFunc(a.kept, func(s Signal) bool { return s.Name == k.Signal.Name })] = true
	}
	for _, set := range s.Sets {
		read(pathKey(path+".set", set.Signal.Name), set.Expr)
	}
	for i := range s.Edges {
		read(pathIndex(path+".go", i)+".when", s.Edges[i].When)
	}
	for i := range a.any {
		if s.Any[i] {
			read(pathIndex("$.any", i)+".when", a.any[i].When)
		}
	}
}

func mentions(e *Expr, name string) bool {
	found := false
	walk(e.Node, func(n ast.Node) {
		if part, ok := n.(*ast.IdentifierNode); ok && part.Value == name {
			found = true
		}
	})
	return found
}

func zeroOf(kind Kind) string {
	if kind == KindBoolean {
		return textFalse
	}
	return "0"
}

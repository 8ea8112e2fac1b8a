package st

import "slices"

// chain checks the steps of a step chain: BOOL variables, one for each step. A step is left where its
// variable becomes FALSE.
func (v *vetter) chain() {
	steps := v.steps()
	for i := range steps {
		if !v.exhausted() {
			v.step(steps, i)
		}
	}
}

// stepFlag is a BOOL variable that says that a step is active.
type stepFlag struct {
	name  string
	path  string // the same as a key of [knowledge]
	at    span   // of the declaration of the variable, or of the one that it is a part of
	first bool   // a run can begin in it
	end   bool
}

// steps are those that the options name, without the names that are no variables.
func (v *vetter) steps() []stepFlag {
	var list []stepFlag
	for _, name := range v.options.Steps {
		r, err := v.program.Find(v.block, name)
		if err != nil {
			continue
		}
		s := stepFlag{name: r.path, path: upper(r.path), at: v.block.byName[upper(pathRoot(r.path))].at}
		s.first = v.block.layout.image[r.offset] != 0 || containsName(v.options.Starts, name)
		s.end = containsName(v.options.Ends, name)
		list = append(list, s)
	}
	return list
}

// isStep is whether a variable is a step, or has steps in it.
func (v *vetter) isStep(d *Variable) bool {
	return slices.ContainsFunc(v.options.Steps, func(name string) bool { return upper(pathRoot(name)) == upper(d.Name) })
}

func containsName(list []string, name string) bool {
	return slices.ContainsFunc(list, func(n string) bool { return upper(n) == upper(name) })
}

func (v *vetter) step(steps []stepFlag, i int) {
	s := &steps[i]
	if !s.first && !v.sets(s) {
		v.src.warnf(s.at, "the step %s is never entered; set it to TRUE somewhere, or remove it", s.name)
		return
	}
	if s.end {
		return
	}
	may := v.mayLeave(steps, i)
	switch {
	case v.exhausted():
		v.src.warnf(s.at, "the steps from %s on are not looked at for ways out: there are too many statements", s.name)
	case !may:
		v.src.warnf(s.at, "the step %s has no way out and is no end; set it to FALSE while it is TRUE, or list it as an end", s.name)
	case !s.first:
		v.waiters = append(v.waiters, v.waiterOf(s, i))
	}
}

// waiterOf is a step of which is to be found out whether it waits. Its place is that of the IF which asks
// for it, and which sets a step.
func (v *vetter) waiterOf(s *stepFlag, i int) *waiter {
	w := &waiter{vetter: v, name: s.name, at: s.at, value: int64(i)}
	w.branch = &w.at
	v.askWithin(v.block.body, s.path, w)
	return w
}

// askWithin enters what a list of statements reads while a step is active.
func (v *vetter) askWithin(body []statement, step string, w *waiter) {
	for _, st := range body {
		if s, ok := st.(*ifStmt); ok {
			v.askIf(s, step, w)
			continue
		}
		for _, e := range reads(st) {
			w.asks = append(w.asks, pathsIn(e)...)
		}
		for _, inner := range bodiesOf(st) {
			v.askWithin(inner, step, w)
		}
	}
}

// askIf leaves the branches of other steps out.
func (v *vetter) askIf(s *ifStmt, step string, w *waiter) {
	for i := range s.branches {
		condition := s.branches[i].condition
		asked := v.askedBy(condition)
		if len(asked) > 0 && !slices.Contains(asked, step) {
			continue
		}
		if w.branch == &w.at && len(asked) > 0 {
			w.at, w.branch = condition.info().at, &s.branches[i].at
		}
		w.asks = append(w.asks, pathsIn(condition)...)
		v.askWithin(s.branches[i].body, step, w)
	}
	v.askWithin(s.orElse, step, w)
}

// pathsIn are the variables in an expression, in capitals; of one with an index that is not known, the array.
func pathsIn(e expr) []string {
	var list []string
	walkExpr(e, func(part expr) {
		if path, _ := pathOf("", part); path != "" {
			list = append(list, path)
		}
	})
	return list
}

// sets is whether the block may set a step to TRUE. Of a step within an instance that is not asked.
func (v *vetter) sets(s *stepFlag) bool {
	root := v.block.byName[upper(pathRoot(s.path))]
	found := root.Type.kind == Instance
	walkStatements(v.block.body, func(st statement) {
		for _, e := range writes(st) {
			if rootVariable(e) != root {
				continue
			}
			a, ok := st.(*assignStmt)
			isNo := ok && a.value.info().val != nil && a.value.info().val.integer == 0
			path, known := pathOf("", e)
			found = found || !isNo && (!known || partOf(s.path, path))
		}
	})
	return found
}

// excluding is whether two guards ask for different steps, of which one is active at a time.
func (v *vetter) excluding(a, b []branchOf) bool {
	x, y := v.asked(a), v.asked(b)
	return len(x) > 0 && len(y) > 0 && !slices.ContainsFunc(x, func(s string) bool { return slices.Contains(y, s) })
}

// asked are the steps of which one must be active where a guard lets a statement run; none if it runs
// in others too.
func (v *vetter) asked(guard []branchOf) []string {
	for _, g := range guard {
		if s, ok := g.statement.(*ifStmt); ok && g.branch < len(s.branches) {
			if steps := v.askedBy(s.branches[g.branch].condition); len(steps) > 0 {
				return steps
			}
		}
	}
	return nil
}

func (v *vetter) askedBy(e expr) []string {
	switch e := e.(type) {
	case *parenExpr:
		return v.askedBy(e.x)
	case *binaryExpr:
		x, y := v.askedBy(e.x), v.askedBy(e.y)
		switch {
		case e.op == "AND" && len(x) > 0:
			return x
		case e.op == "AND":
			return y
		case e.op == "OR" && len(x) > 0 && len(y) > 0:
			return append(x, y...)
		}
		return nil
	}
	if path, ok := pathOf("", e); ok && containsName(v.options.Steps, path) {
		return []string{path}
	}
	return nil
}

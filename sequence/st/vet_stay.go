package st

import (
	"maps"
	"slices"
	"strings"
)

// truth is what is known of a BOOL.
type truth uint8

const (
	unknown truth = iota
	no
	yes
)

func truthOf(is bool) truth {
	if is {
		return yes
	}
	return no
}

func (t truth) not() truth {
	switch t {
	case yes:
		return no
	case no:
		return yes
	}
	return unknown
}

func (t truth) and(o truth) truth {
	switch {
	case t == no || o == no:
		return no
	case t == yes && o == yes:
		return yes
	}
	return unknown
}

func (t truth) or(o truth) truth { return t.not().and(o.not()).not() }

// same is whether two are equal.
func (t truth) same(o truth) truth {
	if t == unknown || o == unknown {
		return unknown
	}
	return truthOf(t == o)
}

// knowledge is what is known of BOOLs, by their paths in capitals: STEPS[2], T1.Q. What is not in it is
// unknown. nil is that of no scan at all.
type knowledge map[string]truth

// join is what holds in both.
func join(a, b knowledge) knowledge {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	both := knowledge{}
	for path, t := range a {
		if b[path] == t {
			both[path] = t
		}
	}
	return both
}

// stayer follows scans in which a step stays active and the others are not, with any inputs. A scan
// that leaves the step is not followed further.
type stayer struct {
	*vetter
	step   string   // its path
	ahead  []string // those of the steps that count before it
	may    bool     // a scan can leave the step
	prefix string   // of the block that is followed: empty, or the path of an instance and a point
	block  *Block
	ended  knowledge // at the RETURNs of that block
}

// mayLeave is whether a scan can leave a step.
func (v *vetter) mayLeave(steps []stepFlag, i int) bool {
	s := &stayer{vetter: v, step: steps[i].path, block: v.block}
	for _, other := range steps[:i] {
		s.ahead = append(s.ahead, other.path)
	}
	return s.leaves(steps) || s.may
}

// leaves follows scans until one leaves the step, or nothing changes any more.
func (s *stayer) leaves(steps []stepFlag) bool {
	const mostScans = 10
	k := knowledge{}
	for i := range steps {
		k[steps[i].path] = truthOf(steps[i].path == s.step)
	}
	for range mostScans {
		before := maps.Clone(k)
		k = s.run(k)
		if k == nil {
			return true
		}
		if maps.Equal(before, k) {
			break
		}
	}
	return false
}

// clone copies what is known. The work with a chain is bounded, as its blocks may call one another in
// any number.
func (s *stayer) clone(k knowledge) knowledge {
	s.work += len(k)
	return maps.Clone(k)
}

// exhausted counts a statement as so many values, and says whether the chain is too large to be looked at.
func (v *vetter) exhausted() bool {
	const most = 5_000_000
	v.work += 16
	return v.work > most
}

// run follows the block once.
func (s *stayer) run(k knowledge) knowledge {
	s.ended = nil
	for _, d := range s.block.Variables {
		if d.Section == Temp && d.Type.kind == Bool {
			k[s.prefix+upper(d.Name)] = truthOf(s.block.layout.image[d.offset] != 0)
		}
	}
	return join(s.list(s.block.body, k), s.ended)
}

func (s *stayer) list(body []statement, k knowledge) knowledge {
	for _, st := range body {
		if k == nil || s.may || s.exhausted() {
			return nil
		}
		k = s.statement(st, k)
	}
	return k
}

// statement is what is known behind a statement; it may change what it is given.
func (s *stayer) statement(st statement, k knowledge) knowledge {
	switch st := st.(type) {
	case *assignStmt:
		return s.set(st.target, s.value(st.value, k), k)
	case *callStmt:
		return s.call(st, k)
	case *ifStmt:
		return s.ifStatement(st, k)
	case *caseStmt:
		out := knowledge(nil)
		for _, body := range bodiesOf(st) {
			out = join(out, s.list(body, s.clone(k)))
		}
		return out
	case *jumpStmt:
		if st.word == "RETURN" {
			s.ended = join(s.ended, k)
			return nil
		}
	}
	return s.loop(st, k)
}

func (s *stayer) ifStatement(st *ifStmt, k knowledge) knowledge {
	out := knowledge(nil)
	for i := range st.branches {
		b := &st.branches[i]
		switch s.value(b.condition, k) {
		case yes:
			return join(out, s.list(b.body, k))
		case unknown:
			out = join(out, s.list(b.body, s.clone(k)))
		}
	}
	return join(out, s.list(st.orElse, k))
}

// loop takes any number of turns; of what it writes nothing is known before a turn.
func (s *stayer) loop(st statement, k knowledge) knowledge {
	for _, body := range bodiesOf(st) {
		walkStatements(body, func(inner statement) {
			for _, e := range writes(inner) {
				if path, _ := pathOf(s.prefix, e); path != s.step {
					k.forget(path)
				}
			}
		})
		k = join(k, s.list(body, s.clone(k)))
	}
	return k
}

// set writes a value. An element whose index is not known may be that of the step.
func (s *stayer) set(target expr, t truth, k knowledge) knowledge {
	path, known := pathOf(s.prefix, target)
	if !known || !target.info().typ.kind.elementary() {
		return s.setPart(path, t, k)
	}
	return s.setPath(path, t, k)
}

func (s *stayer) setPath(path string, t truth, k knowledge) knowledge {
	stays := yes
	switch {
	case slices.Contains(s.ahead, path):
		stays = no
	case path != s.step && t == unknown:
		delete(k, path)
		return k
	case path != s.step:
		k[path] = t
		return k
	}
	s.may = s.may || t != stays
	if t == stays.not() {
		return nil
	}
	return k
}

// setPart writes something of a variable, or all of it.
func (s *stayer) setPart(path string, t truth, k knowledge) knowledge {
	k.forget(path)
	if !partOf(s.step, path) {
		return k
	}
	k[s.step] = yes
	return s.setPath(s.step, t, k)
}

// forget removes what is known of a variable and of its parts.
func (k knowledge) forget(path string) {
	maps.DeleteFunc(k, func(p string, _ truth) bool { return partOf(p, path) })
}

// pathRoot is the variable that a path begins with.
func pathRoot(path string) string {
	if i := strings.IndexAny(path, ".["); i >= 0 {
		return path[:i]
	}
	return path
}

// pathOf is the path of a variable in capitals; that of the array, and not known, for an element whose
// index is found in the run.
func pathOf(prefix string, e expr) (path string, known bool) {
	switch e := e.(type) {
	case *nameExpr:
		if e.variable == nil || e.variable.Section == InOut {
			return "", false
		}
		return prefix + upper(e.name), true
	case *fieldExpr:
		path, known = pathOf(prefix, e.of)
		if known {
			path += "." + upper(e.name)
		}
		return path, known
	case *indexExpr:
		path, known = pathOf(prefix, e.of)
		var texts []string
		for _, x := range e.indexes {
			v := x.info().val
			if v == nil {
				return path, false
			}
			texts = append(texts, orderedText(Lint, v.integer))
		}
		if known {
			path += "[" + strings.Join(texts, ", ") + "]"
		}
		return path, known
	}
	return "", false
}

package st

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// write is a place where a variable is written.
type write struct {
	at      span
	path    string // of the part of the variable that is written, in capitals
	guard   []branchOf
	returns bool // the block ends behind it
}

// branchOf is a branch of a statement; two of the same statement exclude each other.
type branchOf struct {
	statement statement
	branch    int
}

// doubleWrites warns of outputs that one scan can write twice, where the earlier value never
// comes out. A value that is set first and overwritten in some branches is a default and allowed.
func (v *vetter) doubleWrites() {
	all := map[*Variable][]write{}
	v.collectWrites(v.block.body, nil, all)
	for _, d := range v.block.Variables {
		if d.Section == Output && !v.isStep(d) {
			v.doubleWrite(d, all[d])
		}
	}
}

// rewrite is a write with those ahead of it that the same scan can do.
type rewrite struct {
	write   *write
	earlier []int // lines
}

// doubleWrite warns of the pairs of writes that can happen in one scan. What a state writes, and a condition
// behind the states changes, is commonly meant so, as in a stop at the end of a program: a note says it.
func (v *vetter) doubleWrite(d *Variable, list []write) {
	var all []rewrite
	override := true
	for i := range list {
		r := rewrite{write: &list[i]}
		for j := range i {
			if clash(list[j], list[i]) && !v.excluding(list[j].guard, list[i].guard) {
				r.earlier = append(r.earlier, lineOf(v.src, list[j].at.from))
				override = override && v.overrides(list[:j+1], &list[i])
			}
		}
		if len(r.earlier) > 0 {
			all = v.joined(all, r)
		}
	}
	if len(all) == 0 {
		return
	}
	at := all[0].write.at
	if override {
		v.src.notef(at, "the output %s is %s", d.Name, v.overrideText(all))
		return
	}
	v.src.warnf(at, "the output %s is written %s, which can happen in one scan; only the last value comes out", d.Name, v.pairsText(all))
}

// joined adds a rewrite; two in one line are one.
func (v *vetter) joined(all []rewrite, r rewrite) []rewrite {
	line := lineOf(v.src, r.write.at.from)
	for i := range all {
		if lineOf(v.src, all[i].write.at.from) == line {
			all[i].earlier = append(all[i].earlier, r.earlier...)
			return all
		}
	}
	return append(all, r)
}

// overrides is whether a write is a condition of its own behind what states write.
func (v *vetter) overrides(earlier []write, w *write) bool {
	return len(w.guard) > 0 && !v.inState(w.guard) && slices.ContainsFunc(earlier, func(e write) bool { return v.inState(e.guard) })
}

// inState is whether a guard selects a state: a branch of a CASE, or an IF that asks for a step.
func (v *vetter) inState(guard []branchOf) bool {
	return len(v.asked(guard)) > 0 || slices.ContainsFunc(guard, func(g branchOf) bool {
		_, ok := g.statement.(*caseStmt)
		return ok
	})
}

func (v *vetter) overrideText(all []rewrite) string {
	var later, earlier []int
	for _, r := range all {
		later = append(later, lineOf(v.src, r.write.at.from))
	}
	for _, r := range all {
		for _, n := range r.earlier {
			if !slices.Contains(later, n) {
				earlier = append(earlier, n)
			}
		}
	}
	return fmt.Sprintf("written in %s and may be overridden in %s of the same scan", lines(earlier), lines(later))
}

func (v *vetter) pairsText(all []rewrite) string {
	parts := make([]string, len(all))
	for i, r := range all {
		line := lineOf(v.src, r.write.at.from)
		earlier := lines(r.earlier)
		parts[i] = fmt.Sprintf("in %s and again in line %d", earlier, line)
		if earlier == fmt.Sprintf("line %d", line) {
			parts[i] = fmt.Sprintf("twice in line %d", line)
		}
	}
	return strings.Join(parts, ", ")
}

// lines names lines, each once, in their order.
func lines(all []int) string {
	slices.Sort(all)
	all = slices.Compact(all)
	texts := make([]string, len(all))
	for i, n := range all {
		texts[i] = strconv.Itoa(n)
	}
	last := len(texts) - 1
	if last <= 0 {
		return "line " + strings.Join(texts, "")
	}
	return "line " + strings.Join(texts[:last], ", ") + " or " + texts[last]
}

// clash is whether one scan can do both writes, the second of the same value or a part of it, and
// the first is not a default for it.
func clash(a, b write) bool {
	if a.returns || !partOf(a.path, b.path) && !partOf(b.path, a.path) {
		return false
	}
	for i := range min(len(a.guard), len(b.guard)) {
		if a.guard[i].statement != b.guard[i].statement {
			return true
		}
		if a.guard[i].branch != b.guard[i].branch {
			return false
		}
	}
	return len(a.guard) >= len(b.guard)
}

// partOf is whether a path is another one or a part of it.
func partOf(path, whole string) bool {
	rest, ok := strings.CutPrefix(path, whole)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

func (v *vetter) collectWrites(body []statement, guard []branchOf, all map[*Variable][]write) {
	returns := false
	if n := len(body); n > 0 {
		j, ok := body[n-1].(*jumpStmt)
		returns = ok && j.word == "RETURN"
	}
	for _, s := range body {
		for _, e := range writes(s) {
			if d := rootVariable(e); d != nil {
				all[d] = append(all[d], write{e.info().at, upper(v.src.piece(e.info().at)), guard, returns})
			}
		}
		for i, inner := range bodiesOf(s) {
			v.collectWrites(inner, append(slices.Clone(guard), branchOf{s, i}), all)
		}
	}
}

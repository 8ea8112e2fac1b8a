package st

import (
	"cmp"
	"slices"
	"strings"
)

func (c *checker) caseStatement(s *caseStmt) {
	t := c.value(s.selector)
	if t.kind == kindAnyInt {
		c.settleDefault(s.selector)
		t = s.selector.info().typ
	}
	if t.kind != kindBad && !t.kind.integer() && t.kind != Enum && !t.kind.bits() {
		c.src.errorf(s.selector.info().at, "CASE selects by an integer or an enumeration, the value is %s%s", t, caseHint(t))
		t = c.elementary[kindBad]
	}
	var all []*caseLabel
	wrong := false
	for i := range s.branches {
		for j := range s.branches[i].labels {
			l := &s.branches[i].labels[j]
			if c.label(l, t) {
				all = append(all, l)
			} else {
				wrong = true
			}
		}
		c.statements(s.branches[i].body)
	}
	c.statements(s.orElse)
	c.overlaps(all, t)
	if t.kind == Enum && !s.hasElse && !wrong {
		c.missingLabels(s, t, all)
	}
}

func caseHint(t *Type) string {
	if t.kind == Bool {
		return "; write IF"
	}
	return ""
}

// label finds the values of one.
func (c *checker) label(l *caseLabel, t *Type) bool {
	if t.kind == kindBad {
		return false
	}
	if n, ok := l.low.(*nameExpr); ok && t.kind == Enum && n.typed == "" && (c.variable(upper(n.name)) == nil || t.named(n.name)) {
		n.typed = t.name // an unqualified label is a value of the selector's type
		if t.name == "" || c.types[upper(t.name)] == nil {
			n.typed = ""
		}
	}
	plain := &Type{kind: t.kind, name: t.name, values: t.values, origin: t.root()}
	low, ok := c.constantOf(l.low, plain, "the label")
	if !ok {
		return false
	}
	l.from = ordered(t.kind, low.integer)
	l.to = l.from
	if l.high == nil {
		return true
	}
	if t.kind == Enum {
		c.src.errorf(l.at, "values of an enumeration have no order; list the labels with commas")
		return false
	}
	high, ok := c.constantOf(l.high, plain, "the label")
	if !ok {
		return false
	}
	l.to = ordered(t.kind, high.integer)
	if l.to < l.from {
		c.src.errorf(l.at, "the range has no values; the lower label comes first")
		return false
	}
	return true
}

// named is whether an enumeration has a value of a name.
func (t *Type) named(name string) bool {
	return slices.ContainsFunc(t.values, func(v EnumValue) bool { return strings.EqualFold(v.Name, name) })
}

// overlaps reports labels that stand for the same value.
func (c *checker) overlaps(all []*caseLabel, t *Type) {
	slices.SortStableFunc(all, func(a, b *caseLabel) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.at.from, b.at.from))
	})
	for i := 1; i < len(all); i++ {
		a, b := all[i-1], all[i]
		if b.from <= a.to {
			first, second := a, b
			if b.at.from < a.at.from {
				first, second = b, a
			}
			line, _ := c.src.place(first.at.from)
			c.src.errorf(second.at, "the label %s of %s is in the branch of line %d already", c.src.piece(second.at), t, line)
		}
		if a.to > b.to {
			all[i] = a
		}
	}
}

// missingLabels warns of values for which nothing is done.
func (c *checker) missingLabels(s *caseStmt, t *Type, all []*caseLabel) {
	var names []string
	for _, v := range t.values {
		if !slices.ContainsFunc(all, func(l *caseLabel) bool { return l.from == v.Value }) {
			names = append(names, v.Name)
		}
	}
	if len(names) > 0 {
		c.src.warnf(s.selector.info().at, "the CASE has no branch for %s and no ELSE; in these nothing is done", strings.Join(names, ", "))
	}
}

package st

import "slices"

// term is a test of a variable: its slot equals a value, or differs from it.
type term struct {
	slot    int
	value   uint64
	differs bool
}

func (t term) holds(m *run) bool { return (m.f[t.slot] == t.value) != t.differs }

// conjunction is true if all its terms and all the rest are; negated, if one is not. Most of
// what a program asks is of this form, and testing the variables first, in one go, is fast. It is
// made of pure code alone, so that the order cannot be noticed.
type conjunction struct {
	terms   []term
	rest    []func(*run) bool
	negated bool
}

// conjunctionOf is the form of pure code.
func conjunctionOf(c code) conjunction {
	switch {
	case c.all != nil:
		return *c.all
	case c.slot >= 0:
		return conjunction{terms: []term{{c.slot, 1, false}}}
	}
	return conjunction{rest: []func(*run) bool{c.b}}
}

// not is the negation. That of a single term is a single term again, which can be joined with others.
func (a conjunction) not() conjunction {
	if len(a.terms) == 1 && len(a.rest) == 0 {
		t := a.terms[0]
		t.differs = t.differs != !a.negated
		return conjunction{terms: []term{t}}
	}
	a.negated = !a.negated
	return a
}

// and joins two.
func (a conjunction) and(b conjunction) conjunction {
	a, b = a.positive(), b.positive()
	return conjunction{terms: append(slices.Clone(a.terms), b.terms...), rest: append(slices.Clone(a.rest), b.rest...)}
}

// positive is the same without a negation.
func (a conjunction) positive() conjunction {
	if !a.negated {
		return a
	}
	return conjunction{rest: []func(*run) bool{a.function()}}
}

// code is the conjunction as code.
func (a conjunction) code() code {
	c := boolCode(a.function()).purely()
	c.all = &a
	return c
}

// function is written out for the shortest forms.
func (a conjunction) function() func(*run) bool {
	terms, rest, negated := a.terms, a.rest, a.negated
	switch {
	case len(terms) == 1 && len(rest) == 0:
		t := terms[0]
		t.differs = t.differs != negated
		return t.holds
	case len(terms) == 2 && len(rest) == 0:
		t, u := terms[0], terms[1]
		return func(m *run) bool { return (t.holds(m) && u.holds(m)) != negated }
	case len(terms) == 3 && len(rest) == 0:
		t, u, v := terms[0], terms[1], terms[2]
		return func(m *run) bool { return (t.holds(m) && u.holds(m) && v.holds(m)) != negated }
	case len(terms) == 1 && len(rest) == 1:
		t, f := terms[0], rest[0]
		return func(m *run) bool { return (t.holds(m) && f(m)) != negated }
	case len(terms) == 0 && len(rest) == 1 && !negated:
		return rest[0]
	case len(terms) == 0 && len(rest) == 1:
		f := rest[0]
		return func(m *run) bool { return !f(m) }
	}
	return func(m *run) bool {
		for i := range terms {
			if !terms[i].holds(m) {
				return negated
			}
		}
		for _, f := range rest {
			if !f(m) {
				return negated
			}
		}
		return !negated
	}
}

func notCode(x code) code {
	if x.pure {
		return conjunctionOf(x).not().code()
	}
	get := x.b
	return boolCode(func(r *run) bool { return !get(r) })
}

// logicCode evaluates both sides, as many controllers do, so that a fault on the right shows
// whatever the left is. What is pure is left out where it does not matter.
func logicCode(op string, x, y code) code {
	l, r := x.b, y.b
	switch {
	case op == "XOR":
		return boolCode(func(m *run) bool { return l(m) != r(m) }).purely(x, y)
	case x.pure && y.pure && op == "AND":
		return conjunctionOf(x).and(conjunctionOf(y)).code()
	case x.pure && y.pure: // NOT (NOT x AND NOT y)
		return conjunctionOf(x).not().and(conjunctionOf(y).not()).not().code()
	case op == "AND":
		return boolCode(func(m *run) bool {
			a, b := l(m), r(m)
			return a && b
		})
	}
	return boolCode(func(m *run) bool {
		a, b := l(m), r(m)
		return a || b
	})
}

func bitLogic(op string, x, y code) code {
	l, r := x.i, y.i
	switch op {
	case "AND":
		return integerCode(func(m *run) int64 { return l(m) & r(m) })
	case "OR":
		return integerCode(func(m *run) int64 { return l(m) | r(m) })
	}
	return integerCode(func(m *run) int64 { return l(m) ^ r(m) })
}

package st

import (
	"cmp"
	"slices"
)

func (k *compiler) whileStatement(s *whileStmt) action {
	condition, body, at := k.expr(s.condition).b, k.sequence(s.body, s.at), s.at.from
	return func(r *run) flow {
		for condition(r) {
			r.step(1, at)
			if f := body(r); f == exitLoop {
				break
			} else if f == returnBlock {
				return f
			}
		}
		return onward
	}
}

func (k *compiler) repeatStatement(s *repeatStmt) action {
	until, body, at := k.expr(s.until).b, k.sequence(s.body, s.at), s.at.from
	return func(r *run) flow {
		for {
			r.step(1, at)
			if f := body(r); f == exitLoop {
				return onward
			} else if f == returnBlock {
				return f
			}
			if until(r) {
				return onward
			}
		}
	}
}

// forStatement evaluates its limits once. It ends before the variable would leave its type.
func (k *compiler) forStatement(s *forStmt) action {
	t := s.variable.info().typ
	put := k.putInteger(k.place(s.variable), t, s.at.from)
	from, to := k.expr(s.from).i, k.expr(s.to).i
	by := func(*run) int64 { return 1 }
	if s.by != nil {
		by = k.expr(s.by).i
	}
	body, kind, at := k.sequence(s.body, s.at), t.kind, s.at.from
	return func(r *run) flow {
		i, last, step := from(r), ordered(kind, to(r)), by(r)
		if step == 0 {
			r.fail(at, "a step of 0 never ends")
		}
		for put(r, i); !past(ordered(kind, i), last, step, kind); put(r, i) {
			r.step(1, at)
			if f := body(r); f == exitLoop {
				break
			} else if f == returnBlock {
				return f
			}
			if overflows(i, step, kind) || past(ordered(kind, i+step), last, step, kind) {
				break
			}
			i += step
		}
		return onward
	}
}

// putInteger writes a counter.
func (k *compiler) putInteger(p place, t *Type, at int32) func(*run, int64) {
	o, where := p.offset, p.at
	return func(r *run, v int64) {
		if t.limited {
			r.within(v, t, at)
		}
		if where == nil {
			r.f[o] = uint64(v)
			return
		}
		r.mem[where(r)+o] = uint64(v)
	}
}

// past is whether a counter has gone beyond its last value.
func past(i, last, step int64, k Kind) bool {
	if step > 0 || k.unsigned() {
		return i > last
	}
	return i < last
}

// overflows is whether the next value of a counter leaves its kind.
func overflows(i, step int64, k Kind) bool {
	next := i + step
	if k.width() < 64 {
		return wrapper(k)(next) != next
	}
	o, n := ordered(k, i), ordered(k, next)
	if step > 0 || k.unsigned() {
		return n < o
	}
	return n > o
}

// caseStatement finds the branch in a table where the labels lie close together, and by halving
// the list of ranges where they do not.
func (k *compiler) caseStatement(s *caseStmt) action {
	selector := k.expr(s.selector)
	kind := s.selector.info().final().kind
	bodies := make([]action, 0, len(s.branches)+1)
	var ranges []labelRange
	for i := range s.branches {
		b := &s.branches[i]
		bodies = append(bodies, k.sequence(b.body, b.at))
		for _, l := range b.labels {
			ranges = append(ranges, labelRange{l.from, l.to, i})
		}
	}
	bodies = append(bodies, k.sequence(s.orElse, s.elseAt))
	slices.SortFunc(ranges, func(a, b labelRange) int { return cmp.Compare(a.from, b.from) })
	if kind == Ulint || kind == Lword {
		plain := selector.i
		selector = integerCode(func(r *run) int64 { return ordered(kind, plain(r)) })
	}
	return choosing(selector, ranges, bodies)
}

// labelRange says which branch the values from one to another belong to.
type labelRange struct {
	from, to int64
	branch   int
}

// choosing runs the action of the branch that a value belongs to, and the last one for a value
// without a branch.
func choosing(selector code, ranges []labelRange, actions []action) action {
	const widest = 1024
	get, otherwise := selector.i, actions[len(actions)-1]
	if len(ranges) == 0 {
		return func(r *run) flow { get(r); return otherwise(r) }
	}
	low, high := ranges[0].from, ranges[len(ranges)-1].to
	if spread := uint64(high - low); spread < widest {
		return fromTable(selector, low, labelTable(ranges, actions), otherwise)
	}
	return func(r *run) flow {
		v := get(r)
		i, found := slices.BinarySearchFunc(ranges, v, func(l labelRange, v int64) int { return cmp.Compare(l.from, v) })
		if !found {
			i--
		}
		if i >= 0 && v <= ranges[i].to {
			return actions[ranges[i].branch](r)
		}
		return otherwise(r)
	}
}

// labelTable has the action of each value from the lowest label to the highest.
func labelTable(ranges []labelRange, actions []action) []action {
	low, high := ranges[0].from, ranges[len(ranges)-1].to
	table := make([]action, high-low+1)
	for i := range table {
		table[i] = actions[len(actions)-1]
	}
	for _, r := range ranges {
		for v := r.from; v <= r.to; v++ {
			table[v-low] = actions[r.branch]
		}
	}
	return table
}

func fromTable(selector code, low int64, table []action, otherwise action) action {
	if o := selector.slot; o >= 0 {
		return func(r *run) flow {
			if i := uint64(int64(r.f[o]) - low); i < uint64(len(table)) {
				return table[i](r)
			}
			return otherwise(r)
		}
	}
	get := selector.i
	return func(r *run) flow {
		if i := uint64(get(r) - low); i < uint64(len(table)) {
			return table[i](r)
		}
		return otherwise(r)
	}
}

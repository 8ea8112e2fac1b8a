package st

import "slices"

// freeInput is an input that may have any of some values, or any number.
type freeInput struct {
	ref      Ref
	values   []uint64
	mates    []Ref // numbers that it is compared with
	literals []float64
}

// steer sets the inputs for which a condition asks that the program passes in a state, and lets it run
// once. After some tries it takes as met what the condition asks of timers and numbers.
func (e *explorer) steer(p *statePlace, start *moment) {
	s := e.steering
	way := e.way(p, start)
	if way < 0 {
		return
	}
	p.ways[way]++
	for _, set := range s.sets[way] {
		if i := slices.IndexFunc(e.freeInputs, func(l freeInput) bool { return upper(l.ref.path) == set.path }); i >= 0 {
			e.held[i] = bit(set.value)
		}
	}
	if s.force, s.forced = -1, false; e.tries > freeTries {
		s.force = way
	}
	ok := e.scan(VetScan)
	s.force = -1
	e.forced = e.forced || s.forced
	if ok {
		e.notice(p)
	}
}

// way is the condition that was steered to least of those that the next scan passes; -1 without one.
func (e *explorer) way(p *statePlace, start *moment) int {
	s, held := e.steering, slices.Clone(e.held)
	clear(s.passed)
	e.scan(VetScan)
	e.restore(start)
	copy(e.held, held)
	if p.ways == nil {
		p.ways = make([]int, s.ways)
	}
	way := -1
	for w, is := range s.passed {
		if is && (way < 0 || p.ways[w] < p.ways[way]) {
			way = w
		}
	}
	return way
}

// begin starts a run with drawn inputs.
func (e *explorer) begin() {
	e.restore(&e.begins[e.draw.IntN(len(e.begins))])
	if len(e.settings) > 0 && e.draw.IntN(4) == 0 {
		e.setting = e.draw.IntN(len(e.settings))
		e.set(e.settings[e.setting])
	}
	share := []float64{0.2, 0.5, 0.8}[e.draw.IntN(3)]
	for i := range e.freeInputs {
		e.pull(i, share)
	}
	for range 3 {
		if !e.scan(VetScan) {
			return
		}
		e.notice(nil)
	}
}

// set changes a setting: a BOOL to the other value, an integer by a little.
func (e *explorer) set(r Ref) {
	slot := &e.machine.run.mem[r.offset]
	if r.kind == Bool {
		*slot ^= 1
		return
	}
	_ = e.machine.SetInt(r, int64(*slot)+int64(e.draw.IntN(4))) // one that it refuses stays
}

// change draws new values for a few inputs, now and then for all.
func (e *explorer) change() {
	if len(e.freeInputs) == 0 {
		return
	}
	if e.draw.IntN(16) == 0 {
		for i := range e.freeInputs {
			e.pull(i, 0.5)
		}
		return
	}
	for more := true; more; more = e.draw.IntN(3) > 0 {
		i := e.draw.IntN(len(e.freeInputs))
		if e.freeInputs[i].ref.kind == Bool {
			e.held[i] ^= 1
		} else {
			e.pull(i, 0.5)
		}
	}
}

// pull draws a value; a BOOL is TRUE in a share of the draws.
func (e *explorer) pull(i int, share float64) {
	l := &e.freeInputs[i]
	switch {
	case l.ref.kind == Bool:
		e.held[i] = bit(e.draw.Float64() < share)
	case len(l.values) > 0:
		e.held[i] = l.values[e.draw.IntN(len(l.values))]
	default:
		slot := &e.machine.run.mem[l.ref.offset]
		was := *slot
		if e.machine.SetNumber(l.ref, e.number(l)) == nil {
			e.held[i] = *slot
		}
		*slot = was
	}
}

// number is one that may decide a comparison: that of another variable, a literal, or a sum of two.
func (e *explorer) number(l *freeInput) float64 {
	x := e.mate(l)
	switch e.draw.IntN(6) {
	case 0:
		return -x
	case 1:
		return x + e.near(l)
	case 2:
		return x - e.near(l)
	case 3:
		return x + []float64{-1, 1, 0.1, -0.1}[e.draw.IntN(4)]
	}
	return x
}

// near is a bound, or a number just above or below it, as for a difference that is compared with it.
func (e *explorer) near(l *freeInput) float64 {
	return e.mate(l) * []float64{1, 1, 1, 0.5, 0.99, 1.01}[e.draw.IntN(6)]
}

func (e *explorer) mate(l *freeInput) float64 {
	k := e.draw.IntN(len(l.mates) + len(l.literals) + 2)
	switch {
	case k < len(l.mates):
		return e.machine.Number(l.mates[k])
	case k < len(l.mates)+len(l.literals):
		return l.literals[k-len(l.mates)]
	case len(e.numbers) > 0:
		return e.machine.Number(e.numbers[e.draw.IntN(len(e.numbers))])
	}
	return 0
}

// freeInputs are the inputs of a block that may have any value. A TIME that the binding does not name is a
// setting.
func (p *Program) freeInputs(b *Block, o VetOptions, t *inventory) []freeInput {
	given := o.Inputs
	if given == nil {
		for _, r := range t.inputs {
			if r.kind != Time {
				given = append(given, VetInput{Path: r.path})
			}
		}
	}
	var list []freeInput
	for _, in := range given {
		if r, err := p.Find(b, in.Path); err == nil && r.kind != String && r.kind <= Enum {
			list = append(list, p.freeInput(b, r, in.Values))
		}
	}
	return list
}

func (p *Program) freeInput(b *Block, r Ref, values []int64) freeInput {
	l := freeInput{ref: r}
	for _, v := range values {
		l.values = append(l.values, uint64(v))
	}
	switch {
	case len(values) > 0 || r.kind == Bool:
	case r.kind == Enum:
		for _, v := range r.typ.values {
			l.values = append(l.values, uint64(v.Value))
		}
	default:
		p.compared(b, &l)
	}
	return l
}

// compared finds the numbers that stand in an expression with an input.
func (p *Program) compared(b *Block, l *freeInput) {
	root := b.byName[upper(pathRoot(l.ref.path))]
	seen := map[string]bool{}
	walkStatements(b.body, func(s statement) {
		for _, e := range reads(s) {
			if names(e, root) {
				walkExpr(e, func(part expr) { p.mate(b, l, part, seen) })
			}
		}
	})
}

func names(e expr, v *Variable) bool {
	found := false
	walkExpr(e, func(part expr) {
		n, ok := part.(*nameExpr)
		found = found || ok && n.variable == v
	})
	return found
}

// mate enters a number that an input may be compared with.
func (p *Program) mate(b *Block, l *freeInput, part expr, seen map[string]bool) {
	if c, ok := part.(*literal); ok && c.typ != nil && c.typ.kind.number() {
		l.literals = append(l.literals, max(c.value.real, float64(c.value.integer)))
	}
	path, known := pathOf("", part)
	if !known || seen[path] {
		return
	}
	seen[path] = true
	if r, err := p.Find(b, path); err == nil && (r.kind.number() || r.kind == Time) {
		l.mates = append(l.mates, r)
	}
}

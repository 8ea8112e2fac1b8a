package st

import "fmt"

// place is where a variable is: so many slots behind the frame or, with at, behind an address
// that is found in the run.
type place struct {
	offset int
	at     func(*run) int
	back   int // in the frame on top of the stack: so many slots before its end; 0 elsewhere
}

// place finds that of a variable.
func (k *compiler) place(e expr) place {
	switch e := e.(type) {
	case *nameExpr:
		if e.variable.Section == InOut {
			slot := e.variable.offset
			return place{at: func(r *run) int { return int(r.f[slot]) }}
		}
		return place{offset: e.variable.offset}
	case *fieldExpr:
		p := k.place(e.of)
		k.checker.slots(e.of.info().typ) // lays out the members
		p.offset += e.field.offset
		return p
	case *indexExpr:
		return k.element(e)
	case *parenExpr:
		return k.place(e.x)
	case *callExpr:
		return k.resultPlace(e)
	}
	panic(fmt.Sprintf("st: %T has no place", e))
}

// element is the place of an element of an array.
func (k *compiler) element(e *indexExpr) place {
	p := k.place(e.of)
	t := e.of.info().typ
	size := k.checker.slots(t.elem)
	for i := len(e.indexes) - 1; i >= 0; i-- {
		p = k.dimension(p, e.indexes[i], t.dims[i], size)
		size *= int(t.dims[i].High - t.dims[i].Low + 1)
	}
	return p
}

// dimension adds the offset of one index.
func (k *compiler) dimension(p place, index expr, d Bounds, size int) place {
	c := k.expr(index)
	if c.known != nil && c.known.integer >= d.Low && c.known.integer <= d.High {
		p.offset += int(c.known.integer-d.Low) * size
		return p
	}
	at := index.info().at.from
	get, low := c.i, d.Low
	span := uint64(d.High - d.Low)
	position := func(r *run) int {
		i := uint64(get(r) - low)
		if i > span {
			r.fail(at, fmt.Sprintf("the index is %d, which is outside %d..%d", int64(i)+low, d.Low, d.High))
		}
		return int(i) * size
	}
	if p.at == nil {
		return place{offset: p.offset, at: func(r *run) int { return r.base + position(r) }}
	}
	before := p.at
	return place{offset: p.offset, at: func(r *run) int { return before(r) + position(r) }}
}

// address is the slot of a place in the whole memory.
func (p place) address() func(*run) int {
	offset := p.offset
	if p.at == nil {
		return func(r *run) int { return r.base + offset }
	}
	if at := p.at; offset > 0 {
		return func(r *run) int { return at(r) + offset }
	}
	return p.at
}

// load reads a variable of an elementary type.
func (k *compiler) load(p place, t *Type) code {
	o, at := p.offset, p.at
	c := code{slot: -1, pure: at == nil}
	switch {
	case t.kind == String:
		return k.loadString(p, t)
	case at == nil:
		c.slot = o
		switch {
		case t.kind == Bool:
			c.b = func(r *run) bool { return r.f[o] != 0 }
		case t.kind.real():
			c.f = func(r *run) float64 { return realOf(r.f[o]) }
		default:
			c.i = func(r *run) int64 { return int64(r.f[o]) }
		}
	case t.kind == Bool:
		c.b = func(r *run) bool { return r.mem[at(r)+o] != 0 }
	case t.kind.real():
		c.f = func(r *run) float64 { return realOf(r.mem[at(r)+o]) }
	default:
		c.i = func(r *run) int64 { return int64(r.mem[at(r)+o]) }
	}
	return c
}

func (k *compiler) loadString(p place, t *Type) code {
	address := p.address()
	from, to := k.scratch(t.length)
	c := textCode(func(r *run) []byte { return loadText(r.mem[address(r):], r.text[from:to:to]) })
	c.textAt, c.textMax = address, t.length
	return c
}

// store writes a value of an elementary type to a variable. A value outside a subrange fails.
func (k *compiler) store(p place, t *Type, c code, at span) action {
	o, where := p.offset, p.at
	switch {
	case t.kind == String:
		return storeString(p.address(), t.length, c)
	case t.limited:
		c = withinSubrange(c, t, at.from)
	}
	if where == nil {
		return storeFrame(o, c)
	}
	// The value comes first, as its place may depend on what it changes.
	get := c.stored()
	return func(r *run) flow { v := get(r); r.mem[where(r)+o] = v; return onward }
}

// stored is code that is no string as it is stored.
func (c code) stored() func(*run) uint64 {
	switch {
	case c.slot >= 0:
		from := c.slot
		return func(r *run) uint64 { return r.f[from] }
	case c.b != nil:
		get := c.b
		return func(r *run) uint64 { return bit(get(r)) }
	case c.f != nil:
		get := c.f
		return func(r *run) uint64 { return slotOf(get(r)) }
	}
	get := c.i
	return func(r *run) uint64 { return uint64(get(r)) }
}

// storeFrame is written out, as most statements are such stores.
func storeFrame(o int, c code) action {
	switch {
	case c.known != nil:
		v := c.knownSlot()
		return func(r *run) flow { r.f[o] = v; return onward }
	case c.slot >= 0:
		from := c.slot
		return func(r *run) flow { r.f[o] = r.f[from]; return onward }
	case c.b != nil:
		get := c.b
		return func(r *run) flow { v := bit(get(r)); r.f[o] = v; return onward }
	case c.f != nil:
		get := c.f
		return func(r *run) flow { v := slotOf(get(r)); r.f[o] = v; return onward }
	}
	get := c.i
	return func(r *run) flow { v := uint64(get(r)); r.f[o] = v; return onward }
}

// knownSlot is a known value that is no string, as it is stored.
func (c code) knownSlot() uint64 {
	if c.f != nil {
		return slotOf(c.known.real)
	}
	return uint64(c.known.integer)
}

func storeString(address func(*run) int, length int, c code) action {
	switch {
	case c.known != nil:
		packed := make([]uint64, 1+(length+7)/8)
		storeText(packed, length, []byte(c.known.text))
		packed = packed[:1+(packed[0]+7)/8]
		return func(r *run) flow { copy(r.mem[address(r):], packed); return onward }
	case c.textAt != nil && c.textMax <= length: // from variable to variable
		from := c.textAt
		return func(r *run) flow {
			source := from(r)
			target := address(r)
			copy(r.mem[target:], r.mem[source:source+1+int(r.mem[source]+7)/8])
			return onward
		}
	}
	get := c.s
	return func(r *run) flow {
		text := get(r)
		storeText(r.mem[address(r):], length, text)
		return onward
	}
}

func withinSubrange(c code, t *Type, at int32) code {
	get := c.i
	return integerCode(func(r *run) int64 { return r.within(get(r), t, at) })
}

// within fails if a value is outside a subrange.
func (r *run) within(v int64, t *Type, at int32) int64 {
	if o := ordered(t.kind, v); o < t.low || o > t.high {
		r.fail(at, fmt.Sprintf("the value is %s, which is outside %s", orderedText(t.kind, o), t))
	}
	return v
}

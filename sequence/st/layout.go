package st

import "encoding/binary"

// layout is the memory of a block: where its variables are and what they hold at the start.
type layout struct {
	slots int
	image []uint64
	kept  []stretch // RETAIN
	temps []stretch // VAR_TEMP, set to their initial values in every call
}

// maxTotal bounds the memory of all blocks of a file together.
const maxTotal = 4 * MaxSlots

// stretch is a part of the memory: slots from one up to, not including, another.
type stretch struct{ from, to int }

// layOut gives the variables of a block their places. It is done once, after the checks.
func (c *checker) layOut(b *Block) *layout {
	if b.layout != nil {
		return b.layout
	}
	l := &layout{}
	b.layout = l
	all := b.Variables
	if b.result != nil {
		all = append([]*Variable{b.result}, all...)
	}
	for _, v := range all {
		v.offset = l.slots
		l.slots += c.slotsOf(v)
		if l.slots > MaxSlots || c.total+l.slots > maxTotal {
			c.src.errorf(v.at, "%s with %s is too large: a program holds at most %d elementary values", b.Name, v.Name, MaxSlots)
			l.slots = 0
			return l
		}
	}
	l.slots += b.native.hiddenSlots()
	c.total += l.slots
	l.image = make([]uint64, l.slots)
	for _, v := range all {
		if v.Section != InOut {
			c.fill(l.image[v.offset:], v.Type, v.init)
			c.mark(l, v)
		}
	}
	if b.native != nil && b.native.start != nil {
		b.native.start(l.image)
	}
	return l
}

// slotsOf is the number of slots of a variable; VAR_IN_OUT is an address.
func (c *checker) slotsOf(v *Variable) int {
	if v.Section == InOut {
		return 1
	}
	return c.slots(v.Type)
}

// mark enters the parts of a variable that are kept over a loss of power, or begin anew in each
// call.
func (c *checker) mark(l *layout, v *Variable) {
	whole := stretch{v.offset, v.offset + c.slotsOf(v)}
	switch {
	case v.Section == Temp && len(l.temps) > 0 && l.temps[len(l.temps)-1].to == whole.from:
		l.temps[len(l.temps)-1].to = whole.to
	case v.Section == Temp:
		l.temps = append(l.temps, whole)
	case v.Retain:
		l.kept = append(l.kept, whole)
	default:
		c.keptWithin(v.Type, v.offset, func(s stretch) { l.kept = append(l.kept, s) })
	}
}

// keptWithin finds the RETAIN variables of the instances in a variable.
func (c *checker) keptWithin(t *Type, at int, add func(stretch)) {
	if !holdsInstance(t) {
		return
	}
	switch t.kind {
	case Instance:
		for _, s := range c.layOut(t.block).kept {
			add(stretch{at + s.from, at + s.to})
		}
	case Array:
		for i := range t.count() {
			c.keptWithin(t.elem, at+i*c.slots(t.elem), add)
		}
	case Struct:
		for _, f := range t.fields {
			c.keptWithin(f.Type, at+f.offset, add)
		}
	}
}

// slots is the number of slots of a type.
func (c *checker) slots(t *Type) int {
	if t.laidOut {
		return t.slots
	}
	t.laidOut = true
	switch t.kind {
	case String:
		t.slots = 1 + (t.length+7)/8
	case Array:
		t.slots = min(t.count()*c.slots(t.elem), MaxSlots+1)
	case Struct:
		for _, f := range t.fields {
			f.offset = t.slots
			t.slots = min(t.slots+c.slots(f.Type), MaxSlots+1)
		}
	case Instance:
		t.slots = c.layOut(t.block).slots
	default:
		t.slots = 1
	}
	return t.slots
}

// fill writes the initial value of a type, and over it the one that was written for a variable.
func (c *checker) fill(to []uint64, t *Type, init *initial) {
	switch t.kind {
	case Array:
		size := c.slots(t.elem)
		for i := range t.count() {
			c.fill(to[i*size:], t.elem, nil)
		}
	case Struct:
		c.slots(t)
		for _, f := range t.fields {
			c.fill(to[f.offset:], f.Type, f.init)
		}
	case Instance:
		copy(to, c.layOut(t.block).image)
	case Enum:
		if len(t.values) > 0 {
			to[0] = uint64(t.values[0].Value)
		}
	default:
		if t.limited && (t.low > ordered(t.kind, 0) || t.high < ordered(t.kind, 0)) {
			to[0] = uint64(ordered(t.kind, t.low))
		}
	}
	if t.init != nil {
		c.overwrite(to, t, t.init)
	}
	if init != nil {
		c.overwrite(to, t, init)
	}
}

// overwrite writes an initial value that was checked.
func (c *checker) overwrite(to []uint64, t *Type, init *initial) {
	switch {
	case init.isArray:
		size, n := c.slots(t.elem), 0
		for _, item := range init.items {
			for range item.count {
				if item.value != nil {
					c.overwrite(to[n*size:], t.elem, item.value)
				}
				n++
			}
		}
	case init.isStruct:
		for _, f := range init.fields {
			if f.field != nil {
				c.overwrite(to[f.field.offset:], f.field.Type, f.value)
			}
		}
	default:
		putConstant(to, t, init.value.info().val)
	}
}

// putConstant writes a value of an elementary type.
func putConstant(to []uint64, t *Type, v *constant) {
	switch {
	case v == nil:
	case t.kind.real():
		to[0] = slotOf(v.real)
	case t.kind == String:
		storeText(to, t.length, []byte(v.text))
	default:
		to[0] = uint64(v.integer)
	}
}

// storeText writes a string, cut off at the length of the variable.
func storeText(to []uint64, length int, text []byte) {
	text = text[:min(len(text), length)]
	to[0] = uint64(len(text))
	to = to[1:]
	for ; len(text) >= 8; text, to = text[8:], to[1:] {
		to[0] = binary.LittleEndian.Uint64(text)
	}
	for i, b := range text {
		if i == 0 {
			to[0] = 0
		}
		to[0] |= uint64(b) << (8 * i)
	}
}

// loadText reads a string into a buffer.
func loadText(from []uint64, to []byte) []byte {
	n := min(int(from[0]), len(to))
	i := 0
	for ; i+8 <= n; i += 8 {
		binary.LittleEndian.PutUint64(to[i:], from[1+i/8])
	}
	for ; i < n; i++ {
		to[i] = byte(from[1+i/8] >> (8 * (i % 8)))
	}
	return to[:n]
}

package st

// nativeBlock is a standard function block. It works on its own slots: the declared variables
// in their order, then hidden ones.
type nativeBlock struct {
	hidden int
	start  func(image []uint64)
	scan   func(r *run, f []uint64)
	timer  timerScan // scan of a timer; nil for all others
}

func (n *nativeBlock) hiddenSlots() int {
	if n == nil {
		return 0
	}
	return n.hidden
}

func (n *nativeBlock) action() action {
	return func(r *run) flow { n.scan(r, r.f); return onward }
}

// standardBlocks are the function blocks of the standard.
func (c *checker) standardBlocks() []*Block {
	if c.standard == nil {
		c.standard = append(c.timers(), append(c.edges(), c.counters()...)...)
	}
	return c.standard
}

// native declares a standard function block.
func (c *checker) native(name string, inputs, outputs []nativeVariable, n nativeBlock) *Block {
	b := &Block{Kind: FunctionBlock, Name: name, byName: map[string]*Variable{}, native: &n}
	b.typ = &Type{kind: Instance, name: name, block: b}
	add := func(section Section, list []nativeVariable) {
		for _, v := range list {
			d := &Variable{Name: v.name, Section: section, Type: c.elementary[v.kind], state: resolved}
			b.Variables = append(b.Variables, d)
			b.byName[v.name] = d
		}
	}
	add(Input, inputs)
	add(Output, outputs)
	return b
}

type nativeVariable struct {
	name string
	kind Kind
}

// edges are R_TRIG, F_TRIG, SR and RS, after the bodies that the standard gives them (IEC
// 61131-3, standard bistable and edge detection function blocks, from memory). An F_TRIG whose
// CLK is FALSE in its first scan reports an edge, as the standard notes.
func (c *checker) edges() []*Block {
	clock, q, q1 := []nativeVariable{{"CLK", Bool}}, []nativeVariable{{"Q", Bool}}, []nativeVariable{{"Q1", Bool}}
	return []*Block{
		c.native("R_TRIG", clock, q, nativeBlock{hidden: 1, scan: func(_ *run, f []uint64) {
			f[1] = f[0] &^ f[2] // Q := CLK AND NOT M
			f[2] = f[0]         // M := CLK
		}}),
		c.native("F_TRIG", clock, q, nativeBlock{hidden: 1, scan: func(_ *run, f []uint64) {
			f[1] = (f[0] ^ 1) &^ f[2] // Q := NOT CLK AND NOT M
			f[2] = f[0] ^ 1           // M := NOT CLK
		}}),
		c.native("SR", []nativeVariable{{"S1", Bool}, {"R", Bool}}, q1, nativeBlock{scan: func(_ *run, f []uint64) {
			f[2] = f[0] | f[2]&^f[1] // Q1 := S1 OR (NOT R AND Q1)
		}}),
		c.native("RS", []nativeVariable{{"S", Bool}, {"R1", Bool}}, q1, nativeBlock{scan: func(_ *run, f []uint64) {
			f[2] = (f[0] | f[2]) &^ f[1] // Q1 := NOT R1 AND (S OR Q1)
		}}),
	}
}

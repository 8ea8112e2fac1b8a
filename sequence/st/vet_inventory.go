package st

import "slices"

// inventory is what a block holds, the instances within included.
type inventory struct {
	numbers   []Ref
	inputs    []Ref // of one value, of the block itself
	timers    []timerPlace
	instances []instancePlace // the block itself first
}

// timerPlace is where a timer is in the memory.
type timerPlace struct {
	path   string
	offset int
	kind   string
	idle   string // why it never runs, if its calls say so
}

// instancePlace is an instance of a block of the file; its path ends with a point.
type instancePlace struct {
	path   string
	offset int
	block  *Block
}

// runs is whether time passes for a timer.
func (t *timerPlace) runs(f *timerFrame) bool {
	switch t.kind {
	case "TON":
		return f[timerWas] != 0 && f[timerQ] == 0
	case "TOF":
		return f[timerWas] == 0 && f[timerQ] != 0
	}
	return f[timerQ] != 0
}

// inventory lists what is in a block, as far as it is no more than a search can use.
func (p *Program) inventory(b *Block) *inventory {
	t := &inventory{}
	p.enter(t, b, "", 0)
	return t
}

func (p *Program) enter(t *inventory, b *Block, path string, offset int) {
	t.instances = append(t.instances, instancePlace{path, offset, b})
	for _, v := range b.Variables {
		if v.Section != InOut {
			p.enterValue(t, b, v, v.Type, path, v.Name, offset+v.offset)
		}
	}
}

// enterValue lists a variable or a part of one; name is its path in the block that declares it.
func (p *Program) enterValue(t *inventory, b *Block, v *Variable, typ *Type, prefix, name string, offset int) {
	const most = 4000
	if len(t.numbers)+len(t.timers)+len(t.instances) > most {
		return
	}
	switch typ.kind {
	case Struct:
		for _, f := range typ.fields {
			p.enterValue(t, b, v, f.Type, prefix, name+"."+f.Name, offset+f.offset)
		}
	case Array:
		size := p.checker.slots(typ.elem)
		for i := range typ.count() {
			p.enterValue(t, b, v, typ.elem, prefix, name+typ.indexText(i), offset+i*size)
		}
	case Instance:
		switch {
		case isTimer(typ.block):
			t.timers = append(t.timers, timerPlace{prefix + name, offset, typ.block.Name, idleBecause(b, v, name)})
		case typ.block.native == nil:
			p.enter(t, typ.block, prefix+name+".", offset)
		}
	default:
		r := Ref{&target{prefix + name, v, typ}, offset, typ.kind, v.fixed}
		if typ.kind.number() || typ.kind == Time {
			t.numbers = append(t.numbers, r)
		}
		if prefix == "" && v.Section == Input {
			t.inputs = append(t.inputs, r)
		}
	}
}

// indexText is the index of an element by its place in the memory.
func (t *Type) indexText(i int) string {
	text := "]"
	for k := len(t.dims) - 1; k >= 0; k-- {
		d := t.dims[k]
		n := int(d.High - d.Low + 1)
		text = orderedText(Lint, d.Low+int64(i%n)) + text
		if i /= n; k > 0 {
			text = ", " + text
		}
	}
	return "[" + text
}

// idleBecause is why a timer of a block never runs, as far as its calls say so; empty if it may run.
func idleBecause(b *Block, v *Variable, name string) string {
	called, runs := false, false
	walkStatements(b.body, func(s statement) {
		for _, e := range writes(s) {
			runs = runs || rootVariable(e) == v // from outside of a call
		}
		c, ok := s.(*callStmt)
		if !ok || c.instance == nil || rootVariable(c.instance) != v {
			return
		}
		if path, known := pathOf("", c.instance); known && path != upper(name) {
			return
		}
		called = true
		runs = runs || slices.ContainsFunc(c.args, func(a argument) bool {
			known := a.value != nil && a.value.info().val != nil && a.value.info().val.integer == 0
			return a.param != nil && a.param.Name == "IN" && !known
		})
	})
	switch {
	case runs:
		return ""
	case called:
		return "is called with IN = FALSE only"
	}
	return "is never called"
}

func isTimer(b *Block) bool {
	return b.native != nil && b.native.timer != nil
}

// relevantTo are the variables of a block on which others depend.
func relevantTo(b *Block, others []*Variable) map[*Variable]bool {
	s := &slicer{relevant: map[*Variable]bool{}}
	for _, v := range others {
		s.add(v)
	}
	for s.grown = true; s.grown; {
		s.grown = false
		s.list(b.body, nil)
	}
	return s.relevant
}

type slicer struct {
	relevant map[*Variable]bool
	grown    bool
}

func (s *slicer) add(v *Variable) {
	if v != nil && !s.relevant[v] {
		s.relevant[v], s.grown = true, true
	}
}

// list enters what the statements that write relevant variables read, and the conditions under which
// they run.
func (s *slicer) list(body []statement, guards []expr) {
	for _, st := range body {
		inner := append(slices.Clip(guards), reads(st)...)
		if s.matters(st) {
			for _, e := range inner {
				s.enter(e)
			}
		}
		for _, list := range bodiesOf(st) {
			s.list(list, inner)
		}
	}
}

func (s *slicer) enter(e expr) {
	walkExpr(e, func(part expr) {
		if n, ok := part.(*nameExpr); ok {
			s.add(n.variable)
		}
	})
}

// matters is whether a statement writes a relevant variable itself, or skips others.
func (s *slicer) matters(st statement) bool {
	if _, ok := st.(*jumpStmt); ok {
		return true
	}
	written := writes(st)
	if c, ok := st.(*callStmt); ok && c.instance != nil {
		written = append(written, c.instance)
	}
	for _, e := range reads(st) {
		walkExpr(e, func(part expr) {
			if c, ok := part.(*callExpr); ok {
				written = append(written, writtenArguments(c.args)...)
			}
		})
	}
	return slices.ContainsFunc(written, func(e expr) bool { return s.relevant[rootVariable(e)] })
}

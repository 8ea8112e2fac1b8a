package st

// typeBlock is the declarations from TYPE to END_TYPE.
func (p *parser) typeBlock(f *file) {
	p.take()
	for !p.tok().is("END_TYPE") && p.tok().kind != tokEnd && !isUnit(p.tok()) {
		p.guard(func() {
			name := p.name("the name of a type")
			d := &typeDecl{at: name.at, name: name.word}
			p.expect(":", "between the name of a type and what it is")
			d.spec = p.typeSpec()
			if p.accept(":=") {
				d.init = p.initial()
			}
			f.types = append(f.types, d)
			if !p.accept(";") && !d.spec.isStruct { // END_STRUCT is commonly followed by none
				if p.tok().is("END_TYPE") {
					p.reportMissing("; is missing after the type")
					return
				}
				p.missing(";", "after the type")
			}
		}, p.toType)
	}
	p.expect("END_TYPE", "after the types")
	p.accept(";")
}

func isUnit(t token) bool { return t.is("PROGRAM") || t.is("FUNCTION") || t.is("FUNCTION_BLOCK") }

func (p *parser) toType() {
	for t := p.tok(); t.kind != tokEnd && !t.is("END_TYPE") && !isUnit(t); t = p.tok() {
		p.take()
		if t.is(";") {
			return
		}
	}
}

// typeSpec is a type as it can stand behind a colon.
func (p *parser) typeSpec() *typeSpec {
	p.enter()
	defer p.leave()
	t := p.tok()
	spec := &typeSpec{at: t.at}
	switch {
	case t.is("ARRAY"):
		p.arraySpec(spec)
	case t.is("STRUCT"):
		p.structSpec(spec)
	case t.is("("):
		p.enumSpec(spec)
		p.typeBehindValues(spec)
	case p.pointer(spec):
	default:
		p.namedSpec(spec)
	}
	spec.at = spec.at.until(p.last)
	return spec
}

// typeBehindValues refuses the type of the values of an enumeration where other dialects have it. In
// the standard it stands before them (IEC 61131-3 (2013), data types with named values, from memory).
func (p *parser) typeBehindValues(spec *typeSpec) {
	t := p.tok()
	if t.kind != tokName {
		return
	}
	p.src.errorf(t.at, "found %s behind the values of the enumeration; write it before them, as in %s (…)", t.word, t.word)
	p.take()
	spec.name, spec.nameAt = t.word, t.at
}

// pointer refuses REF_TO, POINTER TO and REFERENCE TO with the type behind them.
func (p *parser) pointer(spec *typeSpec) bool {
	t, to := p.tok(), p.ahead(1)
	switch {
	case t.is("REF_TO"):
	case (t.is("POINTER") || t.kind == tokName && upper(t.word) == "REFERENCE") && to.is("TO"):
		p.take()
	default:
		return false
	}
	p.take()
	p.src.errorf(t.at, "%s is not supported; pass the variable as VAR_IN_OUT", upper(p.src.piece(t.at.until(p.last))))
	p.typeSpec()
	spec.refused = true
	return true
}

// namedSpec is a name with a length, a range or the values of an enumeration.
func (p *parser) namedSpec(spec *typeSpec) {
	name := p.name("a type")
	spec.name, spec.nameAt = name.word, name.at
	switch {
	case upper(name.word) == "STRING" && (p.tok().is("[") || p.tok().is("(")):
		shut := "]"
		if p.take().word == "(" {
			shut = ")"
		}
		spec.length = p.expression()
		p.expect(shut, "after the length of the STRING")
	case p.tok().is("["):
		p.fail("an ARRAY is written with its limits: ARRAY [0..9] OF %s", upper(name.word))
	case p.tok().is("(") && p.ahead(1).kind == tokName && (p.ahead(2).is(",") || p.ahead(2).is(")") || p.ahead(2).is(":=")):
		p.enumSpec(spec)
	case p.accept("("):
		spec.low = p.expression()
		p.expect("..", "between the limits of the subrange")
		spec.high = p.expression()
		p.expect(")", "after the subrange")
	}
}

func (p *parser) enumSpec(spec *typeSpec) {
	p.take()
	spec.isEnum = true
	for {
		name := p.name("an enumerated value")
		p.values[upper(name.word)] = true
		value := enumSpec{at: name.at, name: name.word}
		if p.accept(":=") {
			value.value = p.expression()
		}
		spec.values = append(spec.values, value)
		if !p.accept(",") {
			break
		}
	}
	p.expect(")", "after the values of the enumeration")
}

func (p *parser) arraySpec(spec *typeSpec) {
	p.take()
	spec.isArray = true
	p.expect("[", "before the limits of the ARRAY, as in ARRAY [1..10] OF INT")
	for {
		start := p.tok().at
		if p.tok().is("*") {
			p.fail("an ARRAY of open length is not supported; write its limits, as in ARRAY [1..10] OF INT")
		}
		low := p.expression()
		p.expect("..", "between the limits of the ARRAY, as in ARRAY [1..10] OF INT")
		high := p.expression()
		spec.dims = append(spec.dims, dimSpec{at: start.until(p.last), low: low, high: high})
		if !p.accept(",") {
			break
		}
	}
	p.expect("]", "after the limits of the ARRAY")
	p.expect("OF", "before the type of the elements")
	spec.elem = p.typeSpec()
}

func (p *parser) structSpec(spec *typeSpec) {
	start := p.take()
	spec.isStruct = true
	for !p.tok().is("END_STRUCT") && !p.tok().is("END_TYPE") && !isUnit(p.tok()) && p.tok().kind != tokEnd {
		spec.fields = append(spec.fields, p.variables()...)
	}
	p.expect("END_STRUCT", "after the members of the structure")
	if len(spec.fields) == 0 {
		p.failAt(start.at, "the STRUCT has no members")
	}
}

// initial is an initial value.
func (p *parser) initial() *initial {
	p.enter()
	defer p.leave()
	t := p.tok()
	init := &initial{at: t.at}
	switch {
	case t.is("["):
		p.arrayInitial(init)
	case t.is("(") && p.ahead(1).kind == tokName && p.ahead(2).is(":="):
		p.structInitial(init)
	default:
		init.value = p.single()
	}
	init.at = init.at.until(p.last)
	return init
}

func (p *parser) arrayInitial(init *initial) {
	defer p.inList()()
	p.take()
	init.isArray = true
	for !p.tok().is("]") {
		init.items = append(init.items, p.initialItem())
		if !p.accept(",") {
			break
		}
	}
	p.expect("]", "after the values of the ARRAY")
}

// initialItem is a value, or a number of times a value: 3(0).
func (p *parser) initialItem() initialItem {
	if p.tok().kind != tokInteger || !p.ahead(1).is("(") {
		return initialItem{value: p.initial()}
	}
	item := initialItem{repeat: p.primary()}
	p.take()
	if !p.tok().is(")") {
		item.value = p.initial()
	}
	p.expect(")", "after the repeated value")
	return item
}

func (p *parser) structInitial(init *initial) {
	p.take()
	init.isStruct = true
	for {
		name := p.name("a member of the structure")
		p.expect(":=", "between the member and its value")
		init.fields = append(init.fields, initialField{at: name.at, name: name.word, value: p.initial()})
		if !p.accept(",") {
			break
		}
	}
	p.expect(")", "after the values of the structure")
}

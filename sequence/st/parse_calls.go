package st

// designator is a variable: a name with members and indexes behind it.
func (p *parser) designator() expr {
	x := p.named()
	for n := 0; ; n++ {
		if n > maxDepth {
			p.fail("this is nested more than %d deep", maxDepth)
		}
		switch next := p.tok(); {
		case next.is("."):
			p.take()
			x = p.member(x)
		case next.is("["):
			p.take()
			x = p.index(x)
		case next.is("^") && !isOperand(p.ahead(1)):
			p.dereference(x)
		default:
			return x
		}
	}
}

// named is the name with which a variable begins. THIS^ and SUPER^ before it are refused.
func (p *parser) named() expr {
	t := p.name("a variable")
	if u := upper(t.word); p.tok().is("^") && (u == "THIS" || u == "SUPER") {
		at := t.at.until(p.take().at)
		if u == "SUPER" {
			p.src.errorf(at, "SUPER^ is not supported; declare an instance of the other block and call it")
			return badExpr(at)
		}
		p.src.errorf(at, "THIS^ is not supported; write the name without it")
		if !p.accept(".") {
			return badExpr(at)
		}
		t = p.name("a variable")
	}
	return &nameExpr{exprInfo: exprInfo{at: t.at}, name: t.word}
}

// badExpr stands for a value whose error has been reported.
func badExpr(at span) expr { return &literal{exprInfo: exprInfo{at: at}, kind: tokBad} }

func isBad(e expr) bool {
	for {
		switch of := e.(type) {
		case *literal:
			return of.kind == tokBad
		case *fieldExpr:
			e = of.of
		case *indexExpr:
			e = of.of
		default:
			return false
		}
	}
}

// isOperand is whether a token begins a value that is no parenthesis.
func isOperand(t token) bool {
	switch t.kind {
	case tokName, tokInteger, tokReal, tokTyped:
		return true
	}
	return false
}

// dereference refuses ^ behind a variable, unless that is refused as a pointer already.
func (p *parser) dereference(x expr) {
	t := p.take()
	if n, ok := x.(*nameExpr); ok && p.pointers[upper(n.name)] {
		return
	}
	p.src.errorf(t.at, "dereferencing with ^ is not supported; pass the variable as VAR_IN_OUT")
}

func (p *parser) member(x expr) expr {
	t := p.tok()
	switch t.kind {
	case tokInteger: // a bit of a bit string, which the checker refuses, as it knows the type
		p.take()
		return &fieldExpr{exprInfo: exprInfo{at: x.info().at.until(t.at)}, of: x, name: t.word, nameAt: t.at}
	case tokReal:
		p.fail("found %s; must be a member", p.found())
	case tokBad:
		panic(bailOut{})
	}
	p.name("a member")
	at := x.info().at.until(t.at)
	return &fieldExpr{exprInfo: exprInfo{at: at}, of: x, name: t.word, nameAt: t.at}
}

func (p *parser) index(x expr) expr {
	defer p.inList()()
	e := &indexExpr{of: x}
	for {
		e.indexes = append(e.indexes, p.expression())
		if !p.accept(",") {
			break
		}
	}
	p.expect("]", "after the index")
	e.at = x.info().at.until(p.last)
	return e
}

// call is the call of a function within an expression.
func (p *parser) call(target expr) expr {
	n, ok := target.(*nameExpr)
	f, member := target.(*fieldExpr)
	if isBad(target) || member && p.file.skipped[upper(f.name)] {
		p.arguments()
		return badExpr(target.info().at)
	}
	if !ok {
		p.failAt(target.info().at, "%s cannot be called within an expression; call an instance of a function block in a statement and read its outputs",
			p.src.piece(target.info().at))
	}
	return p.callOf(n.name, n.at, n.at)
}

func (p *parser) callOf(name string, nameAt, start span) expr {
	c := &callExpr{name: name, nameAt: nameAt, args: p.arguments()}
	c.at = start.until(p.last)
	return c
}

// arguments are those of a call with its parentheses.
func (p *parser) arguments() []argument {
	p.enter()
	defer p.leave()
	defer p.inList()()
	p.expect("(", "before the arguments")
	var list []argument
	for !p.tok().is(")") {
		list = append(list, p.argument())
		if !p.accept(",") {
			break
		}
	}
	p.expect(")", "after the arguments")
	return list
}

// argument is a value, name := value, or name => variable.
func (p *parser) argument() argument {
	start := p.tok()
	a := argument{at: start.at}
	if start.is("NOT") && p.ahead(1).kind == tokName && p.ahead(2).is("=>") {
		p.take()
		a.not = true
	}
	switch {
	case p.tok().kind == tokName && p.ahead(1).is(":="):
		name := p.take()
		a.name, a.nameAt = name.word, name.at
		p.take()
		if t := p.tok(); t.is(",") || t.is(")") {
			p.failAt(name.at, "the value of %s is missing; leave the argument out to keep the value it has", name.word)
		}
		a.value = p.expression()
	case p.tok().kind == tokName && p.ahead(1).is("=>"):
		name := p.take()
		a.name, a.nameAt, a.output = name.word, name.at, true
		p.take()
		if t := p.tok(); !t.is(",") && !t.is(")") {
			a.value = p.designator()
		}
	default:
		a.value = p.expression()
	}
	a.at = start.at.until(p.last)
	return a
}

// inList begins a list, in which commas separate values. The result ends it.
func (p *parser) inList() func() {
	was := p.alone
	p.alone = false
	return func() { p.alone = was }
}

// single is a value that stands by itself.
func (p *parser) single() expr {
	was := p.alone
	p.alone = true
	e := p.expression()
	p.alone = was
	return e
}

package st

// designator is a variable: a name with members and indexes behind it.
func (p *parser) designator() expr {
	t := p.name("a variable")
	var x expr = &nameExpr{exprInfo: exprInfo{at: t.at}, name: t.word}
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
		default:
			return x
		}
	}
}

func (p *parser) member(x expr) expr {
	t := p.tok()
	switch t.kind {
	case tokInteger, tokReal:
		p.fail("access to single bits is not supported; use SHR and AND, or BOOL variables")
	case tokBad:
		panic(bailOut{})
	}
	p.name("a member")
	at := x.info().at.until(t.at)
	return &fieldExpr{exprInfo: exprInfo{at: at}, of: x, name: t.word, nameAt: t.at}
}

func (p *parser) index(x expr) expr {
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

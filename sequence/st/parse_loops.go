package st

func (p *parser) caseStatement() statement {
	start := p.take()
	s := &caseStmt{selector: p.header("OF", "after the selector of CASE")}
	p.cases++
	p.firstLabel()
	for p.labelAhead() {
		p.guard(func() { s.branches = append(s.branches, p.caseBranch()) }, p.toLabel)
	}
	p.cases--
	if t := p.tok(); t.is("ELSE") {
		p.take()
		p.accept(":")
		s.hasElse = true
		s.orElse = p.statements("END_IF") // no labels after ELSE
		s.elseAt = t.at.until(p.last)
	}
	p.close("END_CASE", start)
	s.at = start.at.until(p.last)
	return s
}

// firstLabel reports and skips what stands in the place of the first label.
func (p *parser) firstLabel() {
	if t := p.tok(); p.labelAhead() || t.is("ELSE") || t.is("END_CASE") {
		return
	}
	p.guard(func() { p.fail("found %s; must be a label such as 1: or Ready:", p.found()) }, p.toLabel)
}

// strayLabel is whether a label begins here that can be nothing else, within a statement of a branch.
func (p *parser) strayLabel() bool {
	t := p.tok()
	return p.cases > 0 && p.labelAhead() && (t.kind != tokName || p.values[upper(t.word)] || !p.ahead(1).is(":"))
}

// toLabel skips to the next label or the end of the CASE.
func (p *parser) toLabel() {
	for t := p.tok(); t.kind != tokEnd && !p.labelAhead() && !closes(t) && !isBlockEnd(t); t = p.tok() {
		p.take()
	}
}

// labelAhead is whether the labels of a branch of CASE begin here: values up to a colon.
func (p *parser) labelAhead() bool {
	for i := 0; ; i++ {
		t := p.ahead(i)
		switch {
		case t.is(":"):
			return i > 0
		case t.kind == tokName, t.kind == tokInteger, t.kind == tokTyped,
			t.is(","), t.is(".."), t.is(".") && i > 0, t.is("-"), t.is("+"), t.is("TRUE"), t.is("FALSE"), t.kind == tokBad:
		default:
			return false
		}
	}
}

func (p *parser) caseBranch() caseBranch {
	b := caseBranch{at: p.tok().at}
	for {
		label := caseLabel{at: p.tok().at, low: p.unary()}
		if p.accept("..") {
			label.high = p.unary()
		}
		label.at = label.at.until(p.last)
		b.labels = append(b.labels, label)
		if !p.accept(",") {
			break
		}
	}
	p.expect(":", "after the labels")
	b.body = p.statements("END_CASE")
	b.at = b.at.until(p.last)
	return b
}

func (p *parser) forStatement() statement {
	start := p.take()
	s := &forStmt{}
	bad := &literal{exprInfo: exprInfo{at: start.at}, kind: tokBad}
	s.variable, s.from, s.to = bad, bad, bad
	p.guard(func() {
		s.variable = p.designator()
		if t := p.tok(); t.is("=") {
			p.src.errorf(t.at, "the first value of FOR is given with :=, not with =")
			p.take()
		} else {
			p.expect(":=", "after the variable of FOR")
		}
		s.from = p.single()
		p.expect("TO", "after the first value of FOR")
		s.to = p.single()
		if t := p.tok(); t.kind == tokName && upper(t.word) == "STEP" {
			p.src.errorf(t.at, "found %q; must be BY before the step of FOR", t.word)
			p.take()
			s.by = p.single()
		} else if p.accept("BY") {
			s.by = p.single()
		}
		p.headEnd("DO", "after the limits of FOR")
	}, func() { p.toWord("DO") })
	s.body = p.statements("END_FOR")
	p.close("END_FOR", start)
	s.at = start.at.until(p.last)
	return s
}

func (p *parser) whileStatement() statement {
	start := p.take()
	s := &whileStmt{condition: p.header("DO", "after the condition")}
	s.body = p.statements("END_WHILE")
	p.close("END_WHILE", start)
	s.at = start.at.until(p.last)
	return s
}

func (p *parser) repeatStatement() statement {
	start := p.take()
	s := &repeatStmt{body: p.statements("END_REPEAT")}
	if !p.tok().is("UNTIL") {
		p.src.errorf(start.at, "UNTIL with a condition is missing for the REPEAT in line %d", lineOf(p.src, start.at.from))
		if p.accept("END_REPEAT") {
			p.accept(";")
		}
		panic(bailOut{})
	}
	p.take()
	s.until = p.condition()
	p.accept(";") // some write one here
	p.close("END_REPEAT", start)
	s.at = start.at.until(p.last)
	return s
}

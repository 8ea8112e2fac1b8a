package st

// statements reads a list of them, up to END_…, ELSE, ELSIF, UNTIL, or a label of CASE.
func (p *parser) statements(end string) []statement {
	var list []statement
	for t := p.tok(); t.kind != tokEnd && !p.endsList(t, end); t = p.tok() {
		p.guard(func() {
			if s := p.statement(); s != nil {
				list = append(list, s)
			}
		}, p.toStatement)
	}
	return list
}

// endsList is whether a token ends a list of statements. In the body of a block, the end
// of a statement that was never opened is reported and skipped.
func (p *parser) endsList(t token, end string) bool {
	switch {
	case isBlockEnd(t), isUnit(t), t.is("TYPE"):
		return true
	case end == "END_CASE" && p.labelAhead():
		return true
	case !closes(t):
		return false
	case end != "END_PROGRAM" && end != "END_FUNCTION" && end != "END_FUNCTION_BLOCK":
		return true
	}
	return false
}

// closes is whether a keyword ends a part of a statement.
func closes(t token) bool {
	if t.kind != tokKeyword {
		return false
	}
	switch t.word {
	case "END_IF", "END_CASE", "END_FOR", "END_WHILE", "END_REPEAT", "ELSE", "ELSIF", "UNTIL":
		return true
	}
	return false
}

func beginsStatement(t token) bool {
	if t.kind != tokKeyword {
		return false
	}
	switch t.word {
	case "IF", "CASE", "FOR", "WHILE", "REPEAT", "EXIT", "CONTINUE", "RETURN":
		return true
	}
	return false
}

// toStatement skips behind the next semicolon, or to a keyword with which one goes on.
func (p *parser) toStatement() {
	for t := p.tok(); t.kind != tokEnd && !closes(t) && !beginsStatement(t) && !isBlockEnd(t) && !isUnit(t) && !t.is("TYPE"); t = p.tok() {
		p.take()
		if t.is(";") {
			return
		}
		next := p.tok()
		if next.kind == tokName && p.ahead(1).is(":=") && lineOf(p.src, next.at.from) != lineOf(p.src, t.at.from) {
			return
		}
	}
}

func (p *parser) statement() statement {
	p.enter()
	defer p.leave()
	t := p.tok()
	switch {
	case t.is(";"):
		p.take()
		return nil
	case t.is("IF"):
		return p.ifStatement()
	case t.is("CASE"):
		return p.caseStatement()
	case t.is("FOR"):
		return p.forStatement()
	case t.is("WHILE"):
		return p.whileStatement()
	case t.is("REPEAT"):
		return p.repeatStatement()
	case t.is("EXIT"), t.is("CONTINUE"), t.is("RETURN"):
		p.take()
		p.semicolon()
		return &jumpStmt{stmt{t.at.until(p.last)}, t.word}
	case closes(t):
		p.fail("%s belongs to no statement that is open here", t.word)
	case p.sectionBegins():
		p.lateSection()
	}
	return p.simpleStatement()
}

// lateSection refuses declarations between statements and skips them.
func (p *parser) lateSection() {
	t := p.tok()
	p.src.errorf(t.at, "%s comes too late; variables are declared before the first statement", t.word)
	for t := p.tok(); t.kind != tokEnd && !t.is("END_VAR") && !isBlockEnd(t); t = p.tok() {
		p.take()
	}
	p.accept("END_VAR")
	panic(bailOut{})
}

// semicolon takes the one after a statement. Where it is missing at the end of a line, that is
// reported and the next statement is read.
func (p *parser) semicolon() {
	if p.accept(";") {
		return
	}
	t := p.tok()
	if lineOf(p.src, p.last.to) != lineOf(p.src, t.at.from) || closes(t) || beginsStatement(t) {
		p.src.errorf(span{p.last.to, p.last.to}, "; is missing after the statement")
		return
	}
	p.missing(";", "after the statement")
}

// simpleStatement is an assignment or a call.
func (p *parser) simpleStatement() statement {
	start := p.tok()
	if start.kind != tokName {
		p.refuseUnsupported()
		p.fail("found %s; must be a statement", p.found())
	}
	if p.ahead(1).kind == tokName { // such as GOTO label
		p.refuseUnsupported()
	}
	target := p.designator()
	switch t := p.tok(); {
	case t.is("("):
		return p.callStatement(start, target)
	case t.is("="):
		p.fail("an assignment is written with :=; = compares")
	case t.is("=>"):
		p.fail("=> hands over an output within a call; an assignment is written with :=")
	case t.is("+"), t.is("-"), t.is(":"):
		p.fail("found %s; an assignment is written with :=", p.found())
	case t.is(";"):
		p.failAt(target.info().at, "%s alone is no statement; a call has parentheses, an assignment has :=", p.src.piece(target.info().at))
	}
	p.expect(":=", "after the variable")
	value := p.expression()
	p.noSecondAssignment()
	p.semicolon()
	return &assignStmt{stmt{start.at.until(p.last)}, target, value}
}

func (p *parser) noSecondAssignment() {
	if p.tok().is(":=") {
		p.fail("an assignment has no value; write one statement for each variable")
	}
}

func (p *parser) callStatement(start token, target expr) statement {
	args := p.arguments()
	end := start.at.until(p.last)
	p.semicolon()
	s := &callStmt{stmt: stmt{start.at.until(p.last)}, args: args}
	if n, ok := target.(*nameExpr); ok {
		// A function or an instance: the checker knows.
		s.function = &callExpr{exprInfo: exprInfo{at: end}, name: n.name, nameAt: n.at, args: args}
	}
	s.instance = target
	return s
}

func (p *parser) ifStatement() statement {
	start, hint := p.tok(), ""
	s := &ifStmt{}
	for again := true; again; again = p.tok().is("ELSIF") {
		branch := ifBranch{at: p.take().at}
		branch.condition = p.header("THEN", "after the condition")
		branch.body = p.statements("END_IF")
		branch.at = branch.at.until(p.last)
		s.branches = append(s.branches, branch)
	}
	if t := p.tok(); t.is("ELSE") {
		p.take()
		s.hasElse, s.elseAt = true, t.at
		if next := p.tok(); next.is("IF") && lineOf(p.src, next.at.from) == lineOf(p.src, t.at.from) {
			hint = "; ELSE IF opens a second IF, ELSIF does not"
		}
		s.orElse = p.statements("END_IF")
		s.elseAt = t.at.until(p.last)
	}
	p.closeWith("END_IF", start, hint)
	s.at = start.at.until(p.last)
	return s
}

// header is an expression with THEN, DO or OF behind it. After an error in it the body is read
// all the same.
func (p *parser) header(word, where string) expr {
	var e expr = &literal{exprInfo: exprInfo{at: p.tok().at}, kind: tokBad}
	p.guard(func() {
		e = p.expression()
		p.condition(word, where)
	}, func() {
		e = &literal{exprInfo: exprInfo{at: e.info().at}, kind: tokBad}
		p.toWord(word)
	})
	return e
}

// toWord skips behind a keyword that ends the head of a statement, if it is near.
func (p *parser) toWord(word string) {
	line := lineOf(p.src, p.last.from)
	for t := p.tok(); t.kind != tokEnd && !t.is(";") && !closes(t) && !isBlockEnd(t); t = p.tok() {
		if p.accept(word) || lineOf(p.src, t.at.from) != line && beginsStatement(t) {
			return
		}
		p.take()
	}
}

// condition takes THEN or DO; where it is missing, that is reported and the body is read.
func (p *parser) condition(word, where string) {
	switch t := p.tok(); {
	case t.is(":="):
		p.fail("a condition compares with =; := assigns")
	case !t.is(word) && lineOf(p.src, p.last.to) != lineOf(p.src, t.at.from):
		p.src.errorf(span{p.last.to, p.last.to}, "%s is missing %s", word, where)
		return
	}
	p.expect(word, where)
}

// close takes the keyword that ends a statement and the semicolon behind it.
func (p *parser) close(end string, start token) { p.closeWith(end, start, "") }

// closeWith has something to say to where the keyword is missing.
func (p *parser) closeWith(end string, start token, hint string) {
	t := p.tok()
	if !t.is(end) {
		line := lineOf(p.src, start.at.from)
		if hint == "" && (t.is("ELSE") || t.is("ELSIF")) {
			hint = " before " + t.word
		}
		p.src.errorf(start.at, "%s is missing for the %s in line %d%s", end, start.word, line, hint)
		if !closes(t) || t.is("ELSE") || t.is("ELSIF") || t.is("UNTIL") {
			panic(bailOut{})
		}
		return // the keyword is taken as the end of an outer statement
	}
	p.take()
	p.semicolon()
}

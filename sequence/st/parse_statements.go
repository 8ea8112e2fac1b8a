package st

import "fmt"

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
	case end == "END_CASE" && p.labelAhead(), p.strayLabel():
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
	for t := p.tok(); t.kind != tokEnd && !closes(t) && !beginsStatement(t) && !isBlockEnd(t) && !isUnit(t) && !t.is("TYPE") && !p.strayLabel(); t = p.tok() {
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
		p.noResult(t)
		p.semicolon()
		return &jumpStmt{stmt{t.at.until(p.last)}, t.word}
	case p.memberBegins():
		p.skipMember()
		return nil
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
	if p.afterOpen() { // it may have had one
		return
	}
	if lineOf(p.src, p.last.to) != lineOf(p.src, t.at.from) || closes(t) || beginsStatement(t) || isBlockEnd(t) || p.statementAhead() {
		p.reportMissing("; is missing after the statement")
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
	case t.is("=>"):
		p.fail("=> hands over an output within a call; an assignment is written with :=")
	case t.is(";"):
		p.failAt(target.info().at, "%s alone is no statement; a call has parentheses, an assignment has :=%s", p.src.piece(target.info().at), loopHint(target))
	case p.foreignAssignment(target):
		p.semicolon()
		return nil
	case t.is(":") && p.jumpLabel():
		p.src.errorf(start.at.until(t.at), "a label to jump to is not supported; use IF, WHILE, EXIT or RETURN")
		p.take()
		return nil
	case p.foreignEquals():
	default:
		p.expect(":=", "after the variable")
	}
	value := p.single()
	p.noSecondAssignment()
	p.semicolon()
	return &assignStmt{stmt{start.at.until(p.last)}, target, value}
}

// loopHint is for words of other languages that leave a loop.
func loopHint(target expr) string {
	if n, ok := target.(*nameExpr); ok && upper(n.name) == "BREAK" {
		return "; a loop is left with EXIT"
	}
	return ""
}

func (p *parser) noSecondAssignment() {
	if p.tok().is(":=") {
		p.fail("an assignment has no value; write one statement for each variable")
	}
}

func (p *parser) callStatement(start token, target expr) statement {
	args := p.arguments()
	end := start.at.until(p.last)
	if t := p.tok(); t.is(":=") {
		p.src.errorf(t.at, "a call takes no value; an element of an ARRAY is written in brackets, as in %s[1]", p.src.piece(target.info().at))
		p.take()
		p.single()
		p.semicolon()
		return nil
	}
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
	start := p.tok()
	var second span // ELSE IF
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
			second = t.at.until(next.at)
		}
		s.orElse = p.statements("END_IF")
		s.elseAt = t.at.until(p.last)
	}
	if second.to > 0 && !p.tok().is("END_IF") && !p.known() {
		p.src.errorf(second, "ELSE IF opens a second IF; write ELSIF, or a second END_IF for the IF in line %d", lineOf(p.src, start.at.from))
		s.at = start.at.until(p.last)
		return s
	}
	p.close("END_IF", start)
	s.at = start.at.until(p.last)
	return s
}

// condition is an expression that stands by itself and assigns nothing.
func (p *parser) condition() expr {
	was := p.alone
	p.alone = true
	e := p.compared()
	p.alone = was
	return e
}

// header is an expression with THEN, DO or OF behind it. After an error in it the body is read
// all the same.
func (p *parser) header(word, where string) expr {
	e := badExpr(p.tok().at)
	p.guard(func() {
		e = p.condition()
		p.headEnd(word, where)
	}, func() {
		e = badExpr(e.info().at)
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

// headEnd takes THEN, DO or OF; where it is missing, that is reported and the body is read.
func (p *parser) headEnd(word, where string) {
	t := p.tok()
	if t.is(word) {
		p.take()
		return
	}
	if lineOf(p.src, p.last.to) != lineOf(p.src, t.at.from) || beginsStatement(t) || p.statementAhead() || word == "OF" && p.labelAhead() {
		p.reportMissing("%s is missing %s", word, where)
		return
	}
	p.expect(word, where)
}

// close takes the keyword that ends a statement and the semicolon behind it.
func (p *parser) close(end string, start token) {
	t := p.tok()
	if t.is(end) {
		p.take()
		p.semicolon()
		return
	}
	line := lineOf(p.src, start.at.from)
	if !p.known() {
		p.src.errorf(start.at, "%s is missing for the %s in line %d%s", end, start.word, line, p.before())
	}
	if !p.strayLabel() && (!closes(t) || t.is("ELSE") || t.is("ELSIF") || t.is("UNTIL")) {
		panic(bailOut{})
	}
	// The keyword or the label is taken as one of an outer statement.
}

// before names what stands where the end of a statement is missing, unless that is the end of all.
func (p *parser) before() string {
	t := p.tok()
	line := lineOf(p.src, t.at.from)
	switch {
	case closes(t):
		return fmt.Sprintf(", before the %s in line %d", t.word, line)
	case p.strayLabel():
		return fmt.Sprintf(", before the label in line %d", line)
	}
	return ""
}

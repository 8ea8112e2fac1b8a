package st

// foreignAssignment reads an assignment of another language that does more than assign, with its value.
func (p *parser) foreignAssignment(target expr) bool {
	t, next := p.tok(), p.ahead(1)
	name := p.src.piece(target.info().at)
	word := upper(t.word)
	both := t.at.until(next.at)
	switch {
	case t.is("+=") || t.is("-=") || t.is("*=") || t.is("/="):
		p.src.errorf(t.at, "%s is no operator; write %s := %s %s …", t.word, name, name, t.word[:1])
		p.take()
	case (t.is("+") || t.is("-")) && next.is(t.word):
		p.src.errorf(both, "%s%s is no operator; write %s := %s %s 1", t.word, t.word, name, name, t.word)
		p.take()
		p.take()
		return true
	case t.kind != tokName || !next.is("="):
		return false
	case word == "S":
		p.src.errorf(both, "S= is not in the standard; write IF … THEN %s := TRUE; END_IF, or an instance of SR", name)
		p.take()
		p.take()
	case word == "R":
		p.src.errorf(both, "R= is not in the standard; write IF … THEN %s := FALSE; END_IF, or an instance of RS", name)
		p.take()
		p.take()
	case word == "REF":
		p.src.errorf(both, "REF= is not supported; pass the variable as VAR_IN_OUT")
		p.take()
		p.take()
	default:
		return false
	}
	p.single()
	return true
}

// foreignEquals reads = and : = as :=, and reports them.
func (p *parser) foreignEquals() bool {
	switch t, next := p.tok(), p.ahead(1); {
	case t.is(":") && next.is("="):
		p.src.errorf(t.at.until(next.at), "an assignment is written with :=, without a blank in it")
		p.take()
	case t.is("="):
		p.src.errorf(t.at, "an assignment is written with :=; = compares")
	case t.is(":"):
		p.src.errorf(t.at, "found %s; an assignment is written with :=", p.found())
	default:
		return false
	}
	p.take()
	return true
}

// jumpLabel is whether a colon stands between a label and a statement or the end of the line.
func (p *parser) jumpLabel() bool {
	t, next := p.tok(), p.ahead(1)
	if lineOf(p.src, t.at.from) != lineOf(p.src, next.at.from) {
		return true
	}
	return beginsStatement(next) || next.is(";") || p.statementAt(p.next+1)
}

// statementAhead is whether an assignment or a call begins here: a variable with := or ( behind it.
func (p *parser) statementAhead() bool { return p.statementAt(p.next) }

func (p *parser) statementAt(i int) bool {
	const longest = 32
	if p.list[i].kind != tokName {
		return false
	}
	for n := i + 1; n < min(i+longest, len(p.list)); n++ {
		switch t := p.list[n]; {
		case t.is(":="):
			return true
		case t.is("("):
			return n == i+1 || p.list[n-1].kind == tokName
		case t.kind != tokName && t.kind != tokInteger && !t.is(".") && !t.is("[") && !t.is("]") && !t.is(","):
			return false
		case t.kind == tokName && !p.list[n-1].is(".") && !p.list[n-1].is("[") && !p.list[n-1].is(","):
			return false
		}
	}
	return false
}

// noResult refuses a value behind RETURN and its like.
func (p *parser) noResult(jump token) {
	t := p.tok()
	if lineOf(p.src, jump.at.from) != lineOf(p.src, t.at.from) || p.statementAhead() || t.is(";") || closes(t) || beginsStatement(t) || isBlockEnd(t) || t.kind == tokEnd {
		return
	}
	hint := ""
	if jump.word == "RETURN" {
		hint = "; the result of a FUNCTION is assigned to its name"
	}
	p.src.errorf(t.at, "%s has no value%s", jump.word, hint)
	p.single()
}

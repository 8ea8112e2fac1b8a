package st

import "strings"

// declaration is a TYPE block or a program organisation unit.
func (p *parser) declaration(f *file) {
	t := p.tok()
	switch {
	case t.is("TYPE"):
		p.typeBlock(f)
	case t.is("PROGRAM"), t.is("FUNCTION_BLOCK"), t.is("FUNCTION"):
		f.blocks = append(f.blocks, p.block())
	default:
		p.refuseBlock()
		p.fail("found %s; must be PROGRAM, FUNCTION_BLOCK, FUNCTION or TYPE", p.found())
	}
}

// refuseBlock refuses a unit that is not supported and skips it whole.
func (p *parser) refuseBlock() {
	t := p.tok()
	if t.kind != tokKeyword || unsupportedWord(t.word) == "" {
		return
	}
	p.src.errorf(t.at, "%s is not supported; %s", t.word, unsupportedWord(t.word))
	end := "END_" + t.word
	if strings.HasPrefix(t.word, "VAR_") {
		end = "END_VAR"
	}
	for i := p.next; i < len(p.list); i++ {
		if upper(p.src.piece(p.list[i].at)) == end {
			p.next = i + 1
			panic(bailOut{})
		}
	}
	p.take()
	panic(bailOut{})
}

// block is a PROGRAM, a FUNCTION_BLOCK or a FUNCTION.
func (p *parser) block() *Block {
	start := p.take()
	b := &Block{Kind: BlockKind(start.word), byName: map[string]*Variable{}}
	name := p.name("the name of the " + start.word)
	b.Name, b.at = name.word, name.at
	b.Line = lineOf(p.src, start.at.from)
	if p.tok().is(":") {
		p.guard(func() { p.result(b) }, p.toBody)
	} else if p.tok().kind == tokKeyword && unsupportedWord(p.tok().word) != "" {
		p.guard(p.refuseUnsupported, p.toBody)
	}
	for p.sectionBegins() {
		p.guard(func() { p.section(b) }, p.toBody)
	}
	end := "END_" + start.word
	b.body = p.statements(end)
	if !p.accept(end) {
		p.guard(func() { p.missing(end, "at the end of "+b.Name) }, func() {})
	}
	b.whole = start.at.until(p.last)
	p.accept(";")
	return b
}

func (p *parser) result(b *Block) {
	colon := p.take()
	spec := p.typeSpec()
	if b.Kind != Function {
		p.failAt(colon.at.until(p.last), "a %s has no result; use VAR_OUTPUT", b.Kind)
	}
	b.resultSpec = spec
}

// toBody skips to the next token that can begin a section or a statement.
func (p *parser) toBody() {
	for t := p.tok(); t.kind != tokEnd && !p.sectionBegins() && !isBlockEnd(t) && !beginsStatement(t); t = p.tok() {
		if t.is("END_VAR") || t.is(";") {
			p.take()
			return
		}
		p.take()
	}
}

func isBlockEnd(t token) bool {
	return t.is("END_PROGRAM") || t.is("END_FUNCTION") || t.is("END_FUNCTION_BLOCK")
}

// sectionBegins is whether the token is VAR or one of its relatives.
func (p *parser) sectionBegins() bool {
	t := p.tok()
	return t.kind == tokKeyword && strings.HasPrefix(t.word, "VAR")
}

// section is the declarations from VAR to END_VAR.
func (p *parser) section(b *Block) {
	start := p.take()
	section := Section(start.word)
	if hint := unsupportedWord(start.word); hint != "" {
		p.src.errorf(start.at, "%s is not supported; %s", start.word, hint)
		section = Local // its names are known all the same
	}
	constant, retain := p.qualifiers()
	switch {
	case constant && section != Local:
		p.src.errorf(start.at, "%s cannot be CONSTANT; write VAR CONSTANT", section)
	case retain && (section == InOut || section == Temp || b.Kind == Function):
		p.src.errorf(start.at, "%s of a %s cannot be RETAIN: it has no value of its own from scan to scan", section, b.Kind)
	case retain && constant:
		p.src.errorf(start.at, "a CONSTANT cannot be RETAIN; leave RETAIN out")
	}
	for !p.tok().is("END_VAR") && !isBlockEnd(p.tok()) && p.tok().kind != tokEnd && !p.sectionBegins() {
		for _, v := range p.variables() {
			v.Section, v.Constant, v.Retain = section, constant, retain
			b.Variables = append(b.Variables, v)
		}
	}
	p.expect("END_VAR", "after the declarations")
	p.accept(";")
}

// qualifiers are the words behind VAR.
func (p *parser) qualifiers() (constant, retain bool) {
	for {
		switch t := p.tok(); {
		case t.is("CONSTANT"):
			constant = true
		case t.is("RETAIN"):
			retain = true
		case t.is("NON_RETAIN"):
		case t.kind == tokName && p.ahead(1).kind == tokName:
			p.src.errorf(t.at, "found %s; must be CONSTANT, RETAIN, NON_RETAIN or the name of a variable", p.found())
		default:
			return constant, retain
		}
		p.take()
	}
}

// toVariable skips to the next declaration.
func (p *parser) toVariable() {
	for t := p.tok(); t.kind != tokEnd && !t.is("END_VAR") && !t.is("END_STRUCT") && !isBlockEnd(t); t = p.tok() {
		p.take()
		if t.is(";") {
			return
		}
		// A declaration on a line of its own begins with a name and a colon.
		if next := p.tok(); next.kind == tokName && p.ahead(1).is(":") && lineOf(p.src, next.at.from) != lineOf(p.src, t.at.from) {
			return
		}
	}
}

// variables is one declaration: names, a type and an initial value for all of them. After an
// error the names are known all the same, so that their uses are no errors too.
func (p *parser) variables() []*Variable {
	var list []*Variable
	p.guard(func() { p.variableList(&list) }, p.toVariable)
	return list
}

func (p *parser) variableList(to *[]*Variable) {
	for {
		t := p.name("the name of a variable")
		line, column := p.src.place(t.at.from)
		*to = append(*to, &Variable{Name: t.word, at: t.at, Line: line, Column: column})
		if p.tok().is("AT") {
			p.refuseUnsupported()
		}
		if !p.accept(",") {
			break
		}
	}
	p.expect(":", "between the name of a variable and its type")
	spec := p.typeSpec()
	if t := p.tok(); t.is("R_EDGE") || t.is("F_EDGE") {
		p.refuseUnsupported()
	}
	var init *initial
	if p.accept(":=") {
		init = p.initial()
	} else if p.tok().is("=") {
		p.fail("an initial value is given with :=, not with =")
	}
	for _, v := range *to {
		v.spec, v.init = spec, init
		if init != nil {
			v.Initial = p.src.piece(init.at)
		}
	}
	if t := p.tok(); !t.is(";") && lineOf(p.src, p.last.to) != lineOf(p.src, t.at.from) {
		p.src.errorf(span{p.last.to, p.last.to}, "; is missing after the declaration")
		return
	}
	p.expect(";", "after the declaration")
}

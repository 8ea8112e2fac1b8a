package st

import (
	"slices"
	"strings"
)

// declaration is a TYPE block or a program organisation unit.
func (p *parser) declaration(f *file) {
	t := p.tok()
	switch {
	case t.is("TYPE"):
		p.typeBlock(f)
	case t.is("PROGRAM"), t.is("FUNCTION_BLOCK"), t.is("FUNCTION"):
		f.blocks = append(f.blocks, p.unit())
	case strings.HasPrefix(t.word, "VAR_") && t.kind == tokKeyword && unsupportedWord(t.word) != "":
		p.globals()
	case p.memberBegins():
		p.skipMember()
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
	for i := p.next; i < len(p.list); i++ {
		if named := p.list[max(i-1, 0)]; p.list[i].kind == tokName && (isUnit(named) || named.is(t.word) || named.is("CLASS") || named.is("INTERFACE")) {
			p.file.skipped[upper(p.list[i].word)] = true
		}
		if upper(p.src.piece(p.list[i].at)) == end {
			p.next = i + 1
			panic(bailOut{})
		}
	}
	p.take()
	panic(bailOut{})
}

// globals refuses global variables. Their names are known all the same.
func (p *parser) globals() {
	t := p.take()
	p.src.errorf(t.at, "%s is not supported; %s", t.word, unsupportedWord(t.word))
	p.qualifiers()
	for !p.tok().is("END_VAR") && !isUnit(p.tok()) && !p.tok().is("TYPE") && p.tok().kind != tokEnd && !p.sectionBegins() {
		for _, v := range p.variables() {
			p.file.globals[upper(v.Name)] = true
		}
	}
	p.expect("END_VAR", "after the declarations")
	p.accept(";")
}

// memberBegins is whether a method or another member begins here that is not supported.
func (p *parser) memberBegins() bool {
	t, next := p.tok(), p.ahead(1)
	if next.kind != tokName && next.kind != tokKeyword {
		return false
	}
	switch upper(t.word) {
	case "METHOD":
		return t.kind == tokKeyword
	case "PROPERTY", "ACTION", "TRANSITION", "STEP", "INITIAL_STEP":
		return t.kind == tokName && next.kind == tokName
	}
	return false
}

// skipMember refuses a member and skips it whole. Its name is known, so that its calls are no errors too.
func (p *parser) skipMember() {
	t := p.tok()
	word := upper(t.word)
	hint := unsupportedWord(word)
	if hint == "" {
		hint = unsupportedName(word)
	}
	p.src.errorf(t.at, "%s is not supported; %s", word, hint)
	end := "END_" + strings.TrimPrefix(word, "INITIAL_")
	for i := p.next + 1; i < len(p.list) && !isBlockEnd(p.list[i]) && !isUnit(p.list[i]); i++ {
		if n := p.list[i]; n.kind == tokName && lineOf(p.src, n.at.from) == lineOf(p.src, t.at.from) {
			p.file.skipped[upper(n.word)] = true
		}
		if upper(p.src.piece(p.list[i].at)) == end {
			p.next = i + 1
			p.accept(";")
			return
		}
	}
	panic(bailOut{})
}

// leaveOutAccess refuses the words of access and inheritance before a name.
func (p *parser) leaveOutAccess() {
	for {
		t := p.tok()
		switch upper(t.word) {
		case "PUBLIC", "INTERNAL", "PRIVATE", "PROTECTED", "FINAL", "ABSTRACT":
		default:
			return
		}
		if next := p.ahead(1); next.kind != tokName && !next.is("ABSTRACT") {
			return
		}
		p.src.errorf(t.at, "%s is not supported; leave it out", upper(t.word))
		p.take()
	}
}

// unit is a PROGRAM, a FUNCTION_BLOCK or a FUNCTION.
func (p *parser) unit() *Block {
	start := p.take()
	b := &Block{Kind: BlockKind(start.word), byName: map[string]*Variable{}}
	p.leaveOutAccess()
	name := p.name("the name of the " + start.word)
	b.Name, b.at = name.word, name.at
	b.Line = lineOf(p.src, start.at.from)
	if p.tok().is(":") {
		p.guard(func() { p.result(b) }, p.toBody)
	} else if !p.sectionBegins() && !p.memberBegins() && p.tok().kind == tokKeyword && unsupportedWord(p.tok().word) != "" {
		p.guard(p.refuseUnsupported, p.toBody)
	}
	for p.sectionBegins() || p.memberBegins() {
		p.guard(func() {
			if p.memberBegins() {
				p.skipMember()
				return
			}
			p.section(b)
		}, p.toBody)
	}
	end := "END_" + start.word
	b.body = p.statements(end)
	p.endUnit(b, end)
	b.whole = start.at.until(p.last)
	p.accept(";")
	return b
}

// endUnit takes the end of a unit, or that of another one in its place.
func (p *parser) endUnit(b *Block, end string) {
	switch t := p.tok(); {
	case p.accept(end):
	case isBlockEnd(t):
		p.src.errorf(t.at, "found %q; must be %s at the end of %s", t.word, end, b.Name)
		p.take()
	default:
		p.reportMissing("%s is missing at the end of %s", end, b.Name)
	}
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
	for !p.endsSection() {
		if p.bodyBegins(b) {
			p.reportMissing("END_VAR is missing after the declarations")
			return
		}
		for _, v := range p.variables() {
			v.Section, v.Constant, v.Retain = section, constant, retain
			b.Variables = append(b.Variables, v)
		}
	}
	p.expect("END_VAR", "after the declarations")
	p.accept(";")
}

func (p *parser) endsSection() bool {
	t := p.tok()
	return t.is("END_VAR") || isBlockEnd(t) || isUnit(t) || t.is("TYPE") || t.kind == tokEnd || p.sectionBegins()
}

// bodyBegins is whether a statement stands where declarations are read: END_VAR is missing.
func (p *parser) bodyBegins(b *Block) bool {
	t := p.tok()
	if beginsStatement(t) {
		return !p.ahead(1).is(":") && !p.ahead(1).is(",") // not a keyword in place of a name
	}
	declared := slices.ContainsFunc(b.Variables, func(v *Variable) bool { return upper(v.Name) == upper(t.word) })
	return t.kind == tokName && declared && (p.ahead(1).is(":=") || p.ahead(1).is("(") || p.ahead(1).is("."))
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
		case upper(t.word) == "PERSISTENT" && !p.ahead(1).is(":") && !p.ahead(1).is(","):
			p.src.errorf(t.at, "PERSISTENT is not in the standard; write VAR RETAIN, which keeps the values over a loss of power")
			retain = true
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
	for t := p.tok(); t.kind != tokEnd && !t.is("END_VAR") && !t.is("END_STRUCT") && !isBlockEnd(t) && !isUnit(t); t = p.tok() {
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
		p.address(t.word)
		if !p.accept(",") {
			break
		}
	}
	if first := p.ahead(-1); slices.Contains(elementaryNames(), upper(first.word)) && p.tok().kind == tokName {
		t := p.tok()
		*to = []*Variable{{Name: t.word, at: t.at}}
		p.fail("the name of a variable stands before its type: write %s : %s", t.word, upper(first.word))
	}
	if p.tok().is(":=") {
		p.fail("the type of %s is missing: write %s : INT := … or another type", p.ahead(-1).word, p.ahead(-1).word)
	}
	p.expect(":", "between the name of a variable and its type")
	spec := p.typeSpec()
	if t := p.tok(); t.is("R_EDGE") || t.is("F_EDGE") {
		p.refuseUnsupported()
	}
	var init *initial
	if p.accept(":=") {
		init = p.initial()
	} else if t := p.tok(); t.is("=") {
		p.src.errorf(t.at, "an initial value is given with :=, not with =")
		p.take()
		init = p.initial()
	}
	if spec.refused {
		for _, v := range *to {
			p.pointers[upper(v.Name)] = true
		}
	}
	for _, v := range *to {
		v.spec, v.init = spec, init
		if init != nil {
			v.Initial = p.src.piece(init.at)
		}
	}
	if t := p.tok(); !t.is(";") && (lineOf(p.src, p.last.to) != lineOf(p.src, t.at.from) || t.is("END_VAR") || t.is("END_STRUCT")) {
		p.reportMissing("; is missing after the declaration")
		return
	}
	p.expect(";", "after the declaration")
}

// address refuses the direct address of a variable.
func (p *parser) address(name string) {
	t := p.tok()
	if !t.is("AT") {
		return
	}
	p.take()
	at := t.at
	if p.tok().kind == tokBad {
		at = at.until(p.take().at)
	}
	p.src.errorf(at, "%s is not supported; leave it out and bind %s in the binding document", p.src.piece(at), name)
}

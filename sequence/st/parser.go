package st

import "fmt"

// maxDepth bounds how deep expressions and statements can be nested.
const maxDepth = 100

// parser is a recursive descent over the tokens. After an error it goes on at the next
// statement, declaration or block, so that one run reports all errors.
type parser struct {
	src   *source
	list  []token
	next  int
	depth int
	last  span // of the last token taken

	alone    bool            // a value stands by itself and not in a list: a comma in it is a mistake
	cases    int             // CASE statements around the present one whose next label may come
	values   map[string]bool // names in capitals of enumerated values
	refused  map[string]bool // keywords that were refused as names: what follows from them is no news
	pointers map[string]bool // variables in capitals that were refused as pointers
	file     *file
}

// bailOut is the panic with which a syntax error ends the present statement, declaration or block.
type bailOut struct{}

// parse reads a text. It is not whole if a comment without an end hides a part of it.
func parse(src *source) (f *file, whole bool) {
	p := &parser{src: src, list: tokens(src), values: map[string]bool{}, refused: map[string]bool{}, pointers: map[string]bool{}}
	f = &file{skipped: map[string]bool{}, globals: map[string]bool{}}
	p.file = f
	for p.tok().kind != tokEnd {
		p.guard(func() { p.declaration(f) }, p.toDeclaration)
	}
	return f, !p.tok().open
}

func (p *parser) tok() token { return p.list[p.next] }

func (p *parser) ahead(n int) token { return p.list[max(0, min(p.next+n, len(p.list)-1))] }

// take returns the token and goes on to the next.
func (p *parser) take() token {
	t := p.tok()
	p.last = t.at
	if t.kind != tokEnd {
		p.next++
	}
	return t
}

// accept takes the token if it is that keyword or mark.
func (p *parser) accept(word string) bool {
	if !p.tok().is(word) {
		return false
	}
	p.take()
	return true
}

// fail reports an error at the present token and ends the present statement, declaration or block.
func (p *parser) fail(format string, values ...any) {
	p.failAt(p.tok().at, format, values...)
}

func (p *parser) failAt(at span, format string, values ...any) {
	if p.known() {
		panic(bailOut{})
	}
	p.src.errorf(at, format, values...)
	panic(bailOut{})
}

// known is whether an error at the present token follows from one that has been reported.
func (p *parser) known() bool {
	t := p.tok()
	return t.kind == tokBad || t.open || p.afterOpen() || t.kind == tokKeyword && p.refused[t.word]
}

// afterOpen is whether the last token is a string without an end.
func (p *parser) afterOpen() bool { return p.next > 0 && p.list[p.next-1].open }

// reportMissing reports what is missing behind the last token, unless it follows from another error.
func (p *parser) reportMissing(format string, values ...any) {
	if !p.known() {
		p.src.errorf(span{p.last.to, p.last.to}, format, values...)
	}
}

// guard runs a part of the grammar; after an error in it, recover is run.
func (p *parser) guard(part, recovery func()) {
	start, depth, alone, cases := p.next, p.depth, p.alone, p.cases
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(bailOut); !ok {
				panic(r)
			}
			p.depth, p.alone, p.cases = depth, alone, cases
			recovery()
			if p.next == start && p.tok().kind != tokEnd {
				p.take() // never at the same token twice
			}
		}
	}()
	part()
}

// enter counts a level of nesting.
func (p *parser) enter() {
	p.depth++
	if p.depth > maxDepth {
		p.fail("this is nested more than %d deep; take a part out into a variable or a FUNCTION", maxDepth)
	}
}

func (p *parser) leave() { p.depth-- }

// expect takes that keyword or mark, or fails and says where it is missing.
func (p *parser) expect(word, where string) {
	if !p.tok().is(word) {
		p.missing(word, where)
	}
	p.take()
}

// missing reports a token that should stand here. If it is missing at the end of a line, that
// is the place and not the next token.
func (p *parser) missing(word, where string) {
	p.refuseUnsupported()
	at := p.tok().at
	if lineOf(p.src, p.last.to) != lineOf(p.src, at.from) && p.last.to > 0 {
		at = span{p.last.to, p.last.to}
		p.failAt(at, "%s is missing %s", word, where)
	}
	p.failAt(at, "found %s; must be %s %s", p.found(), word, where)
}

func lineOf(src *source, offset int32) int {
	line, _ := src.place(offset)
	return line
}

// found describes the present token in a message.
func (p *parser) found() string {
	t := p.tok()
	if t.kind == tokEnd {
		return t.word
	}
	text := p.src.piece(t.at)
	if len(text) > 40 {
		text = text[:40] + "…"
	}
	return fmt.Sprintf("%q", text)
}

// refuseUnsupported fails at a word of the standard that is not supported.
func (p *parser) refuseUnsupported() {
	t := p.tok()
	hint := ""
	switch t.kind {
	case tokKeyword:
		hint = unsupportedWord(t.word)
	case tokName:
		hint = unsupportedName(upper(t.word))
	}
	if hint != "" {
		p.fail("%s is not supported; %s", upper(t.word), hint)
	}
}

// name takes a name; what describes it in the message if there is none.
func (p *parser) name(what string) token {
	t := p.tok()
	if t.kind == tokName {
		return p.take()
	}
	if !t.is("AT") && !t.is("R_EDGE") && !t.is("F_EDGE") {
		p.refuseUnsupported()
	}
	if t.kind == tokKeyword {
		if next := p.ahead(1); next.is(":") || next.is(",") {
			defer func() { p.refused[t.word] = true }()
		}
		p.fail("%s is a keyword and cannot be %s", t.word, what)
	}
	p.fail("found %s; must be %s", p.found(), what)
	return t
}

// toDeclaration skips to the next block or type.
func (p *parser) toDeclaration() {
	for t := p.tok(); t.kind != tokEnd; t = p.tok() {
		switch {
		case t.is("PROGRAM"), t.is("FUNCTION"), t.is("FUNCTION_BLOCK"), t.is("TYPE"):
			return
		case t.is("END_PROGRAM"), t.is("END_FUNCTION"), t.is("END_FUNCTION_BLOCK"), t.is("END_TYPE"):
			p.take()
			return
		}
		p.take()
	}
}

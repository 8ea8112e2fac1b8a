package sequence

import (
	"strings"
	"unicode"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"
)

// This file reads the spellings of IEC 61131-3 beside those of the parser: AND, OR, NOT, TRUE
// and FALSE in any case, = and <>. The parser sees its own spelling, and every location leads
// back to the text as written.

// spelling is an expression in the spelling of the parser.
type spelling struct {
	plain  []rune
	origin []int // by character of plain: the character of the text as written
	end    int   // of the text as written
}

// spelled translates an expression. The error is an *ExprError about a sign of the trade that
// the language does not have, with what to write in its place.
func spelled(text string) (spelling, error) {
	s := speller{source: []rune(text)}
	for s.at < len(s.source) {
		if err := s.next(); err != nil {
			return spelling{}, err
		}
	}
	s.end = len(s.source)
	return s.spelling, nil
}

type speller struct {
	spelling
	source   []rune
	at       int
	declares bool // after let, which the language does not have, = is the parser's
}

// next translates one word, quoted text or sign.
func (s *speller) next() error {
	c := s.source[s.at]
	switch {
	case c == '"' || c == '\'' || c == '`':
		s.copy(s.quoted(c))
		return nil
	case unicode.IsLetter(c) || c == '_':
		return s.word()
	case unicode.IsDigit(c) || c == '.':
		s.copy(s.run(func(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) || c == '.' || c == '_' }))
		return nil
	}
	return s.sign()
}

// copy takes n characters as they are.
func (s *speller) copy(n int) { s.put(n, string(s.source[s.at:s.at+n])) }

// put takes n characters in another spelling.
func (s *speller) put(n int, plain string) {
	for i, c := range []rune(plain) {
		s.plain, s.origin = append(s.plain, c), append(s.origin, s.at+min(i, n-1))
	}
	s.at += n
}

// quoted is the length of a text in quotes, with them.
func (s *speller) quoted(quote rune) int {
	for i := s.at + 1; i < len(s.source); i++ {
		switch {
		case s.source[i] == '\\' && quote != '`':
			i++
		case s.source[i] == quote:
			return i + 1 - s.at
		}
	}
	return len(s.source) - s.at
}

// run is the number of characters from here on that belong together.
func (s *speller) run(belongs func(rune) bool) int {
	n := 1
	for s.at+n < len(s.source) && belongs(s.source[s.at+n]) {
		n++
	}
	return n
}

// word translates one word. Names have no capitals, so that none is mistaken for one.
func (s *speller) word() error {
	n := s.run(func(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) || c == '_' })
	word := string(s.source[s.at : s.at+n])
	s.declares = s.declares || word == "let"
	switch lower := strings.ToLower(word); lower {
	case opAnd, opOr, opNot, textTrue, textFalse:
		s.put(n, lower)
		return nil
	case "xor":
		return s.instead(word, "a != b for two conditions of which exactly one is met")
	case "mod":
		return s.instead(word, "a comparison without a remainder")
	}
	s.copy(n)
	return nil
}

// sign translates one sign, of one or two characters.
func (s *speller) sign() error {
	two := string(s.source[s.at:min(s.at+2, len(s.source))])
	switch two {
	case "<>":
		s.put(2, "!=")
		return nil
	case ":=":
		return s.instead(two, "= to compare; a state sets outputs under set and keeps values under keep")
	case "=<", "=>":
		return s.instead(two, map[string]string{"=<": "<=", "=>": ">="}[two])
	case "==", "!=", "<=", ">=", "&&", "||":
		s.copy(2)
		return nil
	}
	switch {
	case strings.HasPrefix(two, "=") && !s.declares:
		s.put(1, "==")
	case strings.HasPrefix(two, "&"):
		return s.instead("&", "and")
	default:
		s.copy(1)
	}
	return nil
}

// instead is the error about a word or sign at the present place.
func (s *speller) instead(found, write string) error {
	return &ExprError{s.at + 1, found + " is not part of the language; write " + write}
}

// source is where a character of the plain spelling stands in the text as written.
func (s *spelling) source(at int) int {
	if at < len(s.origin) && at >= 0 {
		return s.origin[at]
	}
	return s.end + at - len(s.origin)
}

func (s *spelling) location(l file.Location) file.Location {
	if l.To > 0 {
		return file.Location{From: s.source(l.From), To: s.source(l.To-1) + 1}
	}
	return file.Location{From: s.source(l.From), To: l.To}
}

// locate sets the locations of a tree to those in the text as written. The parser shares no
// nodes but in a chained comparison, which is refused.
func (s *spelling) locate(node ast.Node) {
	if len(s.origin) == s.end {
		return // as long as it was written
	}
	ast.Walk(&node, relocation{s})
}

type relocation struct{ s *spelling }

// Visit is called by the library for every node.
func (r relocation) Visit(n *ast.Node) { (*n).SetLocation(r.s.location((*n).Location())) }

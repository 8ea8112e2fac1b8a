package st

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxSource is the longest text that is read, in bytes.
const MaxSource = 1 << 20

// lexer cuts a text into tokens. Characters that are no token are reported and skipped.
type lexer struct {
	src   *source
	text  string
	next  int
	list  []token
	open  bool // a comment or a pragma has no end
	blank bool // a blank of another kind has been reported
}

// tokens are those of the text, with one of kind tokEnd last.
func tokens(src *source) []token {
	l := &lexer{src: src, text: src.text, list: make([]token, 0, len(src.text)/4+1)}
	for l.blanks(); l.next < len(l.text); l.blanks() {
		l.token()
	}
	end := int32(len(l.text))
	l.list = append(l.list, token{kind: tokEnd, at: span{end, end}, word: "the end of the file", open: l.open})
	return standardWords(src, l.list)
}

func (l *lexer) since(start int) span { return span{int32(start), int32(l.next)} }

func (l *lexer) add(kind tokenKind, start int, word string) {
	l.list = append(l.list, token{kind: kind, at: l.since(start), word: word})
}

// peek is the byte at a distance, 0 after the end.
func (l *lexer) peek(distance int) byte {
	if i := l.next + distance; i < len(l.text) {
		return l.text[i]
	}
	return 0
}

func (l *lexer) has(word string) bool { return strings.HasPrefix(l.text[l.next:], word) }

// blanks skips white space, comments of every kind and pragmas.
func (l *lexer) blanks() {
	for l.next < len(l.text) {
		switch {
		case strings.IndexByte(" \t\r\n\f\v", l.peek(0)) >= 0:
			l.next++
		case l.has("//"):
			l.line()
		case l.has("(*"):
			l.comment("(*", "*)")
		case l.has("/*"):
			l.comment("/*", "*/")
		case l.peek(0) == '{':
			l.pragma()
		default:
			return
		}
	}
}

func (l *lexer) line() {
	if i := strings.IndexByte(l.text[l.next:], '\n'); i >= 0 {
		l.next += i
		return
	}
	l.next = len(l.text)
}

// comment skips a comment; comments of one kind may be nested.
func (l *lexer) comment(open, shut string) {
	start, depth, inner := l.next, 0, 0
	for l.next < len(l.text) {
		switch {
		case l.has(open):
			if depth++; depth == 2 && inner == 0 {
				inner = l.next
			}
			l.next += len(open)
		case l.has(shut):
			depth--
			l.next += len(shut)
		default:
			l.next++
		}
		if depth == 0 {
			return
		}
	}
	l.open = true
	within := ""
	if inner > 0 {
		within = fmt.Sprintf("; the first %s within it is in line %d", open, lineOf(l.src, int32(inner)))
	}
	l.src.errorf(span{int32(start), int32(start + 2)}, "the comment has no end; it needs %s, one for each %s within it%s", shut, open, within)
}

// pragma skips one. Statements in it would be skipped too, which is not meant.
func (l *lexer) pragma() {
	start := l.next
	if i := strings.IndexByte(l.text[l.next:], '}'); i >= 0 {
		l.next += i + 1
		if strings.Contains(l.text[start:l.next], ";") {
			l.src.warnf(l.since(start), "{ … } is a pragma and skipped, with the statements in it; a statement with a body ends with END_IF and its like")
		}
		return
	}
	l.next, l.open = len(l.text), true
	l.src.errorf(span{int32(start), int32(start + 1)}, "the pragma has no end; it needs }")
}

func (l *lexer) token() {
	switch c := l.peek(0); {
	case isLetter(c):
		l.name()
	case isDigit(c):
		l.number()
	case c == '\'':
		l.quoted()
	case c == '"':
		l.wide()
	case c == '%':
		l.address()
	default:
		l.mark()
	}
}

// name is a name, a keyword, or what stands before # in a literal.
func (l *lexer) name() {
	start := l.next
	l.digits()
	if r, _ := utf8.DecodeRuneInString(l.text[l.next:]); r > 0x7f && unicode.IsLetter(r) {
		l.foreignName(start)
		return
	}
	word := l.text[start:l.next]
	if l.peek(0) == '#' {
		l.next++
		l.typed(start, word)
		return
	}
	if u := upper(word); isKeyword(u) {
		l.add(tokKeyword, start, u)
		return
	}
	l.add(tokName, start, word)
}

// foreignName is a name with letters that a name cannot have.
func (l *lexer) foreignName(start int) {
	end := strings.IndexFunc(l.text[l.next:], func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' })
	if end < 0 {
		end = len(l.text) - l.next
	}
	l.next += end
	l.bad(start, "%q is no name; a name has the letters A to Z, digits and underscores", l.text[start:l.next])
}

// typed is the name before #; the value of a duration belongs to it.
func (l *lexer) typed(start int, word string) {
	switch upper(word) {
	case "T", "TIME":
		l.duration(start)
	case "LT", "LTIME":
		l.skipLiteral()
		l.bad(start, "LTIME is not supported; write T#… of type TIME, which has 64 bits here")
	case "D", "DATE", "LD", "LDATE", "TOD", "TIME_OF_DAY", "LTOD", "DT", "DATE_AND_TIME", "LDT":
		l.skipLiteral()
		l.bad(start, "dates and times of day are not supported; the bench has no calendar; use TIME and timers")
	default:
		l.add(tokTyped, start, word)
	}
}

// skipLiteral goes to the end of a literal that is not read.
func (l *lexer) skipLiteral() {
	for c := l.peek(0); isLetter(c) || isDigit(c) || strings.IndexByte(".:-", c) >= 0 && c != 0; c = l.peek(0) {
		l.next++
	}
}

// bad reports an error and makes a token in place of a value.
func (l *lexer) bad(start int, format string, values ...any) {
	l.src.errorf(l.since(start), format, values...)
	l.add(tokBad, start, "")
}

// address is a direct address, which has no place in a program that is bound by names.
func (l *lexer) address() {
	start := l.next
	l.next++
	if c := l.peek(0); !isLetter(c) {
		l.src.errorf(l.since(start), "%% is no operator; write MOD")
		l.add(tokKeyword, start, "MOD")
		return
	}
	if l.follows(".") && l.list[len(l.list)-1].at.to == int32(start) { // a part of a bit string: w.%X1
		l.digits()
		l.add(tokInteger, start, l.text[start:l.next])
		return
	}
	for c := l.peek(0); isLetter(c) || isDigit(c) || c == '.' || c == '*'; c = l.peek(0) {
		l.next++
	}
	if l.follows("AT") { // the parser refuses both at once
		l.add(tokBad, start, "")
		return
	}
	l.bad(start, "the direct address %s is not supported; declare a variable and bind its name in the binding document",
		l.text[start:l.next])
}

// follows is whether the last token is that keyword or mark.
func (l *lexer) follows(word string) bool {
	return len(l.list) > 0 && l.list[len(l.list)-1].is(word)
}

// mark is an operator or a delimiter.
func (l *lexer) mark() {
	start := l.next
	if l.foreignMark() {
		return
	}
	for _, m := range []string{":=", "=>", "<=", ">=", "<>", "**", "..", "+=", "-=", "*=", "/="} {
		if l.has(m) {
			l.next += 2
			l.add(tokMark, start, m)
			return
		}
	}
	r, size := utf8.DecodeRuneInString(l.text[start:])
	if unicode.IsLetter(r) {
		l.foreignName(start)
		return
	}
	l.next += size
	if strings.ContainsRune("+-*/=<>()[].,;:&^", r) {
		l.add(tokMark, start, string(r))
		return
	}
	l.stray(start, r)
}

func strayCharacter(r rune) string {
	switch r {
	case '?':
		return "? is no operator; write SEL(condition, value if FALSE, value if TRUE), or an IF"
	case '$':
		return "$ has a meaning in strings only; a number with the base 16 begins with 16#"
	case '}':
		return "} ends no pragma; remove it"
	case utf8.RuneError:
		return "the character U+FFFD stands for one that was lost in a conversion; write it again"
	}
	return fmt.Sprintf("%q has no meaning here; remove it", r)
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' }

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

package st

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// foreignMarks are operators of other languages, the longer ones first. An empty word stands for none.
func foreignMarks() []struct{ mark, word, write string } {
	return []struct{ mark, word, write string }{
		{"...", "..", ".."},
		{"==", "=", "="}, {"!=", "<>", "<>"}, {"><", "<>", "<>"}, {"=<", "<=", "<="}, {"=:", ":=", ":="},
		{"&&", "AND", "AND"}, {"||", "OR", "OR"}, {"!", "NOT", "NOT"}, {"~", "NOT", "NOT"}, {"|", "OR", "OR"},
		{"<<", "", "SHL(…)"}, {">>", "", "SHR(…)"},
		{"–", "-", "-"}, {"—", "-", "-"}, {"−", "-", "-"}, {"≤", "<=", "<="}, {"≥", ">=", ">="}, {"≠", "<>", "<>"},
	}
}

// foreignMark reads an operator of another language as the one that is meant.
func (l *lexer) foreignMark() bool {
	start := l.next
	for _, f := range foreignMarks() {
		if !l.has(f.mark) {
			continue
		}
		l.next += len(f.mark)
		l.src.errorf(l.since(start), "%s is no operator; write %s", f.mark, f.write)
		switch {
		case f.word == "":
			l.add(tokBad, start, "")
		case isKeyword(f.word):
			l.add(tokKeyword, start, f.word)
		default:
			l.add(tokMark, start, f.word)
		}
		return true
	}
	for _, end := range []string{"*)", "*/"} {
		if l.has(end) {
			l.next += len(end)
			l.src.errorf(l.since(start), "%s ends no comment; remove it", end)
			return true
		}
	}
	if l.peek(0) == '.' && isDigit(l.peek(1)) && !l.afterValue() {
		l.next++
		l.decimals()
		l.bad(start, "%q is no number; a digit stands before the point, as in 0%s", l.text[start:l.next], l.text[start:l.next])
		return true
	}
	return false
}

// afterValue is whether the last token ends a value, so that a point goes on with it.
func (l *lexer) afterValue() bool {
	if len(l.list) == 0 {
		return false
	}
	t := l.list[len(l.list)-1]
	return t.kind != tokMark && t.kind != tokKeyword || t.is("]") || t.is(")") || t.is("^")
}

// stray is a character that no token has.
func (l *lexer) stray(start int, r rune) {
	switch {
	case unicode.IsSpace(r) || r == '\u200b' || r == '\ufeff':
		if !l.blank {
			l.src.errorf(l.since(start), "the character %U is no blank of a program; write a space, here and in other places", r)
		}
		l.blank = true
	case strings.ContainsRune("‘’“”„`´", r):
		l.foreignQuote(start, r)
	case r == '#' && l.beginsLine(start) && l.directive():
		l.src.errorf(l.since(start), "a line that begins with # is not supported; remove it")
	case r == '#' && (isLetter(l.peek(0)) || isDigit(l.peek(0))):
		l.src.errorf(l.since(start), "# stands between a type or a base and a value only; remove it")
	case r == '$':
		l.digits()
		l.bad(start, "%s", strayCharacter(r))
	default:
		l.bad(start, "%s", strayCharacter(r))
	}
}

// foreignQuote is a string in quotes of a word processor.
func (l *lexer) foreignQuote(start int, r rune) {
	line := l.text[l.next:l.endOfLine()]
	if i := strings.IndexAny(line, "’”“`´"); i >= 0 {
		_, size := utf8.DecodeRuneInString(line[i:])
		l.next += i + size
	}
	l.src.errorf(l.since(start), "%q begins no string; write '", r)
	l.list = append(l.list, token{kind: tokString, at: l.since(start)})
}

func (l *lexer) endOfLine() int {
	if i := strings.IndexByte(l.text[l.next:], '\n'); i >= 0 {
		return l.next + i
	}
	return len(l.text)
}

func (l *lexer) beginsLine(start int) bool {
	return strings.TrimSpace(l.text[strings.LastIndexByte(l.text[:start], '\n')+1:start]) == ""
}

// directive skips a line such as #region, which is no statement.
func (l *lexer) directive() bool {
	end := l.endOfLine()
	if line := l.text[l.next:end]; strings.ContainsAny(line, ";=:(") {
		return false
	}
	l.next = end
	return true
}

// openString is a string without an end on its line. What ends the statement or its head is found
// all the same.
func (l *lexer) openString(start int, quote string) {
	l.bad(start, "the string has no end on its line; it needs %s", quote)
	l.list[len(l.list)-1].open = true
	line := strings.TrimRight(l.text[start:l.next], " \t\r")
	for _, end := range []string{";", "THEN", "DO", "OF"} {
		if !strings.HasSuffix(upper(line), end) {
			continue
		}
		at := int32(start + len(line))
		kind := tokKeyword
		if end == ";" {
			kind = tokMark
		}
		l.list = append(l.list, token{kind: kind, at: span{at - int32(len(end)), at}, word: end})
		return
	}
}

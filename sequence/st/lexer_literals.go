package st

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// number is an integer, with a base or not, or a real. A range such as 1..5 begins with an
// integer.
func (l *lexer) number() {
	start := l.next
	l.digits()
	if l.peek(0) == '#' {
		l.next++
		l.digits()
		l.endNumber(start, tokInteger)
		return
	}
	if l.peek(0) != '.' || l.peek(1) == '.' {
		l.endNumber(start, tokInteger)
		return
	}
	l.next++
	if !isDigit(l.peek(0)) {
		l.digits()
		l.bad(start, "%q is no number; a digit follows the point, as in 1.0", l.text[start:l.next])
		return
	}
	l.decimals()
	if c := l.peek(0); c == 'e' || c == 'E' {
		l.next++
		if c := l.peek(0); c == '+' || c == '-' {
			l.next++
		}
		l.decimals()
	}
	l.endNumber(start, tokReal)
}

// digits takes letters too, which are digits in some bases and errors in others.
func (l *lexer) digits() {
	for isDigit(l.peek(0)) || isLetter(l.peek(0)) {
		l.next++
	}
}

func (l *lexer) decimals() {
	for isDigit(l.peek(0)) || l.peek(0) == '_' {
		l.next++
	}
}

func (l *lexer) endNumber(start int, kind tokenKind) {
	if isLetter(l.peek(0)) {
		l.digits()
		l.bad(start, "%q is no number", l.text[start:l.next])
		return
	}
	l.add(kind, start, l.text[start:l.next])
}

// duration is what follows T#, for instance -1h30m or 12.5ms.
func (l *lexer) duration(start int) {
	from := l.next
	if c := l.peek(0); c == '-' || c == '+' {
		l.next++
	}
	for c := l.peek(0); isDigit(c) || isLetter(c) || c == '.' && isDigit(l.peek(1)); c = l.peek(0) {
		l.next++
	}
	ns, wrong := parseDuration(l.text[from:l.next])
	if wrong != "" {
		if other := l.foreignDuration(from); other != "" {
			wrong = other
		}
		l.bad(start, "%q is no duration: %s", l.text[start:l.next], wrong)
		return
	}
	l.list = append(l.list, token{kind: tokDuration, at: l.since(start), word: l.text[start:l.next], number: ns})
}

// foreignDuration takes what was meant for a part of a duration behind a number without a unit: a
// comma with decimals, a unit behind a blank, µs.
func (l *lexer) foreignDuration(from int) string {
	if l.next == from || !isDigit(l.text[l.next-1]) {
		return ""
	}
	if l.peek(0) == ',' && isDigit(l.peek(1)) {
		l.next++
		l.digits()
		return "decimals follow a point, as in T#1.5s"
	}
	for _, micro := range []string{"µs", "μs"} {
		if l.has(micro) {
			l.next += len(micro)
			return "write us for " + micro
		}
	}
	rest := strings.TrimLeft(l.text[l.next:], " ")
	word := rest[:len(rest)-len(strings.TrimLeftFunc(rest, unicode.IsLetter))]
	if unitIndex(strings.ToLower(word)) < 0 {
		return ""
	}
	l.next = len(l.text) - len(rest) + len(word)
	return "no blank stands before the unit"
}

// wide is a string of two-byte characters, which is not supported. In other dialects it is a name.
func (l *lexer) wide() {
	start := l.next
	l.next++
	for l.next < len(l.text) && l.peek(0) != '"' && l.peek(0) != '\n' {
		l.next++
	}
	if l.peek(0) != '"' {
		l.openString(start, "', and WSTRING is not supported")
		return
	}
	word := l.text[start+1 : l.next]
	l.next++
	rest := strings.TrimLeft(l.text[l.next:], " \t")
	if isName(word) && (strings.HasPrefix(rest, ":=") || strings.HasPrefix(rest, ".") || strings.HasPrefix(rest, "(")) {
		l.src.errorf(l.since(start), "a name has no quotes; write %s", word)
		l.add(tokName, start, word)
		return
	}
	l.src.errorf(l.since(start), "%s is a WSTRING, which is not supported; write a STRING in single quotes", l.text[start:l.next])
	l.list = append(l.list, token{kind: tokString, at: l.since(start)})
}

func isName(word string) bool {
	for i := range len(word) {
		if !isLetter(word[i]) && (i == 0 || !isDigit(word[i])) {
			return false
		}
	}
	return word != ""
}

// quoted is a string. $ begins what cannot be typed: $$ $' $L $N $P $R $T and two hexadecimal
// digits (IEC 61131-3, table of character strings, from memory).
func (l *lexer) quoted() {
	start := l.next
	l.next++
	var value []byte
	for l.next < len(l.text) && l.peek(0) != '\'' && l.peek(0) != '\n' {
		if l.peek(0) == '$' {
			value = l.dollar(value)
			continue
		}
		r, size := utf8.DecodeRuneInString(l.text[l.next:])
		from := l.next
		l.next += size
		if r > 0xff {
			l.src.errorf(l.since(from), "%q cannot be in a STRING, whose characters have one byte (ISO 8859-1)", r)
			r = '?'
		}
		value = append(value, byte(r))
	}
	if l.peek(0) != '\'' {
		l.openString(start, "'")
		return
	}
	l.next++
	l.list = append(l.list, token{kind: tokString, at: l.since(start), text: string(value)})
}

func (l *lexer) dollar(value []byte) []byte {
	start := l.next
	l.next++
	c := l.peek(0)
	if hi, lo := hexDigit(c), hexDigit(l.peek(1)); hi >= 0 && lo >= 0 {
		l.next += 2
		return append(value, byte(hi<<4|lo))
	}
	for i, letter := range "$'LNPRT" {
		if c != 0 && strings.EqualFold(string(rune(c)), string(letter)) {
			l.next++
			return append(value, "$'\n\n\f\r\t"[i])
		}
	}
	l.src.errorf(l.since(start), "$ is followed by $, ', L, N, P, R, T or two hexadecimal digits; write $$ for the character itself")
	return value
}

func hexDigit(c byte) int {
	switch {
	case isDigit(c):
		return int(c - '0')
	case c >= 'a' && c <= 'f':
		return int(c-'a') + 10
	case c >= 'A' && c <= 'F':
		return int(c-'A') + 10
	}
	return -1
}

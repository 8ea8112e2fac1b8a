// Package csvcell keeps texts in files of comma-separated values from being read as formulas.
package csvcell

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// number is what a spreadsheet reads as a number. It may begin with a sign.
var number = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+|Inf)([eE][+-]?[0-9]+)?$`)

// Text is a cell that no spreadsheet reads as a formula: one that begins with = + - @, a tab, a
// carriage return or a line feed, also as a full-width sign, has an apostrophe ahead of it. A number
// stays as it is, a negative one too (OWASP, CSV injection; from memory). Control characters come out as escapes,
// as many a table is read on a terminal.
func Text(text string) string {
	if beginsFormula(text) && !number.MatchString(text) {
		text = "'" + text
	}
	if !strings.ContainsFunc(text, control) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if control(r) {
			escaped := strconv.QuoteRuneToASCII(r)
			b.WriteString(escaped[1 : len(escaped)-1])
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// control is whether a character moves the cursor, changes colours or turns the direction of writing.
func control(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029'
}

// Row makes each cell of a row one that is no formula, in place.
func Row(cells []string) []string {
	for i, text := range cells {
		cells[i] = Text(text)
	}
	return cells
}

func beginsFormula(text string) bool {
	first, _ := utf8.DecodeRuneInString(text)
	return strings.ContainsRune("=+-@\t\r\n＝＋－＠", first)
}

// Package csvcell keeps texts in files of comma-separated values from being read as formulas.
package csvcell

import (
	"regexp"
	"strings"
	"unicode/utf8"
)

// number is what a spreadsheet reads as a number. It may begin with a sign.
var number = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+|Inf)([eE][+-]?[0-9]+)?$`)

// Text is a cell that no spreadsheet reads as a formula: one that begins with = + - @, a tab, a
// carriage return or a line feed, also as a full-width sign, has an apostrophe ahead of it. A number
// stays as it is, a negative one too (OWASP, CSV injection; from memory).
func Text(text string) string {
	if !beginsFormula(text) || number.MatchString(text) {
		return text
	}
	return "'" + text
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

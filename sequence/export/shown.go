package export

import (
	"strings"
	"unicode"
)

// shown is a text without the control characters that names and notes of a document may have: a terminal obeys
// them, and XML does not have them.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}

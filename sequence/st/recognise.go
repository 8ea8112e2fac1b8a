package st

import "strings"

// IsProgram is whether a text is meant as a program, right or wrong: its first word is a keyword, and a block
// in it is closed. A text that is too long for one counts as meant so, which its compilation refuses.
func IsProgram(text string) bool {
	if len(text) > MaxSource {
		return true
	}
	list := tokens(newSource("", text))
	if list[0].kind != tokKeyword {
		return false
	}
	for _, t := range list {
		if t.kind == tokKeyword && strings.HasPrefix(t.word, "END_") {
			return true
		}
	}
	return false
}

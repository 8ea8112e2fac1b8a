package scenarios

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbench/plant/problem"
)

// Limits of a document. Ours have a few hundred values. The library's parser needs
// time by the square of the number of keys and stack by their depth, so every limit
// is far below the point where that is felt.
const (
	maxBytes    = 1 << 20
	maxTokens   = 30_000
	maxDepth    = 40
	maxProblems = 50
)

// normalised drops the byte order mark and the carriage returns that editors add, and
// ends the last line: the lexer loses a tag that the text ends with.
func normalised(text []byte) string {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	plain := string(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
	return strings.TrimSuffix(plain, "\n") + "\n"
}

// checkCharacters finds the first character that no document may have.
func (s *source) checkCharacters(text string) error {
	line, column := 1, 1
	for i, r := range text {
		if r == '\n' {
			line, column = line+1, 1
			continue
		}
		if message := characterFault(text[i:], r); message != "" {
			return problem.List{s.problemAt(position{s.name, line, column}, message)}
		}
		column++
	}
	return nil
}

func characterFault(rest string, r rune) string {
	switch {
	case r == '\t':
		return "tab character; must be spaces"
	case r == utf8.RuneError && !strings.HasPrefix(rest, "\uFFFD"):
		return fmt.Sprintf("byte 0x%02x is not UTF-8; save the document as UTF-8", rest[0])
	case unicode.IsControl(r), r == '\ufeff':
		return fmt.Sprintf("control character %U; must be removed", r)
	}
	return ""
}

package remote

import (
	"strconv"
	"unicode"
	"unicode/utf8"
)

// printable is whether a text from outside may be shown: valid UTF-8, of bounded length, without
// control characters.
func printable(text string) bool {
	if len(text) > MaxText || !utf8.ValidString(text) {
		return false
	}
	for _, r := range text {
		if unicode.IsControl(r) || !unicode.IsPrint(r) {
			return false
		}
	}
	return true
}

// excerpt is the beginning of a line in quotes, with control characters escaped.
func excerpt(line []byte) string {
	const most = 60
	if len(line) > 0 && line[len(line)-1] == '\n' {
		line = line[:len(line)-1]
	}
	if len(line) > most {
		return strconv.Quote(string(line[:most])) + "…"
	}
	return strconv.Quote(string(line))
}

// appendText appends a text as JSON.
func appendText(dst []byte, text string) []byte {
	dst = append(dst, '"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			dst = append(dst, '\\', byte(r))
		case r < ' ':
			dst = append(dst, `\u00`...)
			dst = append(dst, "0123456789abcdef"[r>>4], "0123456789abcdef"[r&0xf])
		default:
			dst = utf8.AppendRune(dst, r)
		}
	}
	return append(dst, '"')
}

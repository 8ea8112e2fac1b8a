package st

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"holdbench/plant/problem"
)

// byteOrderMark may stand at the beginning of a file in UTF-8. It is no part of the text.
const byteOrderMark = "\ufeff"

// readable reports a text that is not UTF-8, once: what follows from it would only repeat it.
func (s *source) readable() bool {
	if found := wideEncoding(s.text); found != "" {
		s.list = append(s.list, problem.Problem{
			File: s.file, Line: 1, Column: 1, Message: fmt.Sprintf("the file is %s; save it as UTF-8", found),
		})
		return false
	}
	for i, r := range s.text {
		if r != utf8.RuneError {
			continue
		}
		if _, size := utf8.DecodeRuneInString(s.text[i:]); size == 1 {
			s.errorf(span{int32(i), int32(i + 1)}, "the file is not UTF-8: found %s; save it as UTF-8", strayByte(s.text[i]))
			return false
		}
	}
	return true
}

// strayByte describes a byte that is no UTF-8. From 16#A0 on ISO 8859-1 and Windows-1252 agree.
func strayByte(b byte) string {
	if b < 0xa0 {
		return fmt.Sprintf("the byte 16#%02X, as in Windows-1252", b)
	}
	return fmt.Sprintf("the byte 16#%02X, which is %q in Windows-1252 and ISO 8859-1", b, rune(b))
}

// wideEncoding is the name of an encoding with two or four bytes a character, empty for others. Without
// a byte-order mark it shows in the zeros beside the letters of ISO 8859-1.
func wideEncoding(text string) string {
	for _, e := range []struct{ mark, name string }{
		{"\xff\xfe\x00\x00", "UTF-32 (little endian)"},
		{"\x00\x00\xfe\xff", "UTF-32 (big endian)"},
		{"\xff\xfe", "UTF-16 (little endian)"},
		{"\xfe\xff", "UTF-16 (big endian)"},
	} {
		if strings.HasPrefix(text, e.mark) {
			return e.name
		}
	}
	const sample = 512
	head := text[:min(len(text), sample)]
	zeros := [2]int{}
	for i := range len(head) {
		if head[i] == 0 {
			zeros[i%2]++
		}
	}
	few, many := len(head)/20, len(head)*2/5
	switch {
	case len(head) < 16: // no program is so short
	case zeros[1] > many && zeros[0] <= few:
		return "UTF-16 (little endian)"
	case zeros[0] > many && zeros[1] <= few:
		return "UTF-16 (big endian)"
	}
	return ""
}

package recording

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
)

const (
	longestLine = 1 << 20 // bytes
	sample      = 4096    // bytes from which the encoding is found
)

// lines reads a file line by line as UTF-8, whatever its encoding.
type lines struct {
	scan     *bufio.Scanner
	encoding string
	number   int    // of the line in text, from 1
	text     []byte // valid until the next line
}

// newLines finds the encoding: by a byte order mark; UTF-16 without one by the zero bytes that ASCII has in it;
// else UTF-8, and Latin-1 in a line that is no UTF-8.
func newLines(in io.Reader) (*lines, error) {
	start := bufio.NewReaderSize(in, sample)
	first, err := start.Peek(sample)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	l := &lines{encoding: encodingOf(first)}
	var text io.Reader = start
	switch l.encoding {
	case "utf-16le":
		text = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewDecoder().Reader(start)
	case "utf-16be":
		text = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewDecoder().Reader(start)
	}
	l.scan = bufio.NewScanner(text)
	l.scan.Buffer(make([]byte, 0, 1<<16), longestLine)
	return l, nil
}

func encodingOf(first []byte) string {
	switch {
	case bytes.HasPrefix(first, []byte("\xff\xfe")):
		return "utf-16le"
	case bytes.HasPrefix(first, []byte("\xfe\xff")):
		return "utf-16be"
	}
	zeros := [2]int{}
	for i, b := range first {
		if b == 0 {
			zeros[i%2]++
		}
	}
	switch {
	case zeros[1] > len(first)/4 && zeros[0] == 0:
		return "utf-16le"
	case zeros[0] > len(first)/4 && zeros[1] == 0:
		return "utf-16be"
	}
	return "utf-8"
}

// next goes to the next line; false at the end.
func (l *lines) next() (bool, error) {
	if !l.scan.Scan() {
		if err := l.scan.Err(); err != nil {
			if errors.Is(err, bufio.ErrTooLong) {
				return false, at(l.number+1, 0, "the line is longer than %d bytes; must be lines of separated values", longestLine)
			}
			return false, err
		}
		return false, nil
	}
	l.number++
	l.text = l.scan.Bytes()
	if l.number == 1 {
		l.text = bytes.TrimPrefix(l.text, []byte("\ufeff"))
	}
	if i := bytes.IndexByte(l.text, 0); i >= 0 {
		return false, at(l.number, i+1, "there is a zero byte; must be text")
	}
	return true, l.fromLatin1()
}

// fromLatin1 reads a line that is no UTF-8 as Latin-1. That is safe without the control characters 0x80 to
// 0x9f, which no recorder writes, and which other code pages have letters for.
func (l *lines) fromLatin1() error {
	if utf8.Valid(l.text) {
		return nil
	}
	var text []byte
	for i, b := range l.text {
		if b >= 0x80 && b < 0xa0 {
			return at(l.number, i+1, "the byte %#x is no character of UTF-8 nor of Latin-1; must be a file in UTF-8, UTF-16 or Latin-1", b)
		}
		text = utf8.AppendRune(text, rune(b))
	}
	l.text, l.encoding = text, "latin-1"
	return nil
}

// placeError is what is wrong at a place of the file.
type placeError struct {
	line, column int // from 1; 0: none
	message      string
}

func at(line, column int, format string, values ...any) *placeError {
	return &placeError{line, column, fmt.Sprintf(format, values...)}
}

// Error names the place.
func (e *placeError) Error() string {
	switch {
	case e.line == 0:
		return e.message
	case e.column == 0:
		return fmt.Sprintf("line %d: %s", e.line, e.message)
	}
	return fmt.Sprintf("line %d, column %d: %s", e.line, e.column, e.message)
}

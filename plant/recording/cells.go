package recording

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// cell is the text of one cell and its place in the line, in bytes from 0.
type cell struct {
	text  []byte
	start int
}

// split appends the cells of a line. Spaces around a cell are left out; of spaces as separators several count
// as one. A cell in quotes may have the separator in it, and two quotes for one. False: a quote is not closed.
func split(list []cell, line []byte, separator byte) ([]cell, bool) {
	i := 0
	for {
		for i < len(line) && isSpace(line[i]) && line[i] != separator || separator == ' ' && i < len(line) && isSpace(line[i]) {
			i++
		}
		if separator == ' ' && i == len(line) {
			return list, true
		}
		next, c, ok := oneCell(line, i, separator)
		if !ok {
			return list, false
		}
		list = append(list, c)
		if next >= len(line) {
			return list, true
		}
		i = next + 1
	}
}

// oneCell is the cell that begins at i, and the place of the separator behind it.
func oneCell(line []byte, i int, separator byte) (int, cell, bool) {
	if i == len(line) || line[i] != '"' {
		n := bytes.IndexByte(line[i:], separator)
		if n < 0 {
			n = len(line) - i
		}
		return i + n, cell{bytes.TrimRight(line[i:i+n], " \t\r"), i}, true
	}
	start, k, doubled := i, i+1, false
	for ; k < len(line); k++ {
		if line[k] != '"' {
			continue
		}
		if k+1 == len(line) || line[k+1] != '"' {
			break
		}
		doubled, k = true, k+1
	}
	if k >= len(line) {
		return 0, cell{}, false
	}
	text := line[i+1 : k]
	if doubled {
		text = bytes.ReplaceAll(text, []byte(`""`), []byte(`"`))
	}
	n := bytes.IndexByte(line[k:], separator)
	if n < 0 {
		n = len(line) - k
	}
	if len(bytes.TrimSpace(line[k+1:k+n])) > 0 {
		return 0, cell{}, false
	}
	return k + n, cell{bytes.TrimSpace(text), start}, true
}

func isSpace(b byte) bool { return b == ' ' || b == '\t' || b == '\r' }

// isComment is whether a line is one of a recorder's remarks.
func isComment(line []byte) bool {
	line = bytes.TrimLeft(line, " \t")
	return bytes.HasPrefix(line, []byte("#")) || bytes.HasPrefix(line, []byte("%")) || bytes.HasPrefix(line, []byte("//"))
}

// character is the place of a byte of a line as a character from 1.
func character(line []byte, i int) int { return utf8.RuneCount(line[:min(i, len(line))]) + 1 }

// isGap is whether a cell has no value: blank, or NaN.
func isGap(text []byte) bool {
	return len(text) == 0 || len(text) == 3 && strings.EqualFold(string(text), "nan")
}

// number reads a number in decimal digits. Infinite, hexadecimal and grouped ones are none.
func number(text []byte, decimal byte) (float64, bool) {
	var buffer [64]byte
	if len(text) == 0 || len(text) > len(buffer) {
		return 0, false
	}
	for i, b := range text {
		switch {
		case b == decimal:
			b = '.'
		case b == '.', b == ',':
			return 0, false
		case b >= '0' && b <= '9', b == '+', b == '-', b == 'e', b == 'E':
		default:
			return 0, false
		}
		buffer[i] = b
	}
	x, err := strconv.ParseFloat(string(buffer[:len(text)]), 64)
	return x, err == nil && !math.IsInf(x, 0)
}

// stamp reads a date with a time of day, or a time of day alone, as nanoseconds. A date with strokes is none:
// nobody can tell the day from the month.
func stamp(text []byte) (int64, bool) {
	if len(text) < len("1:02:03") || bytes.IndexByte(text, ':') < 0 {
		return 0, false
	}
	plain := strings.Replace(string(text), "T", " ", 1)
	for _, layout := range []string{"2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05", "2.1.2006 15:04:05", "15:04:05"} {
		if t, err := time.Parse(layout, plain); err == nil { // a fraction behind a point or a comma is read too
			return t.Unix()*int64(time.Second) + int64(t.Nanosecond()), true
		}
	}
	return 0, false
}

package st

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// longestNumber is room for any value that is written as a string.
const longestNumber = 48

// convertText converts to or from a string.
func (k *compiler) convertText(c code, from *Type, to Kind, at int32) code {
	if from.kind == String {
		return fold(fromText(c, to, at), to, c)
	}
	begin, end := k.scratch(longestNumber)
	kind, width := from.kind, from.kind.width()/4
	var write func(r *run, b []byte) []byte
	switch {
	case kind == Bool:
		is := c.b
		write = func(r *run, b []byte) []byte { return append(b, strings.ToUpper(strconv.FormatBool(is(r)))...) }
	case kind.real():
		f := c.f
		write = func(r *run, b []byte) []byte { return appendReal(b, f(r), kind) }
	case kind == Time:
		get := c.i
		write = func(r *run, b []byte) []byte { return appendDuration(b, get(r)) }
	case kind.bits():
		get := c.i
		write = func(r *run, b []byte) []byte { return appendHex(append(b, "16#"...), uint64(get(r)), width) }
	case kind == Ulint:
		get := c.i
		write = func(r *run, b []byte) []byte { return strconv.AppendUint(b, uint64(get(r)), 10) }
	default:
		get := c.i
		write = func(r *run, b []byte) []byte { return strconv.AppendInt(b, get(r), 10) }
	}
	return fold(textCode(func(r *run) []byte { return write(r, r.text[begin:begin:end]) }), String, c)
}

func appendHex(to []byte, v uint64, digits int) []byte {
	for i := digits - 1; i >= 0; i-- {
		to = append(to, "0123456789ABCDEF"[v>>(4*i)&15])
	}
	return to
}

// appendReal writes a number with the fewest digits that give it back, as a literal with a
// point, such as 2.5 or 1.0E20.
func appendReal(to []byte, v float64, k Kind) []byte {
	size := 64
	if k == Real {
		size = 32
	}
	if a := math.Abs(v); a == 0 || a >= 1e-4 && a < 1e7 {
		return withPoint(strconv.AppendFloat(to, v, 'f', -1, size), len(to))
	}
	begin := len(to)
	to = strconv.AppendFloat(to, v, 'E', -1, size)
	e := bytes.LastIndexByte(to, 'E')
	exponent, _ := strconv.Atoi(string(to[e+1:]))
	to = append(withPoint(to[:e], begin), 'E')
	return strconv.AppendInt(to, int64(exponent), 10)
}

// realText is a number as appendReal writes it.
func realText(v float64, k Kind) string { return string(appendReal(nil, v, k)) }

// withPoint adds .0 to digits that have no point.
func withPoint(to []byte, begin int) []byte {
	if bytes.IndexByte(to[begin:], '.') < 0 {
		to = append(to, ".0"...)
	}
	return to
}

// fromText reads a value as it would be written in a program.
func fromText(c code, to Kind, at int32) code {
	get := c.s
	refuse := func(r *run, text []byte) {
		r.fail(at, fmt.Sprintf("'%s' is no %s", printable([]rune(string(text))), to))
	}
	switch {
	case to == Bool:
		return boolCode(func(r *run) bool {
			text := get(r)
			switch {
			case equalFold(text, "TRUE"), equalFold(text, "1"):
				return true
			case !equalFold(text, "FALSE") && !equalFold(text, "0"):
				refuse(r, text)
			}
			return false
		})
	case to.real():
		return realCode(func(r *run) float64 {
			text := get(r)
			v, err := strconv.ParseFloat(string(text), 64)
			if err != nil || v-v != 0 {
				refuse(r, text)
			}
			return r.finite(v, to, at)
		})
	case to == Time:
		return integerCode(func(r *run) int64 {
			text := get(r)
			_, literal, _ := strings.Cut(string(text), "#")
			v, wrong := parseDuration(literal)
			if wrong != "" {
				refuse(r, text)
			}
			return v
		})
	}
	return integerCode(func(r *run) int64 {
		text := get(r)
		v, ok := wholeFromText(text, to)
		if !ok {
			refuse(r, text)
		}
		return v
	})
}

// wholeFromText reads an integer, with a base or not.
func wholeFromText(text []byte, to Kind) (int64, bool) {
	base, digits := 10, text
	for _, b := range [...]struct {
		prefix string
		base   int
	}{{"2#", 2}, {"8#", 8}, {"16#", 16}} {
		if len(text) > len(b.prefix) && string(text[:len(b.prefix)]) == b.prefix {
			base, digits = b.base, text[len(b.prefix):]
		}
	}
	if to == Ulint || to == Lword {
		v, err := strconv.ParseUint(string(digits), base, 64)
		return int64(v), err == nil
	}
	v, err := strconv.ParseInt(string(digits), base, 64)
	low, high := to.limits()
	return v, err == nil && v >= low && v <= high
}

func equalFold(text []byte, word string) bool {
	return len(text) == len(word) && strings.EqualFold(string(text), word)
}

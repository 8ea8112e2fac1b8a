package recording

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// timeOf is the time of the line in seconds.
func (r *reader) timeOf(text []byte, line int) (float64, error) {
	wrong := func(format string, values ...any) error { // made of texts that a right line does not need
		return at(line, r.place(text, r.time.index), "column %s: %s", shown([]byte(r.time.name)), fmt.Sprintf(format, values...))
	}
	if r.time.index >= len(r.cells) || isGap(r.cells[r.time.index].text) {
		return 0, wrong("the time is missing; must be in every line")
	}
	cell := r.cells[r.time.index].text
	if ns, ok := stamp(cell); ok {
		if !r.stamped {
			if r.rows > 0 {
				return 0, wrong("the time %q is a date-time stamp and those before are not; must be one or the other", shown(cell))
			}
			r.stamped, r.first = true, ns
			r.recording.Start = startOf(cell, ns)
		}
		return float64(ns-r.first) * 1e-9, nil
	}
	x, ok := number(cell, r.decimal)
	switch {
	case !ok || r.stamped:
		return 0, wrong("%q is no time; must be %s", shown(cell), r.timeForm())
	case math.IsNaN(r.time.scale):
		return 0, at(line, r.place(text, r.time.index), "the unit of the column %s is not known; must be given for time, one of %s", shown([]byte(r.time.name)), r.time.unitNames())
	}
	if x = float64(x*r.time.scale) + r.time.offset; math.IsInf(x, 0) {
		return 0, wrong("%q is too large; must be a time", shown(cell))
	}
	return x, nil
}

// startOf is a stamp with a date in one form, empty for a time of day alone.
func startOf(cell []byte, ns int64) string {
	if !bytes.ContainsAny(bytes.TrimSpace(cell), " T") {
		return ""
	}
	return time.Unix(0, ns).UTC().Format("2006-01-02T15:04:05")
}

func (r *reader) timeForm() string {
	if r.stamped {
		return "a date-time stamp as in the lines before"
	}
	return fmt.Sprintf("a number such as 12%c5, or a date-time stamp such as 2024-05-31 12:00:00.125", r.decimal)
}

// value is what a cell of a channel says.
func (r *reader) value(i int, text []byte) (float64, error) {
	b := &r.signals[i]
	switch b.kind {
	case boolean:
		return b.truth(text, r.decimal)
	case word:
		return b.word(text, r.decimal)
	case freeWord:
		return r.freeWord(i, text)
	}
	x, ok := number(text, r.decimal)
	if !ok {
		return 0, fmt.Errorf("%q is no number; must be one such as 12%c5, or blank", shown(text), r.decimal)
	}
	if x = float64(x*b.scale) + b.offset; math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is too large; must be a measured value", shown(text))
	}
	return x, nil
}

func (b *binding) truth(text []byte, decimal byte) (float64, error) {
	x, ok := number(text, decimal)
	switch {
	case strings.EqualFold(string(text), "true"):
		x = 1
	case strings.EqualFold(string(text), "false"):
		x = 0
	case !ok || x != 0 && x != 1:
		return 0, fmt.Errorf("%q is neither true nor false; must be 1, 0, true or false", shown(text))
	}
	if b.scale < 0 {
		x = 1 - x
	}
	return x, nil
}

func (b *binding) word(text []byte, decimal byte) (float64, error) {
	i := slices.IndexFunc(b.Words, func(w string) bool { return strings.EqualFold(w, string(text)) })
	if i < 0 {
		x, ok := number(text, decimal)
		if i = int(x); !ok || float64(i) != x || i < 0 || i >= len(b.Words) {
			return 0, fmt.Errorf("%q is no word of %s; must be one of %s, or its number from 0", shown(text), b.Name, strings.Join(b.Words, ", "))
		}
	}
	if b.scale < 0 {
		i = len(b.Words) - 1 - i
	}
	return float64(i), nil
}

// mostWords bounds the different words of a column.
const mostWords = 1000

func (r *reader) freeWord(i int, text []byte) (float64, error) {
	known := r.words[i]
	n, ok := known[string(text)]
	if !ok {
		if len(known) == mostWords {
			return 0, fmt.Errorf("there are more than %d different words; must be the names of states", mostWords)
		}
		n = len(known)
		known[string(text)] = n
		c := &r.recording.Channels[i]
		c.Words = append(c.Words, string(text))
	}
	return float64(n), nil
}

// shown is a text of a file as messages have it: short, and without control characters.
func shown(text []byte) string {
	const most = 40
	list := []rune(strings.Map(func(c rune) rune {
		if !strconv.IsPrint(c) {
			return '?'
		}
		return c
	}, string(text)))
	if len(list) > most {
		return string(list[:most]) + "…"
	}
	return string(list)
}

func figure(x float64) string { return strconv.FormatFloat(x, 'g', 9, 64) }

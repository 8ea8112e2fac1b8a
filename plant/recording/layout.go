package recording

import (
	"bytes"
	"slices"
	"strings"
)

const (
	lookAhead      = 400     // lines from which the layout is found
	lookAheadBytes = 4 << 20 // of them
)

// head is the beginning of a file.
type head struct {
	texts   [][]byte
	numbers []int // of the lines
}

// dialect is how cells and numbers are written.
type dialect struct{ separator, decimal byte }

// dialects are those that are tried, the likelier first. A comma can be both where cells are in quotes.
func dialects(o *Options) []dialect {
	var list []dialect
	for _, separator := range []byte(";\t,| ") {
		for _, decimal := range []byte(".,") {
			if (o.Separator == 0 || o.Separator == rune(separator)) && (o.Decimal == 0 || o.Decimal == rune(decimal)) {
				list = append(list, dialect{separator, decimal})
			}
		}
	}
	return list
}

// found is the layout of a file: the dialect, and the lines of names, of units and of the first values, as
// places in the head; -1 is none.
type found struct {
	dialect
	names, units, values int
}

// findLayout takes the dialect with which most lines that follow each other have most numbers.
func findLayout(h *head, o *Options) (found, error) {
	best, most := found{}, 0
	for _, d := range dialects(o) {
		start, score := h.values(d, o.Heading)
		if score > most {
			best, most = found{dialect: d, names: -1, units: -1, values: start}, score
		}
	}
	if most == 0 {
		return best, at(0, 0, "there is no line with a time and a value%s; must be lines of numbers, separated by commas, semicolons, tabs, bars or spaces", given(o))
	}
	return best, h.heading(&best, o)
}

func given(o *Options) string {
	text := ""
	if o.Separator != 0 {
		text += " with the separator " + quoted(o.Separator)
	}
	if o.Decimal != 0 {
		text += " with the decimal sign " + quoted(o.Decimal)
	}
	return text
}

func quoted(r rune) string {
	if r == '\t' {
		return "tab"
	}
	return `"` + string(r) + `"`
}

// values are the longest stretch of lines with numbers, weighted by how many: where it begins, and its weight.
func (h *head) values(d dialect, after int) (start, score int) {
	var cells []cell
	begun, weight := -1, 0
	for i, line := range h.texts {
		if len(bytes.TrimSpace(line)) == 0 || isComment(line) || h.numbers[i] <= after {
			continue
		}
		cells, _ = split(cells[:0], line, d.separator)
		w := weigh(cells, d.decimal)
		if w == 0 {
			begun, weight = -1, 0
			continue
		}
		if begun < 0 {
			begun = i
		}
		if weight += w; weight > score {
			start, score = begun, weight
		}
	}
	return start, score
}

// weigh is how much a line looks like one of values: 0 is not at all.
func weigh(cells []cell, decimal byte) int {
	numbers, others := 0, 0
	for _, c := range cells {
		_, ok := number(c.text, decimal)
		if !ok {
			_, ok = stamp(c.text)
		}
		switch {
		case ok:
			numbers++
		case !isGap(c.text):
			others++
		}
	}
	if len(cells) < 2 || numbers == 0 {
		return 0
	}
	return max(1, 2*numbers-others)
}

// heading finds the lines of names and of units ahead of the values.
func (h *head) heading(f *found, o *Options) error {
	if o.Heading > 0 {
		i := slices.Index(h.numbers, o.Heading)
		if i < 0 || i >= f.values {
			return at(o.Heading, 0, "there is no heading with values below it; must be the line of the names")
		}
		f.names = i
		if u := h.before(f.values); u > i && h.isUnits(u, f.dialect) {
			f.units = u
		}
		return nil
	}
	i := h.before(f.values)
	if i >= 0 && h.isUnits(i, f.dialect) && h.before(i) >= 0 {
		f.units, i = i, h.before(i)
	}
	if i >= 0 && len(h.cells(i, f.dialect)) > 1 {
		f.names = i
	}
	return nil
}

// before is the line ahead of another that is not blank, -1 if there is none.
func (h *head) before(i int) int {
	for i--; i >= 0 && len(bytes.TrimSpace(h.texts[i])) == 0; i-- {
	}
	return i
}

// cells are the texts of a line of the head. A heading may stand in a comment.
func (h *head) cells(i int, d dialect) []string {
	line := bytes.TrimLeft(h.texts[i], " ")
	if isComment(line) {
		line = bytes.TrimLeft(line, "#%/")
	}
	cells, ok := split(nil, line, d.separator)
	if !ok {
		return nil
	}
	var texts []string
	for _, c := range cells {
		texts = append(texts, string(c.text))
	}
	return texts
}

// isUnits is whether a line has units, and nothing but units, strokes and blanks.
func (h *head) isUnits(i int, d dialect) bool {
	known := 0
	for _, text := range h.cells(i, d) {
		switch bare := strings.Trim(text, "[]()"); {
		case bare == "", bare == "-":
		case isUnit(bare):
			known++
		case bare == text:
			return false
		}
	}
	return known > 0
}

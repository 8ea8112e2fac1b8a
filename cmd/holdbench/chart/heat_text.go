package chart

import (
	"math"
	"slices"
	"strings"
)

// Text writes the table for a terminal: at most height lines of at most width cells, without
// colour. Where figures have no room there are shades. Below 20 by 5 it only says that there is no
// room.
func (h *Heat) Text(width, height int, ascii bool) []string {
	l := lettering(ascii)
	if width < leastWide || height < leastHigh {
		return l.noRoom(width, height)
	}
	lines := h.figures(l, width, height)
	if lines == nil {
		lines = h.shades(l, width, height)
	}
	return lines
}

// heads are the title with the unit and the name of the rows, and the name of the columns, as far
// as there are lines for them besides so many others.
func (h *Heat) heads(l lettering, width, height, others int) (above, below []string) {
	spare := height - others
	for _, part := range []struct {
		text  string
		lines *[]string
	}{{l.write(h.X), &below}, {l.write(h.Y), &above}, {l.write(h.unitLine()), &above}, {l.write(h.Title), &above}} {
		if part.text != "" && spare > 0 {
			*part.lines = append(*part.lines, l.cut(part.text, width))
			spare--
		}
	}
	slices.Reverse(above)
	return above, below
}

// gutter is as wide as names of rows may be.
func (h *Heat) gutter(l lettering, width int) int {
	wide := 0
	for _, name := range h.Rows {
		wide = max(wide, cells(l.write(name)))
	}
	return min(wide, width/3)
}

// figures is the table with figures, nil if there is no room.
func (h *Heat) figures(l lettering, width, height int) []string {
	gutter := h.gutter(l, width)
	wide, used := make([]int, len(h.Columns)), gutter
	for column, name := range h.Columns {
		wide[column] = cells(l.write(name))
		for row := range h.Rows {
			wide[column] = max(wide[column], cells(h.cellText(row, column)))
		}
		used += 2 + wide[column]
	}
	if used > width {
		return nil
	}
	line := func(text func(column int) string) string {
		var b strings.Builder
		for column := range h.Columns {
			b.WriteString("  " + padLeft(text(column), wide[column]))
		}
		return b.String()
	}
	body := h.body(l, gutter, func(row int) string {
		return line(func(column int) string { return h.cellText(row, column) })
	})
	names := line(func(column int) string { return l.write(h.Columns[column]) })
	return h.assembled(l, width, height, body, pad("", gutter)+names)
}

// body is the rows with their names.
func (h *Heat) body(l lettering, gutter int, cellsOf func(row int) string) []string {
	var lines []string
	for row, name := range h.Rows {
		lines = append(lines, padLeft(l.cut(l.write(name), gutter), gutter)+cellsOf(row))
	}
	return lines
}

// assembled puts rows between their heads and feet, and leaves out rows that have no room.
func (h *Heat) assembled(l lettering, width, height int, body []string, feet ...string) []string {
	others := len(body) + len(feet)
	if height >= 12 {
		others = min(others, height-4) // more rows without heads would tell nothing
	}
	above, below := h.heads(l, width, height, others)
	room := height - len(above) - len(below) - len(feet)
	if len(body) > room {
		left := body[room-1:]
		body = append(body[:room-1:room-1], l.cut(l.more()+" and "+figure(float64(len(left)))+" rows more", width))
	}
	var lines []string
	for _, part := range [][]string{above, body, feet, below} {
		for _, line := range part {
			lines = append(lines, strings.TrimRight(line, " "))
		}
	}
	return lines
}

// shades is the table with a shade for each value, a scale below, and as many columns as fit.
func (h *Heat) shades(l lettering, width, height int) []string {
	gutter := h.gutter(l, width)
	values := h.values()
	shown := min(len(h.Columns), width-gutter-1)
	wide := min((width-gutter-1)/max(shown, 1), 4)
	body := h.body(l, gutter, func(row int) string {
		signs := []rune{' '}
		for column := range shown {
			sign := l.blank()
			if v := h.value(row, column); !math.IsNaN(v) {
				sign = l.shade(values.share(v))
			}
			signs = append(signs, slices.Repeat([]rune{sign}, wide)...)
		}
		return string(signs)
	})
	return h.assembled(l, width, height, body, h.ends(l, gutter, width, wide, shown), l.cut(l.scale(values), width))
}

// ends are the names of the first and the last column below them.
func (h *Heat) ends(l lettering, gutter, width, wide, shown int) string {
	if shown == 0 {
		return ""
	}
	first, last := l.write(h.Columns[0]), l.write(h.Columns[shown-1])
	if shown < len(h.Columns) {
		last = l.more() + " " + figure(float64(len(h.Columns)-shown)) + " more"
	}
	line := pad("", gutter+1) + first
	if shown > 1 {
		line = pad(line, gutter+1+wide*shown-cells(last)-1) + " " + last
	}
	return l.cut(line, width)
}

// scale says from where on a shade is used.
func (l lettering) scale(values extent) string {
	if values.low > values.high {
		return "no values"
	}
	if values.low == values.high {
		return string(l.shade(values.share(values.low))) + " " + threeDigits(values.low)
	}
	var b strings.Builder
	b.WriteString("from")
	signs := l.shades()
	for i, sign := range signs {
		from := values.low + float64(i)/float64(len(signs))*(values.high-values.low)
		b.WriteString(" " + string(sign) + " " + threeDigits(from))
	}
	return b.String() + " to " + threeDigits(values.high) + ", " + string(l.blank()) + " none"
}

// shades are signs from light to dark.
func (l lettering) shades() []rune {
	if l == onlyASCII {
		return []rune(".:=#@")
	}
	return []rune("░▒▓█")
}

func (l lettering) shade(share float64) rune {
	signs := l.shades()
	return signs[min(int(share*float64(len(signs))), len(signs)-1)]
}

// blank is a cell without a value.
func (l lettering) blank() rune {
	if l == onlyASCII {
		return '?'
	}
	return '·'
}

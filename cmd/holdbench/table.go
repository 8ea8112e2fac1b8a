package main

import (
	"strings"
)

// table is rows for people: all cells but the last aligned, the last one wrapped
// below itself.
type table struct {
	head []string
	rows [][]string
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

// text lays the table out. Columns are as wide as what is in them; what is too long
// for half a screen goes on below.
func (t *table) text(s *screen, margin string) string {
	widths := t.widths()
	var b strings.Builder
	if t.head != nil {
		for line := range strings.Lines(rowText(t.head, widths, margin, s.width)) {
			b.WriteString(s.style.faint.Render(strings.TrimSuffix(line, "\n")) + "\n")
		}
	}
	for _, row := range t.rows {
		b.WriteString(rowText(row, widths, margin, s.width))
	}
	return s.plain(b.String())
}

func (t *table) widths() []int {
	var widths []int
	for _, row := range append([][]string{t.head}, t.rows...) {
		for i, text := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], cells(text))
		}
	}
	return widths
}

// rowText lays out one row. Where the last cell would be squeezed it goes below.
func rowText(row []string, widths []int, margin string, width int) string {
	const least = 20
	last := len(row) - 1
	var b strings.Builder
	b.WriteString(margin)
	for i, text := range row[:last] {
		b.WriteString(pad(text, widths[i]) + "  ")
	}
	line := b.String()
	hang := cells(line)
	if hang > width-least {
		return strings.TrimRight(line, " ") + "\n" + paragraph(row[last], margin+"    ", width)
	}
	lines := wrap(row[last], width-hang)
	return strings.TrimRight(line+strings.Join(lines, "\n"+strings.Repeat(" ", hang)), " ") + "\n"
}

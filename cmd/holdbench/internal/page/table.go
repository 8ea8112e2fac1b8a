package page

import "strings"

// Table is rows for people: all cells but the last aligned, the last one wrapped
// below itself.
type Table struct {
	Head []string
	Rows [][]string
}

// Add adds a row.
func (t *Table) Add(cells ...string) { t.Rows = append(t.Rows, cells) }

// Text lays the table out. Columns are as wide as what is in them; what is too long
// for half a screen goes on below.
func (t *Table) Text(s *Screen, margin string) string {
	widths := t.Widths()
	var b strings.Builder
	if t.Head != nil {
		for line := range strings.Lines(rowText(t.Head, widths, margin, s.Width)) {
			b.WriteString(s.Style.Faint.Render(strings.TrimSuffix(line, "\n")) + "\n")
		}
	}
	for _, row := range t.Rows {
		b.WriteString(rowText(row, widths, margin, s.Width))
	}
	return s.Plain(b.String())
}

// Widths are how wide the columns are.
func (t *Table) Widths() []int {
	var widths []int
	for _, row := range append([][]string{t.Head}, t.Rows...) {
		for i, text := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], Cells(text))
		}
	}
	return widths
}

// rowText lays out one row. Where the last cell would be squeezed it goes below, and so it does beside a
// name that is longer than others need be.
func rowText(row []string, widths []int, margin string, width int) string {
	const least = 20
	last := len(row) - 1
	var b strings.Builder
	b.WriteString(margin)
	for i, text := range row[:last] {
		b.WriteString(Pad(text, widths[i]) + "  ")
	}
	line := b.String()
	hang := Cells(line)
	if name := width * 9 / 20; last == 1 && widths[0] > name {
		hang = Cells(margin) + name + 2
		text := strings.TrimRight(row[0], " ")
		if line = margin + Pad(text, name) + "  "; Cells(text) > name {
			line = margin + text + "\n" + strings.Repeat(" ", hang)
		}
	}
	if hang > width-least {
		if row[last] == "" { // nothing goes below
			return strings.TrimRight(line, " ") + "\n"
		}
		return strings.TrimRight(line, " ") + "\n" + Paragraph(row[last], margin+"    ", width)
	}
	lines := Wrap(row[last], width-hang)
	return strings.TrimRight(line+strings.Join(lines, "\n"+strings.Repeat(" ", hang)), " ") + "\n"
}

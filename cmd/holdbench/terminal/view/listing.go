package view

import (
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// drawListing draws the piece of a program that runs in the active state, with the live values of
// its variables at the right.
func (g *stage) drawListing(a page.Area) {
	lines, more := g.View.Listing, ""
	if hidden := len(lines) - a.H() + 1; hidden > 0 && hidden < len(lines) {
		lines, more = lines[:len(lines)-hidden], "+"+strconv.Itoa(hidden)+" more"
	}
	a = head(a, "program", more, page.Faint)
	indent := commonIndent(lines)
	width := len(strconv.Itoa(lines[len(lines)-1].Number))
	for y := range lines {
		drawLine(a, y, &lines[y], width, indent)
	}
}

// drawLine draws one line: the number, the text, the values as far as there is room for both.
func drawLine(a page.Area, y int, l *sequence.Line, width, indent int) {
	x := a.Text(0, y, page.Faint, pad(strconv.Itoa(l.Number), width)) + 1
	values := strings.Join(l.Values, ", ")
	room := max(a.W()-x-min(page.Width(values), a.W()/2)-1, 0)
	x = a.Text(x, y, page.Plain, page.Cut(l.Text[min(indent, len(l.Text)):], room)) + 1
	if values = page.Cut(values, a.W()-x); values != "" {
		a.Right(y, page.Setpoint, values)
	}
}

// commonIndent is by how many blanks every line with a text is indented at least.
func commonIndent(lines []sequence.Line) int {
	least := -1
	for i := range lines {
		text := lines[i].Text
		if n := len(text) - len(strings.TrimLeft(text, " ")); text != "" && (least < 0 || n < least) {
			least = n
		}
	}
	return max(least, 0)
}

package view

import (
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// drawListing draws the piece of a program that runs in the active state, with the live values of
// its variables at the right. Where there is no room for all, comments are left out first.
func (g *stage) drawListing(a page.Area) {
	lines, more := g.View.Listing, ""
	if len(lines) > a.H()-1 {
		lines = withoutComments(lines)
	}
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

// withoutComments are the lines with code, or all if none has any.
func withoutComments(lines []sequence.Line) []sequence.Line {
	var code []sequence.Line
	for i := range lines {
		if !lines[i].Comment {
			code = append(code, lines[i])
		}
	}
	if len(code) == 0 {
		return lines
	}
	return code
}

// drawLine draws one line: the number, the text, the values as far as there is room for both.
func drawLine(a page.Area, y int, l *sequence.Line, width, indent int) {
	x := a.Text(0, y, page.Faint, pad(strconv.Itoa(l.Number), width)) + 1
	text := l.Text[min(indent, len(l.Text)):]
	values := fitting(l.Values, a.W()-x-page.Width(text)-1, a.W()/2)
	room := max(a.W()-x-page.Width(values)-1, 0)
	a.Text(x, y, page.Plain, page.Cut(text, room))
	if values != "" {
		a.Right(y, page.Setpoint, values)
	}
}

// fitting are values such as x = 1.5: with their names or bare, in the order in which the line names
// them, where they fit beside the whole line; else so many of them as fit into half of the width. A value
// is never cut off.
func fitting(values []string, beside, half int) string {
	named := strings.Join(values, ", ")
	bare := bareValues(values, len(values))
	for _, try := range []struct {
		text string
		room int
	}{{named, beside}, {bare, beside}, {named, half}, {bare, half}} {
		if page.Width(try.text) <= try.room {
			return try.text
		}
	}
	for n := len(values) - 1; n > 0; n-- {
		if text := bareValues(values, n) + ", …"; page.Width(text) <= half {
			return text
		}
	}
	return ""
}

// bareValues are the first n values without their names.
func bareValues(values []string, n int) string {
	if n == 0 {
		return ""
	}
	var bare []string
	for _, v := range values[:n] {
		_, value, _ := strings.Cut(v, " = ")
		bare = append(bare, value)
	}
	return "= " + strings.Join(bare, ", ")
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

package view

import (
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// drawListing draws the piece of a program that runs in the active state, with the live values of
// its variables at the right, or below a line where rows are free. Where there is no room for all, comments
// are left out first.
func (g *stage) drawListing(a page.Area) {
	lines, more := g.View.Listing, ""
	if len(lines) > a.H()-1 {
		lines = withoutComments(lines)
	}
	if hidden := len(lines) - a.H() + 1; hidden > 0 && hidden < len(lines) {
		lines, more = lines[:len(lines)-hidden], "+"+strconv.Itoa(hidden)+" more"
	}
	a = head(a, "program", more, page.Faint)
	l := newListing(lines, a.W())
	free := a.H() - len(lines)
	for i, y := 0, 0; i < len(lines); i, y = i+1, y+1 {
		if l.drawLine(a, y, &lines[i], free > 0) {
			free--
			y++
		}
	}
}

// listing is how the lines of a program are laid out.
type listing struct {
	digits int // of the numbers
	indent int // that all lines have
	room   int // beside the numbers
}

func newListing(lines []sequence.Line, width int) *listing {
	digits := len(strconv.Itoa(lines[len(lines)-1].Number))
	return &listing{digits: digits, indent: commonIndent(lines), room: max(width-digits-1, 0)}
}

// listingRows is how many rows show all lines with their values.
func listingRows(lines []sequence.Line, width int) int {
	n := len(lines)
	l := newListing(lines, width)
	for i := range lines {
		if len(lines[i].Values) > 0 && beside(lines[i].Values, l.besideText(&lines[i])) == "" {
			n++
		}
	}
	return n
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

// text is what is shown of a line, without the number.
func (l *listing) text(line *sequence.Line) string { return line.Text[min(l.indent, len(line.Text)):] }

// besideText is the room for values beside the whole text.
func (l *listing) besideText(line *sequence.Line) int { return l.room - page.Width(l.text(line)) - 1 }

// drawLine draws one line: the number, the text, the values. It is true if the values took the row below,
// which they do where it is free and they do not fit beside the text.
func (l *listing) drawLine(a page.Area, y int, line *sequence.Line, free bool) (below bool) {
	x := a.Text(0, y, page.Faint, pad(strconv.Itoa(line.Number), l.digits)) + 1
	text, room := l.text(line), l.room
	values := beside(line.Values, l.besideText(line))
	switch {
	case values != "" || len(line.Values) == 0:
	case free:
		a.Right(y+1, page.Setpoint, squeezed(line.Values, room))
		below = true
	default:
		values = squeezed(line.Values, l.share(line.Values))
	}
	if values != "" {
		a.Right(y, page.Setpoint, values)
		room = max(room-page.Width(values)-1, 0)
	}
	a.Text(x, y, page.Plain, page.Cut(text, room))
	return below
}

// share is the room for values that leave no room for the whole text: most of it, and what the first
// instance needs, such as a timer with Q and ET, which says which line it is.
func (l *listing) share(values []string) int {
	const mark = 2 // that there is a text
	n := 1
	for n < len(values) && instanceOf(values[n]) != "" && instanceOf(values[n]) == instanceOf(values[0]) {
		n++
	}
	first := page.Width(strings.Join(compact(values[:n]), ", ") + ", …")
	return max(l.room*3/4, min(first, l.room-mark))
}

// beside are values such as x = 1.5 with their names, in the order in which the line names them; a single
// one may be bare, as the line names nothing else. Empty if they do not fit.
func beside(values []string, room int) string {
	tries := []string{strings.Join(values, ", "), strings.Join(compact(values), ", ")}
	if len(values) == 1 {
		_, value, _ := strings.Cut(values[0], " = ")
		tries = append(tries, "= "+value)
	}
	for _, try := range tries {
		if page.Width(try) <= room {
			return try
		}
	}
	return ""
}

// squeezed are so many of the values as fit, with their names; the first one bare if not even that fits. A
// value is never cut off.
func squeezed(values []string, room int) string {
	if all := beside(values, room); all != "" {
		return all
	}
	for n := len(values) - 1; n > 0; n-- {
		if text := strings.Join(compact(values[:n]), ", ") + ", …"; page.Width(text) <= room {
			return text
		}
	}
	if len(values) > 1 {
		if text := beside(values[:1], room-len(", ")-1); text != "" {
			return text + ", …"
		}
	}
	return ""
}

// compact are values such as x=1.5; a member that follows one of the same instance goes without its name,
// such as t.Q=TRUE, .ET=T#1s.
func compact(values []string) []string {
	list := make([]string, len(values))
	before := ""
	for i, v := range values {
		instance := instanceOf(v)
		if i > 0 && instance != "" && instance == before {
			v = v[len(instance):]
		}
		list[i], before = strings.Replace(v, " = ", "=", 1), instance
	}
	return list
}

// instanceOf is the instance or structure of a value such as t.Q = TRUE; empty for a variable by itself.
func instanceOf(value string) string {
	name, _, _ := strings.Cut(value, " = ")
	return name[:max(strings.LastIndexByte(name, '.'), 0)]
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

package chart

import (
	"slices"
	"strings"
)

const (
	leastWide = 20 // cells
	leastHigh = 5  // lines
)

// Text draws the chart for a terminal: at most height lines of at most width cells, without colour.
// Where there is little room, title, names and legend give way, in this order. Below 20 by 5 it only
// says that there is no room.
func (c *Chart) Text(width, height int, ascii bool) []string {
	l := lettering(ascii)
	if width < leastWide || height < leastHigh {
		return l.noRoom(width, height)
	}
	legend := c.textLegend(l, width)
	spare := height - max(3, height*2/5) - 2 // for the plot, and for its axis with figures
	shown := min(len(legend), spare)
	if 0 < shown && shown < len(legend) {
		legend[shown-1] = l.cut(legend[shown-1], width-3) + " " + l.more()
	}
	spare -= shown
	head, foot := []string{}, legend[:shown]
	if x := l.write(c.X); x != "" && spare > 0 {
		foot = append([]string{l.centred(x, width)}, foot...)
		spare--
	}
	if y := l.write(c.Y); y != "" && spare > 0 {
		head = append(head, l.cut(y, width))
		spare--
	}
	if title := l.write(c.Title); title != "" && spare > 0 {
		head = append([]string{l.cut(title, width)}, head...)
	}
	return slices.Concat(head, c.plotLines(l, width, height-len(head)-len(foot)-2), foot)
}

// noRoom fits any size.
func (l lettering) noRoom(width, height int) []string {
	if width < 1 || height < 1 {
		return nil
	}
	return []string{l.cut("no room to draw", width)}
}

func (l lettering) centred(text string, width int) string {
	text = l.cut(text, width)
	return strings.Repeat(" ", (width-cells(text))/2) + text
}

// textLegend says which sign is which series, and where marks are.
func (c *Chart) textLegend(l lettering, width int) []string {
	var entries []string
	for i, s := range c.Series {
		if name := l.write(s.Name); name != "" {
			entries = append(entries, l.sample(c.nth(i), s.Line)+" "+name)
		}
	}
	for i, m := range c.Marks {
		if drawable(m.X) {
			entries = append(entries, string([]rune{letter(i), l.markSign()})+" "+l.write(m.Name)+" at "+figure(m.X))
		}
	}
	return l.flow(entries, width)
}

// letter names a mark.
func letter(mark int) rune { return 'a' + rune(mark%26) }

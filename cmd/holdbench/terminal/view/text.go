package view

import (
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
)

// truthSign stands at everything that only the plant knows.
const truthSign = "•"

// fixed writes a number right-aligned in so many cells, so that a changing number does not
// move what stands beside it. What is no number is a dash; what is too large for its decimals
// loses them, and what is too large for the cells is shown as #.
func fixed(v float64, width, decimals int) string {
	return aligned(v, width, decimals, false)
}

// signed is fixed with a plus before what is above zero.
func signed(v float64, width, decimals int) string {
	return aligned(v, width, decimals, true)
}

func aligned(v float64, width, decimals int, plus bool) string {
	if math.IsNaN(v) {
		return left("—", width)
	}
	for ; decimals >= 0 && !math.IsInf(v, 0) && math.Abs(v) < 1e15; decimals-- {
		if text := figure(v, decimals, plus); page.Width(text) <= width {
			return left(text, width)
		}
	}
	return strings.Repeat("#", max(width, 0))
}

// figure writes a finite number; one that rounds to nothing has no sign.
func figure(v float64, decimals int, plus bool) string {
	text := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	switch zero := strings.Trim(text, "0.") == ""; {
	case zero && plus:
		return " " + text
	case zero:
		return text
	case v < 0:
		return "−" + text
	case plus:
		return "+" + text
	}
	return text
}

// left pads with blanks on the left, pad on the right.
func left(s string, width int) string {
	return strings.Repeat(" ", max(width-page.Width(s), 0)) + s
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(width-page.Width(s), 0))
}

// seconds writes a time of the run with three decimals, as wide as the longest of this run.
func (g *stage) seconds(s float64) string { return fixed(s, g.timeWidth(), 3) + " s" }

// counted writes a time that the header has as well. While a run plays at its head it has tenths: nobody reads the
// milliseconds of a time that goes on, and each would be a whole line more for the terminal in each frame.
func (g *stage) counted(s float64, width int) string {
	if g.Playing && g.AtHead {
		return fixed(s, width, 1)
	}
	return fixed(s, width, 3)
}

// timeWidth is how many cells a time of this run takes at most: the same from its first moment on
// until it grows over a thousand seconds.
func (g *stage) timeWidth() int {
	width := 7
	for limit := 1000.0; g.HeadS >= limit && width < 12; limit *= 10 {
		width++
	}
	return width
}

// longTime writes hours, minutes and seconds of constant width.
func longTime(d time.Duration) string {
	s := int64(max(d, 0) / time.Second)
	return left(strconv.FormatInt(s/3600, 10), 2) + " h " + two(s/60%60) + " m " + two(s%60) + " s"
}

func two(n int64) string {
	if n < 10 {
		return "0" + strconv.FormatInt(n, 10)
	}
	return strconv.FormatInt(n, 10)
}

// mark is the sign and the role of something that holds or does not.
func mark(holds bool) (sign string, role page.Role) {
	if holds {
		return "✓", page.Good
	}
	return "✗", page.Bad
}

// roomy is the width from which a pane has blank columns at its sides.
const roomy = 40

// head draws the title of a pane on its first row, with its state at the right end, and
// returns what is left below. A state that has no room beside the title is left out.
func head(a page.Area, title, state string, role page.Role) page.Area {
	top, rest := a.SplitTop(1)
	top.Rule(0, title)
	if a.W() >= roomy {
		rest = rest.Sub(1, 0, a.W()-2, a.H())
	}
	n := page.Width(state)
	x := a.W() - n - 3
	if free := page.Width(title) + 4; x < free {
		x++ // without the line behind it
		if x < free {
			return rest
		}
	}
	if n > 0 {
		top.Text(top.Text(x, 0, role, " "+state), 0, role, " ")
	}
	return rest
}

// bar draws a share of a whole from left to right in halves of a cell.
func bar(a page.Area, x, y, width int, share float64, role page.Role) {
	if math.IsNaN(share) {
		share = 0
	}
	halves := int(math.Round(min(max(share, 0), 1) * float64(2*width)))
	for i := range width {
		switch {
		case 2*i+1 < halves:
			a.Set(x+i, y, '█', role)
		case 2*i < halves:
			a.Set(x+i, y, '▌', role)
		default:
			a.Set(x+i, y, '·', page.Faint)
		}
	}
}

// words draws texts one after the other with their roles and returns the next free column.
func words(a page.Area, x, y int, parts ...word) int {
	for _, p := range parts {
		x = a.Text(x, y, p.role, p.text)
	}
	return x
}

type word struct {
	role page.Role
	text string
}

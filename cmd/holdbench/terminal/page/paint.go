package page

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// look is how a role is shown.
type look struct {
	hue     hue
	bold    bool
	faint   bool
	reverse bool
}

// lookOf is the table of looks. Blue stands against vermillion for good and bad, since these two
// stay apart for every kind of colour vision.
func lookOf(role Role) look {
	switch role {
	case Faint, Earlier, Nominal:
		return look{faint: true}
	case Strong, Heading, Setpoint, Key:
		return look{bold: true}
	case Motor:
		return look{hue: blue}
	case Brake:
		return look{hue: green}
	case Truth:
		return look{hue: purple}
	case Good:
		return look{hue: blue, bold: true}
	case Bad:
		return look{hue: vermillion, bold: true}
	case Fault:
		return look{hue: vermillion}
	case Caution:
		return look{hue: amber}
	case Chosen:
		return look{reverse: true}
	case Banner:
		return look{hue: vermillion, bold: true, reverse: true}
	default:
		return look{}
	}
}

// hue is a colour of the palette; the zero value is the reader's own text colour.
type hue uint8

const (
	noHue hue = iota
	blue
	vermillion
	amber // vermillion where orange would be too pale
	green
	purple
)

// Paint is the escapes of every role for one kind of terminal, made once. The zero Paint
// writes no escapes at all: for TERM=dumb and for files.
type Paint struct {
	styles [roleCount]style
}

type style struct {
	prefix, suffix string
	onBlank        bool // the look can be seen on a blank
	sets           attributes
}

// attributes are what the escape of a style turns on. A style that sets all that another one has can follow it without
// an end between them.
type attributes struct{ bold, faint, reverse, colour bool }

// covers is whether nothing of other stays on behind the escape of a.
func (a attributes) covers(other attributes) bool {
	return (a.bold || !other.bold) && (a.faint || !other.faint) && (a.reverse || !other.reverse) && (a.colour || !other.colour)
}

// NewPaint prepares the escapes for a terminal. Without colours (NO_COLOR) there are still bold, faint
// and reverse, which are none. It asks neither the terminal nor the environment.
func NewPaint(c Colours) *Paint {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(c.profile())
	if c.profile() == termenv.Ascii {
		r.SetColorProfile(termenv.ANSI) // lipgloss drops bold and reverse together with colour
	}
	r.SetHasDarkBackground(true) // lipgloss would ask the terminal otherwise, were it ever to need it
	paint := &Paint{}
	for role := range paint.styles {
		paint.styles[role] = lookOf(Role(role)).style(r, c)
	}
	return paint
}

func (l look) style(r *lipgloss.Renderer, c Colours) style {
	if l == (look{}) {
		return style{}
	}
	s := r.NewStyle()
	if l.bold { // only what is on: lipgloss writes more for a false
		s = s.Bold(true)
	}
	if grey := asideOn(c); l.faint && grey == "" {
		s = s.Faint(true)
	} else if l.faint {
		s = s.Foreground(grey)
	}
	if l.reverse {
		s = s.Reverse(true)
	}
	if l.hue != noHue && c.Number > 0 {
		s = s.Foreground(toneOf(l.hue, c.Theme).on(c))
	}
	sets := attributes{l.bold, s.GetFaint(), l.reverse, s.GetForeground() != lipgloss.NoColor{}}
	prefix, _, _ := strings.Cut(s.Render("x"), "x")
	if prefix == "" {
		return style{}
	}
	return style{prefix, endOfLook, l.reverse, sets}
}

const (
	escape    = "\x1b["
	endOfLook = escape + "m"
)

// change writes the escape from one look to the next, as short as it can be.
func (s *style) change(text *strings.Builder, next *style) {
	switch {
	case next.prefix == s.prefix:
	case next.prefix == "":
		text.WriteString(s.suffix)
	case next.sets.covers(s.sets):
		text.WriteString(next.prefix)
	default: // off with the one and on with the other at once
		text.WriteString(escape + "0;")
		text.WriteString(strings.TrimPrefix(next.prefix, escape))
	}
}

// ANSI returns the page for a terminal: lines joined with \n, each exactly as wide as the
// page and with all looks ended. A nil paint writes no escapes.
func (p *Page) ANSI(paint *Paint) string {
	if paint == nil {
		paint = &Paint{}
	}
	var text strings.Builder
	text.Grow(len(p.cells)*3/2 + 16*p.height)
	for y := range p.height {
		if y > 0 {
			text.WriteByte('\n')
		}
		paint.writeLine(&text, p.row(y))
	}
	return text.String()
}

// writeLine begins a style where the look changes. A blank goes with the run before it unless
// one of the two looks shows on blanks: that saves most escapes between words. The blanks at the end of a
// line have no look, so that whoever erases the rest of a line can leave them out.
func (paint *Paint) writeLine(text *strings.Builder, row []cell) {
	now := &paint.styles[Plain]
	end := paint.seen(row)
	for x := range row[:end] {
		c, ok := shown(row, x)
		if !ok {
			continue
		}
		next := &paint.styles[c.role]
		if next != now && (c.sign != ' ' || next.onBlank || now.onBlank) {
			now.change(text, next)
			now = next
		}
		writeSign(text, c.sign)
	}
	text.WriteString(now.suffix)
	for range len(row) - end {
		text.WriteByte(' ')
	}
}

// seen is how many cells of a row there are to the last that is seen.
func (paint *Paint) seen(row []cell) int {
	end := len(row)
	for end > 0 && row[end-1].part == single && row[end-1].sign == ' ' && !paint.styles[row[end-1].role].onBlank {
		end--
	}
	return end
}

// Trimmed are the lines of ANSI without the blanks at their ends, for who erases the rest of each line.
func Trimmed(painted string) string {
	lines := strings.Split(painted, "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(line, " ")
	}
	return strings.Join(lines, "\n")
}

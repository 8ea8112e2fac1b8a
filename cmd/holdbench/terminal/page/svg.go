package page

import (
	"bytes"
	"encoding/xml"
	"strconv"
	"unicode/utf8"
)

// A cell of the picture in user units. A common monospaced letter is 0.6 of its size wide.
const (
	cellWidth  = 9.0
	cellHeight = 18.0
	fontSize   = 15.0
	baseline   = 13.5 // below the top of the cell
	margin     = 9.0
)

// scheme is the colours of one picture.
type scheme struct {
	theme       Theme
	paper, text string
}

// schemeOf returns the colours on white or on black; all have at least 4.5:1 (WCAG 2.2, 1.4.3).
func schemeOf(dark bool) scheme {
	if dark {
		return scheme{theme: Dark, paper: "#000000", text: "#FFFFFF"}
	}
	return scheme{theme: Light, paper: "#FFFFFF", text: "#000000"}
}

// ink is the colour that a role is drawn in.
func (s scheme) ink(role Role) string {
	l := lookOf(role)
	switch {
	case l.reverse:
		return s.paper
	case l.faint:
		return aside(s.theme).full
	}
	return toneOf(l.hue, s.theme).full
}

// picture collects the parts of an SVG document.
type picture struct {
	bytes.Buffer
	page   *Page
	colour scheme
}

// SVG returns the page as a picture with a title for those who cannot see it, on black or on
// white. Lines, blocks and dots are drawn as shapes and text is stretched to its cells, so that
// columns meet with any font. The same page gives the same bytes.
func (p *Page) SVG(title string, dark bool) []byte {
	s := &picture{page: p, colour: schemeOf(dark)}
	s.open(title)
	s.bands()
	s.shapes()
	s.text()
	s.WriteString("</g>\n</svg>\n")
	return s.Bytes()
}

// open writes the beginning of the document, up to the cells.
func (s *picture) open(title string) {
	width, height := number(float64(s.page.width)*cellWidth+2*margin), number(float64(s.page.height)*cellHeight+2*margin)
	s.element("svg", "xmlns", "http://www.w3.org/2000/svg", "width", width, "height", height,
		"viewBox", "0 0 "+width+" "+height, "role", "img")
	s.WriteString(">\n<title>")
	s.escape(title)
	s.WriteString("</title>\n")
	s.element("rect", "width", width, "height", height, "fill", s.colour.paper)
	s.WriteString("/>\n")
	s.element("g", "transform", "translate("+number(margin)+" "+number(margin)+")")
	s.WriteString(">\n")
}

// bands are the surfaces behind reversed roles.
func (s *picture) bands() {
	for y := range s.page.height {
		row := s.page.row(y)
		for x := 0; x < len(row); {
			n := 1
			for x+n < len(row) && row[x+n].role == row[x].role {
				n++
			}
			if lookOf(row[x].role).reverse {
				s.element("rect", "x", number(float64(x)*cellWidth), "y", number(float64(y)*cellHeight),
					"width", number(float64(n)*cellWidth), "height", number(cellHeight), "fill", toneOf(lookOf(row[x].role).hue, s.colour.theme).full)
				s.WriteString("/>\n")
			}
			x += n
		}
	}
}

// shapes are one path a role, without smoothing, since that leaves gaps between cells.
func (s *picture) shapes() {
	var paths [roleCount][]byte
	for y := range s.page.height {
		row := s.page.row(y)
		for x, c := range row {
			for _, b := range shapeOf(c.sign) {
				paths[c.role] = b.path(paths[c.role], float64(x)*cellWidth, float64(y)*cellHeight)
			}
		}
	}
	s.paths(&paths)
}

// paths writes one path a role.
func (s *picture) paths(of *[roleCount][]byte) {
	for role, path := range of {
		if len(path) > 0 {
			s.element("path", "fill", s.colour.ink(Role(role)), "shape-rendering", "crispEdges", "d", string(path))
			s.WriteString("/>\n")
		}
	}
}

func (s *picture) text() {
	s.openLayer(true)
	s.lines()
	s.WriteString("</g>\n")
}

// openLayer opens a group, for text with its font.
func (s *picture) openLayer(text bool) {
	s.WriteString("<g")
	if text {
		s.attributes("font-family", "'DejaVu Sans Mono', Menlo, Consolas, monospace", "font-size", number(fontSize))
	}
	s.WriteString(">\n")
}

func (s *picture) lines() {
	for y := range s.page.height {
		s.line(y)
	}
}

// line writes the runs of a line. Every run is a text of its own with its place and length: not
// every viewer stretches a part of a text.
func (s *picture) line(y int) {
	row := s.page.row(y)
	for x := 0; x < len(row); {
		text, cells := run(row, x)
		if text == "" {
			x++
			continue
		}
		attributes := []string{"x", number(float64(x) * cellWidth), "y", number(float64(y)*cellHeight + baseline),
			"textLength", number(float64(cells) * cellWidth), "lengthAdjust", "spacingAndGlyphs", "fill", s.colour.ink(row[x].role)}
		if lookOf(row[x].role).bold {
			attributes = append(attributes, "font-weight", "bold")
		}
		s.element("text", attributes...)
		s.WriteString(">")
		s.escape(text)
		s.WriteString("</text>\n")
		x += cells
	}
}

// run returns the words of one role from column x on, up to a second blank, a shape or another
// role, and the cells that they take.
func run(row []cell, x int) (text string, cells int) {
	var written []byte
	for at, blanks := x, 0; at < len(row) && row[at].role == row[x].role && blanks < 2; at++ {
		c, ok := shown(row, at)
		switch {
		case !ok:
			cells++
		case c.sign == ' ' && cells == 0, len(shapeOf(c.sign)) > 0:
			return string(written), cells
		case c.sign == ' ':
			blanks++
		default:
			if blanks == 1 {
				written = append(written, ' ')
			}
			blanks = 0
			written = utf8.AppendRune(written, c.sign)
			cells = at - x + 1
		}
	}
	return string(written), cells
}

// element writes a start tag up to its closing bracket; attributes are pairs of name and value.
func (s *picture) element(name string, attributes ...string) {
	s.WriteString("<" + name)
	s.attributes(attributes...)
}

func (s *picture) attributes(attributes ...string) {
	for i := 0; i+1 < len(attributes); i += 2 {
		s.WriteString(" " + attributes[i] + `="`)
		s.escape(attributes[i+1])
		s.WriteString(`"`)
	}
}

func (s *picture) escape(text string) {
	_ = xml.EscapeText(s, []byte(text)) // a Buffer takes everything
}

func number(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

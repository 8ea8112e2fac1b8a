package page

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
)

// Animation is a picture that changes with time: an SVG document whose parts are shown by animations of SMIL
// (SVG 1.1, chapter 19), so that it plays wherever a browser shows a picture. What is the same in several frames is
// drawn once, and its size grows with what changes and not with the number of frames.
type Animation struct {
	title         string
	dark          bool
	width, height int
	last          []cell    // of the frame before
	startS        []float64 // of each frame, in s
	layers        [3]layer  // bands, shapes, text: the later ones lie above
}

// layer has the parts in the order in which they appear first.
type layer struct {
	parts []animated
	place map[string]int // of a part
}

// animated is an element of the document and the frames in which it is shown.
type animated struct {
	element string
	in      []frameRange
}

// frameRange is a range of frames without its end.
type frameRange struct{ from, to int }

// NewAnimation returns an animation without frames, on black or on white.
func NewAnimation(title string, dark bool) *Animation {
	a := &Animation{title: title, dark: dark}
	for i := range a.layers {
		a.layers[i].place = map[string]int{}
	}
	return a
}

// Add adds a frame that is shown from a time in s on; times rise. A page like the one before adds nothing. All
// pages have the size of the first.
func (a *Animation) Add(p *Page, fromS float64) {
	if len(a.startS) > 0 && slices.Equal(a.last, p.cells) {
		return
	}
	a.width, a.height, a.last = p.width, p.height, slices.Clone(p.cells)
	frame := len(a.startS)
	a.startS = append(a.startS, fromS)
	s := &picture{page: p, colour: schemeOf(a.dark)}
	for i, draw := range []func(){s.bands, s.shapesInPieces, s.lines} {
		s.Reset()
		draw()
		for element := range strings.Lines(s.String()) { // a newline within an element is escaped
			a.layers[i].show(element, frame)
		}
	}
}

func (l *layer) show(element string, frame int) {
	at, known := l.place[element]
	if !known {
		at = len(l.parts)
		l.place[element] = at
		l.parts = append(l.parts, animated{element: element})
	}
	part := &l.parts[at]
	if n := len(part.in); n > 0 && part.in[n-1].to == frame {
		part.in[n-1].to++
		return
	}
	part.in = append(part.in, frameRange{frame, frame + 1})
}

// SVG returns the document. It ends at a time in s after the last frame began, and begins again. Where nothing
// moves, as on paper, it shows the last frame.
func (a *Animation) SVG(endS float64) []byte {
	s := &picture{page: &Page{width: a.width, height: a.height}, colour: schemeOf(a.dark)}
	s.open(a.title)
	for i := range a.layers {
		s.openLayer(i == len(a.layers)-1)
		for _, g := range a.layers[i].groups() {
			a.writeGroup(&s.Buffer, g, endS)
		}
		s.WriteString("</g>\n")
	}
	s.WriteString("</g>\n</svg>\n")
	return s.Bytes()
}

// groups are the parts that are shown at the same times.
func (l *layer) groups() [][]*animated {
	var groups [][]*animated
	place := map[string]int{}
	for i := range l.parts {
		part := &l.parts[i]
		var times []byte
		for _, in := range part.in {
			times = strconv.AppendInt(append(times, ' '), int64(in.from), 10)
			times = strconv.AppendInt(append(times, ' '), int64(in.to), 10)
		}
		at, known := place[string(times)]
		if !known {
			at = len(groups)
			place[string(times)] = at
			groups = append(groups, nil)
		}
		groups[at] = append(groups[at], part)
	}
	return groups
}

func (a *Animation) writeGroup(b *bytes.Buffer, group []*animated, endS float64) {
	in, frames := group[0].in, len(a.startS)
	always := in[0] == frameRange{0, frames}
	switch {
	case always:
	case in[len(in)-1].to == frames:
		b.WriteString("<g>")
	default:
		b.WriteString(`<g visibility="hidden">`)
	}
	if !always {
		a.writeTimes(b, in, endS)
	}
	for _, part := range group {
		b.WriteString(part.element)
	}
	if !always {
		b.WriteString("</g>\n")
	}
}

// writeTimes writes when a group is shown, as parts of the whole time.
func (a *Animation) writeTimes(b *bytes.Buffer, in []frameRange, endS float64) {
	const hidden, visible = "hidden", "visible"
	var times, values []string
	if in[0].from > 0 {
		times, values = append(times, "0"), append(values, hidden)
	}
	for _, shown := range in {
		times, values = append(times, a.part(shown.from, endS)), append(values, visible)
		if shown.to < len(a.startS) {
			times, values = append(times, a.part(shown.to, endS)), append(values, hidden)
		}
	}
	b.WriteString(`<animate attributeName="visibility" calcMode="discrete" repeatCount="indefinite" dur="` + number(endS) +
		`s" keyTimes="` + strings.Join(times, ";") + `" values="` + strings.Join(values, ";") + "\"/>\n")
}

// part is the start of a frame as a part of the whole time.
func (a *Animation) part(frame int, endS float64) string {
	const decimals = 6 // 0.06 s of a day
	text := strconv.FormatFloat((a.startS[frame]-a.startS[0])/endS, 'f', decimals, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// Size is about how many bytes the document has so far.
func (a *Animation) Size() int {
	const perPart = 64 // of the times
	size := 0
	for i := range a.layers {
		for _, part := range a.layers[i].parts {
			size += len(part.element) + perPart
		}
	}
	return size
}

// pieceCells is how long a piece of a row of shapes is at most: short, so that little is drawn again when one cell
// changes.
const pieceCells = 8

// shapesInPieces draws shapes as [picture.shapes] does, in pieces of rows.
func (s *picture) shapesInPieces() {
	for y := range s.page.height {
		row := s.page.row(y)
		for x := 0; x < len(row); x += pieceCells {
			s.piece(row[x:min(x+pieceCells, len(row))], x, y)
		}
	}
}

// piece draws the shapes of some cells from a place on, a path for each role.
func (s *picture) piece(cells []cell, x, y int) {
	var paths [roleCount][]byte
	for i, c := range cells {
		for _, b := range shapeOf(c.sign) {
			paths[c.role] = b.path(paths[c.role], float64(x+i)*cellWidth, float64(y)*cellHeight)
		}
	}
	s.paths(&paths)
}

package report

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"math"
	"regexp"
	"strconv"
)

// inline makes a part of a page of a drawing that is a file of its own: without what stands ahead of the
// picture and comments, with a label, and with names that no other drawing of the page has.
func inline(svg []byte, prefix, label string) template.HTML {
	if i := bytes.Index(svg, []byte("<svg")); i > 0 {
		svg = svg[i:]
	}
	svg = regexp.MustCompile(`(?s)<!--.*?-->\n?`).ReplaceAll(svg, nil)
	svg = regexp.MustCompile(`(?s)<desc>.*?</desc>`).ReplaceAll(svg, nil)
	svg = regexp.MustCompile(` id="([^"]*)"`).ReplaceAll(svg, []byte(` id="`+prefix+`$1"`))
	svg = regexp.MustCompile(` xmlns(:xlink)?="[^"]*"`).ReplaceAll(svg, nil)
	svg = bytes.Replace(svg, []byte("<svg"), []byte(`<svg role="img" aria-label="`+html.EscapeString(label)+`"`), 1)
	return template.HTML(bytes.TrimSpace(svg)) //nolint:gosec // drawn by Graphviz, which escapes its texts; a test has markup in them
}

// A tile of paper in points, and the least size at which a drawing is printed: letters of 9 points come
// out at 5.6.
const (
	tileWide  = 500.0
	tileTall  = 660.0
	tileScale = 0.62
)

// tiles are the parts of a drawing for sheets of paper, row by row, where the whole would be too small to
// be read on one: each shows a part of the drawing of the page, with some overlap. None if one sheet is enough.
func tiles(drawn template.HTML, label string) []Tile {
	box := regexp.MustCompile(`viewBox="0\.00 0\.00 ([0-9.]+) ([0-9.]+)"`).FindStringSubmatch(string(drawn))
	inner := regexp.MustCompile(`<g id="([^"]*)" class="graph"`).FindStringSubmatch(string(drawn))
	if box == nil || inner == nil {
		return nil
	}
	wide, errW := strconv.ParseFloat(box[1], 64)
	tall, errT := strconv.ParseFloat(box[2], 64)
	if errW != nil || errT != nil || math.Min(tileWide/wide, tileTall/tall) >= tileScale {
		return nil
	}
	columns, rows := math.Ceil(wide*tileScale/tileWide), math.Ceil(tall*tileScale/tileTall)
	scale := math.Min(1, math.Min(columns*tileWide/wide, rows*tileTall/tall))
	const overlap = 0.03
	var list []Tile
	for row := range int(rows) {
		for column := range int(columns) {
			w, h := wide/columns, tall/rows
			x, y := w*(float64(column)-overlap), h*(float64(row)-overlap)
			w, h = w*(1+2*overlap), h*(1+2*overlap)
			caption := fmt.Sprintf("%s, row %d of %d, column %d of %d", label, row+1, int(rows), column+1, int(columns))
			list = append(list, Tile{caption, template.HTML(fmt.Sprintf( //nolint:gosec // numbers, a name of ours and an escaped label
				`<svg role="img" aria-label="%s" width="%.0fpt" height="%.0fpt" viewBox="%.1f %.1f %.1f %.1f"><use href="#%s"/></svg>`,
				html.EscapeString(caption), w*scale/(1+2*overlap), h*scale/(1+2*overlap), x, y, w, h, inner[1]))})
		}
	}
	return list
}

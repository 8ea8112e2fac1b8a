package report

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
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

// paperScale is that of a drawing on paper: letters of 9 points come out at 5, or a little less in a wide one.
const paperScale = 0.55

// smaller gives a drawing its size on paper.
func smaller(svg []byte) []byte {
	size := regexp.MustCompile(`<svg width="([0-9.]+)pt" height="([0-9.]+)pt"`)
	found := size.FindSubmatch(svg)
	if found == nil {
		return svg
	}
	wide, errW := strconv.ParseFloat(string(found[1]), 64)
	tall, errH := strconv.ParseFloat(string(found[2]), 64)
	if errW != nil || errH != nil {
		return svg
	}
	return size.ReplaceAll(svg, fmt.Appendf(nil, `<svg width="%.0fpt" height="%.0fpt"`, paperScale*wide, paperScale*tall))
}

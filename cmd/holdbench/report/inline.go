package report

import (
	"bytes"
	"html"
	"html/template"
	"regexp"
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

package showcmd

import (
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
)

// defaultsText lists the values that a rig's document leaves out, a paragraph for each
// section of the document; empty if it leaves out none.
func defaultsText(s *page.Screen, rig *plant.Rig, defaults []*plant.Field) string {
	if len(defaults) == 0 {
		return ""
	}
	const margin = "    "
	var b strings.Builder
	b.WriteString("  left out, so the default is used for " + page.Count(len(defaults), "value", "values") + ":\n")
	for first := 0; first < len(defaults); {
		section := defaults[first].Section()
		var parts []string
		for first < len(defaults) && defaults[first].Section() == section {
			f := defaults[first]
			parts = append(parts, strings.TrimPrefix(f.Path, section+".")+"="+f.Text(rig))
			first++
		}
		b.WriteString(s.Plain(page.Paragraph(section+": "+strings.Join(parts, ", "), margin, s.Width)))
	}
	return b.String()
}

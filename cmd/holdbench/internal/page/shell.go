package page

import "strings"

// BreakCommand lays a command out for a page of some width. A line that goes on ends as
// a shell requires it, so that it can be copied.
func BreakCommand(parts []string, margin string, width int) string {
	const more = ` \`
	var b strings.Builder
	line := margin + Clean(parts[0])
	for _, part := range parts[1:] {
		part = Clean(part)
		if Cells(line)+1+Cells(part)+len(more) > width {
			b.WriteString(line + more + "\n")
			line = margin + "  " + part
			continue
		}
		line += " " + part
	}
	return b.String() + line + "\n"
}

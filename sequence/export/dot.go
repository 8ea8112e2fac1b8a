package export

import (
	"fmt"
	"html"
	"strings"

	"holdbench/sequence"
)

// DOT writes a sequence as a graph for Graphviz, one cluster a group; group draws one of [Groups]
// alone, "" draws all.
func DOT(p *sequence.Program, h Heading, group string) (string, error) {
	d, err := diagramOf(p, group)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for _, line := range h.lines(d.name + ": " + d.note) {
		b.WriteString(strings.TrimRight("// "+strings.Join(strings.Fields(line), " "), " ") + "\n")
	}
	fmt.Fprintf(&b, "digraph %s {\n", dotText(d.name))
	b.WriteString(`  graph [fontname="Helvetica,Arial,sans-serif", fontsize=14, labeljust=l, nodesep=0.35, ranksep=0.45]
  node [shape=plain, fontname="Helvetica,Arial,sans-serif", fontsize=11]
  edge [fontname="Helvetica,Arial,sans-serif", fontsize=9, color="#555555", fontcolor="#333333"]
`)
	for _, g := range d.groups {
		fmt.Fprintf(&b, "  subgraph cluster_%s {\n    label=%s; color=\"#999999\"\n", g, dotText(g))
		for i := range d.nodes[g] {
			d.nodes[g][i].dot(&b)
		}
		b.WriteString("  }\n")
	}
	d.dotAny(&b)
	b.WriteString("}\n")
	return b.String(), nil
}

// dotText is text in double quotes.
func dotText(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ").Replace(text) + `"`
}

// dot writes a state as a table, and its arrows.
func (n *node) dot(b *strings.Builder) {
	border, fill := 1, "#ffffff"
	switch n.end {
	case sequence.EndPass:
		border, fill = 3, "#e3f1e3"
	case sequence.EndFail:
		border, fill = 3, "#f6dfdc"
	case sequence.EndStop:
		border, fill = 3, "#f3ecd4"
	}
	title := "<b>" + html.EscapeString(n.name) + "</b>"
	switch {
	case n.start:
		title += "</td></tr><tr><td>start"
	case n.end != sequence.EndNone:
		title += "</td></tr><tr><td>end: " + n.end.String()
	}
	fmt.Fprintf(b, "    %s [label=<<table border=\"%d\" cellborder=\"0\" cellspacing=\"0\" cellpadding=\"3\" bgcolor=\"%s\"><tr><td>%s</td></tr>", dotText(n.name), border, fill, title)
	if n.note != "" {
		dotRow(b, "center", 9, n.note) //nolint:misspell // the word of the language
	}
	for _, e := range n.exits {
		dotRow(b, "left", 8, "→ "+e.to+": "+strings.Join(e.labels, "; "))
	}
	b.WriteString("</table>>]\n")
	for _, a := range n.arrows {
		fmt.Fprintf(b, "    %s -> %s [label=\"%s\"]\n", dotText(n.name), dotText(a.to), a.dotLabel())
	}
}

// dotLabel is the text at an arrow, each way folded into lines that are centred.
func (a *arrow) dotLabel() string {
	var lines []string
	for i, label := range a.labels {
		if i > 0 {
			label = "or " + label
		}
		for _, line := range strings.Split(folded(label, 36, "\n"), "\n") {
			quoted := dotText(line)
			lines = append(lines, quoted[1:len(quoted)-1])
		}
	}
	return strings.Join(lines, `\n`)
}

// widestFont is the mean width of a letter in the widest of the fonts that may stand in for Helvetica,
// as a share of the size, so that text stays within its box.
const widestFont = 0.58

// dotRow writes a row of a table, folded into lines.
func dotRow(b *strings.Builder, align string, size int, text string) {
	lines, longest := strings.Split(folded(text, 46, "\n"), "\n"), 0
	for i := range lines {
		longest = max(longest, len([]rune(lines[i])))
		lines[i] = html.EscapeString(lines[i])
	}
	brk := `<br align="` + align + `"/>`
	fmt.Fprintf(b, `<tr><td align="%s" balign="%s" width="%d"><font point-size="%d">%s%s</font></td></tr>`,
		align, align, int(float64(longest*size)*widestFont), size, strings.Join(lines, brk), brk)
}

// folded breaks text into lines of a width.
func folded(text string, width int, end string) string {
	return wrapped(strings.Fields(text), " ", end, width)
}

// dotAny writes the transitions from any state as one table.
func (d *diagram) dotAny(b *strings.Builder) {
	if len(d.any) == 0 {
		return
	}
	b.WriteString(`  "from any state" [label=<<table border="1" cellborder="0" cellspacing="0" cellpadding="3" style="dashed"><tr><td><b>from any state</b></td></tr><tr><td>before its own ways</td></tr>`)
	for i := range d.any {
		w := &d.any[i]
		dotRow(b, "left", 9, "→ "+w.to+": "+w.label+"; "+w.from())
	}
	b.WriteString("</table>>]\n")
}

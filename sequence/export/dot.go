package export

import (
	"fmt"
	"html"
	"strconv"
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
	return d.dot(h), nil
}

// dot writes the graph.
func (d *diagram) dot(h Heading) string {
	var b strings.Builder
	for _, line := range h.lines(d.name + ": " + d.note) {
		b.WriteString(strings.TrimRight("// "+strings.Join(strings.Fields(line), " "), " ") + "\n")
	}
	fmt.Fprintf(&b, "digraph %s {\n", dotText(d.name))
	b.WriteString(`  graph [fontname="Helvetica,Arial,sans-serif", fontsize=14, labeljust=l, nodesep=0.2, ranksep=0.2, outputorder=edgesfirst]
  node [shape=plain, fontname="Helvetica,Arial,sans-serif", fontsize=11]
  edge [color="#555555", arrowsize=0.7]
`)
	for _, g := range d.groups {
		d.dotGroup(&b, g)
	}
	d.dotAny(&b)
	d.dotOrder(&b)
	b.WriteString("}\n")
	return shown(b.String())
}

// dotGroup writes a group as columns of states. The text of an arrow is a node in its middle: nodes do not
// overlap, and arrows go around them.
func (d *diagram) dotGroup(b *strings.Builder, group string) {
	fmt.Fprintf(b, "  subgraph cluster_%s {\n    label=%s; color=\"#999999\"\n", group, dotText(group))
	for c, nodes := range columnsOf(d.nodes[group]) {
		fmt.Fprintf(b, "    subgraph cluster_%s_%d {\n      label=\"\"; penwidth=0\n", group, c+1)
		for i := range nodes {
			nodes[i].dot(b)
			if nodes[i].below != "" {
				fmt.Fprintf(b, "      %s -> %s [style=invis]\n", dotText(nodes[i].below), dotText(nodes[i].name))
			}
		}
		for i := range nodes {
			for _, a := range nodes[i].drawn {
				nodes[i].dotArrow(b, &a)
			}
		}
		b.WriteString("    }\n")
	}
	b.WriteString("  }\n")
}

// dotArrow writes an arrow with its text.
func (n *boxed) dotArrow(b *strings.Builder, a *arrow) {
	id := dotText(n.name + " to " + a.to)
	fmt.Fprintf(b, "      %s [label=<<table border=\"0\" cellborder=\"0\" cellspacing=\"0\" cellpadding=\"1\">", id)
	for i, label := range a.labels {
		if i > 0 {
			label = "or " + label
		}
		dotRow(b, "left", 34, label)
	}
	b.WriteString("</table>>]\n")
	fmt.Fprintf(b, "      %s -> %s [arrowhead=none]\n      %s -> %s\n", dotText(n.name), id, id, dotText(a.to))
}

// dotText is text in double quotes.
func dotText(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ").Replace(text) + `"`
}

// dot writes a state as a table, and its arrows.
func (n *boxed) dot(b *strings.Builder) {
	border, fill := 1, "#ffffff"
	switch n.end {
	case sequence.EndPass:
		border, fill = 3, "#e3f1e3"
	case sequence.EndFail:
		border, fill = 3, "#f6dfdc"
	case sequence.EndStop:
		border, fill = 3, "#f3ecd4"
	}
	title := html.EscapeString(n.number + " " + n.name)
	switch {
	case n.start:
		title += " (start)"
	case n.end != sequence.EndNone:
		title += " (end: " + n.end.String() + ")"
	}
	fmt.Fprintf(b, "    %s [label=<<table border=\"%d\" cellborder=\"0\" cellspacing=\"0\" cellpadding=\"3\" bgcolor=\"%s\"><tr>%s</tr>", dotText(n.name), border, fill, titleCell(title))
	if n.note != "" {
		dotRow(b, "center", 46, n.note) //nolint:misspell // the word of the language
	}
	for _, e := range n.listed {
		dotRow(b, "left", 46, "→ "+e.to+": "+strings.Join(e.labels, "; "))
	}
	if n.sources != nil {
		dotRow(b, "left", 46, "← from "+strings.Join(n.sources, ", "))
	}
	b.WriteString("</table>>]\n")
}

// widestFont is the mean width of a letter in the widest of the fonts that may stand in for Helvetica,
// as a share of the size, so that text stays within its box.
const widestFont = 0.58

// titleCell is a cell with a title in bold letters of 11 points, which are wider still.
func titleCell(escaped string) string {
	const widestBold = 0.7
	return fmt.Sprintf(`<td width="%d"><b>%s</b></td>`, int(float64(len([]rune(html.UnescapeString(escaped)))*11)*widestBold), escaped)
}

// rowSize is the size of the letters of a row, in points.
const rowSize = 9

// dotRow writes a row of a table, folded into lines.
func dotRow(b *strings.Builder, align string, width int, text string) {
	lines, longest := strings.Split(folded(text, width, "\n"), "\n"), 0
	for i := range lines {
		longest = max(longest, len([]rune(lines[i])))
		lines[i] = html.EscapeString(lines[i])
	}
	brk := `<br align="` + align + `"/>`
	fmt.Fprintf(b, `<tr><td align="%s" balign="%s" width="%d"><font point-size="%d">%s%s</font></td></tr>`,
		align, align, int(float64(longest)*rowSize*widestFont), rowSize, strings.Join(lines, brk), brk)
}

// folded breaks text into lines of a width.
func folded(text string, width int, end string) string {
	return wrapped(strings.Fields(text), " ", end, width)
}

// dotAny writes the transitions from any state as one table above all others, wide and low.
func (d *diagram) dotAny(b *strings.Builder) {
	if len(d.any) == 0 {
		return
	}
	b.WriteString(`  "from any state" [label=<<table border="1" cellborder="0" cellspacing="0" cellpadding="3" style="dashed"><tr>` + titleCell("from any state, before the transitions of the state") + `</tr>`)
	for i := range d.any {
		w := &d.any[i]
		dotRow(b, "left", 130, "→ "+w.to+": "+w.text())
	}
	b.WriteString("</table>>]\n")
}

// dotOrder holds the columns in their order, by points above them which nobody sees, and the table of the
// transitions from any state above these.
func (d *diagram) dotOrder(b *strings.Builder) {
	var points []string
	for _, g := range d.groups {
		for _, column := range columnsOf(d.nodes[g]) {
			point := dotText("column " + strconv.Itoa(len(points)+1))
			fmt.Fprintf(b, "  %s [shape=point, style=invis]\n  %s -> %s [style=invis, weight=10]\n", point, point, dotText(column[0].name))
			if len(d.any) > 0 {
				fmt.Fprintf(b, "  \"from any state\" -> %s [style=invis]\n", point)
			}
			points = append(points, point)
		}
	}
	if len(points) > 1 {
		fmt.Fprintf(b, "  {rank=same; %s [style=invis]}\n", strings.Join(points, " -> "))
	}
}

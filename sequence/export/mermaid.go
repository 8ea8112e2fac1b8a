package export

import (
	"fmt"
	"strings"

	"holdbench/sequence"
)

// Mermaid writes a sequence as a state diagram for documents that draw Mermaid, one composite state a
// group; group draws one of [Groups] alone, "" draws all.
func Mermaid(p *sequence.Program, h Heading, group string) (string, error) {
	d, err := diagramOf(p, group)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString("stateDiagram-v2\n")
	for _, line := range h.lines(d.name + ": " + d.note) {
		if line != "" {
			fmt.Fprintf(&b, "  %%%% %s\n", strings.Join(strings.Fields(line), " "))
		}
	}
	for _, g := range d.groups {
		if len(d.nodes[g]) == 0 {
			continue
		}
		fmt.Fprintf(&b, "  state \"%s\" as group_%s {\n", g, g)
		for i := range d.nodes[g] {
			d.nodes[g][i].mermaid(&b)
		}
		b.WriteString("  }\n")
	}
	if len(d.any) > 0 {
		b.WriteString("  from_any_state : from any state, before the transitions of the state\n")
	}
	for i := range d.any {
		w := &d.any[i]
		describe(&b, "  from_any_state", "→ "+w.to+": "+w.label+"; "+w.from())
	}
	return shown(b.String()), nil
}

// mermaid writes a state and its arrows.
func (n *node) mermaid(b *strings.Builder) {
	id := "s_" + n.name
	title := n.number + " " + n.name
	if n.end != sequence.EndNone {
		title += " (" + n.end.String() + ")"
	}
	describe(b, "    "+id, title)
	describe(b, "    "+id, n.note)
	for _, e := range n.exits {
		describe(b, "    "+id, "→ "+e.to+": "+strings.Join(e.labels, "; "))
	}
	if n.start {
		fmt.Fprintf(b, "    [*] --> %s\n", id)
	}
	for _, a := range n.arrows {
		fmt.Fprintf(b, "    %s --> s_%s : %s\n", id, a.to, mermaidText(strings.Join(a.labels, "; or ")))
	}
}

// describe writes text as lines of a state, as a box is as wide as its longest line.
func describe(b *strings.Builder, state, text string) {
	if text == "" {
		return
	}
	for _, line := range strings.Split(folded(text, 56, "\n"), "\n") {
		fmt.Fprintf(b, "%s : %s\n", state, mermaidText(line))
	}
}

// mermaidText is text in which nothing is read as syntax: such characters are written as entities.
func mermaidText(text string) string {
	return strings.NewReplacer(
		"#", "#35;", ";", "#59;", ":", "#58;", "<", "#60;", ">", "#62;", `"`, "#34;", "{", "#123;", "}", "#125;", "%%", "#37;#37;", "--", "#45;#45;", "\n", " ",
	).Replace(text)
}

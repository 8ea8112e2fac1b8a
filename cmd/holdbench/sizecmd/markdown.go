package sizecmd

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/sizing"
)

// sizeMarkdown is a sizing as tables for a document.
func sizeMarkdown(z *sizedRig) string {
	var b strings.Builder
	r := z.result
	fmt.Fprintf(&b, "# Brake test of %s\n\n%s\n\n%s\n", inMarkdown(r.Rig), inMarkdown(r.Title), scope)
	if len(r.Findings)+len(r.Crossed)+len(r.Thin)+len(r.Unfit) > 0 {
		b.WriteString("\n## Warnings\n\n")
	}
	for _, text := range r.Findings {
		b.WriteString("- **finding**: " + inMarkdown(text) + "\n")
	}
	for _, text := range r.Crossed {
		b.WriteString("- **crossed**: " + inMarkdown(text) + "\n")
	}
	for _, text := range r.Thin {
		b.WriteString("- check: " + inMarkdown(text) + "\n")
	}
	for _, key := range r.Unfit {
		b.WriteString("- set now, unsuitable: `" + key + "`\n")
	}
	b.WriteString("\n## To set\n\n| key | now | to set | unit | |\n| --- | --- | --- | --- | --- |\n")
	for _, s := range r.Settings {
		markdownRow(&b, "`"+s.Key+"`", s.Now, s.Value, s.Unit, s.Origin)
	}
	if text := missingText(z); text != "" {
		b.WriteString("\n" + inMarkdown(text) + "\n")
	}
	for _, section := range r.Sections {
		fmt.Fprintf(&b, "\n## %s\n\n| figure | value | formula | source | margin, now, warning |\n| --- | ---: | --- | --- | --- |\n", strings.ToUpper(section.Name[:1])+section.Name[1:])
		for i := range section.Lines {
			markdownLine(&b, &section.Lines[i])
		}
	}
	b.WriteString("\n" + strings.Join(strings.Fields(sizeSymbols), " ") + "\n\n> " + strings.Join(strings.Fields(caution.Short), " ") + "\n")
	return b.String()
}

func markdownLine(b *strings.Builder, l *sizing.Line) {
	value := strings.TrimSpace(page.Figure(l.Value) + " " + l.Unit)
	if len(l.Also) > 0 {
		value += ", " + alsoText(l.Also)
	}
	var remarks []string
	if l.Margin != nil {
		remarks = append(remarks, marginText(l))
	}
	if p := l.Set; p != nil {
		word := "suitable"
		if !p.Fits {
			word = "unsuitable"
		}
		remarks = append(remarks, fmt.Sprintf("now %s %s, %s: %s", p.Key, strings.TrimSpace(page.Figure(p.Value)+" "+p.Unit), word, p.Assessment))
	}
	if l.Finding != "" {
		remarks = append(remarks, "finding: "+l.Finding)
	}
	if l.Warning != "" {
		remarks = append(remarks, "warning: "+l.Warning)
	}
	markdownRow(b, inMarkdown(l.Name), inMarkdown(value), inMarkdown(formulaText(l)), inMarkdown(l.Source), inMarkdown(strings.Join(remarks, "; ")))
}

func markdownRow(b *strings.Builder, cells ...string) {
	b.WriteString("| " + strings.Join(cells, " | ") + " |\n")
}

// inMarkdown escapes the characters with a meaning in a table.
func inMarkdown(text string) string {
	return strings.NewReplacer("|", `\|`, "*", `\*`, "_", `\_`, "<", `\<`, "[", `\[`, "`", "\\`").Replace(page.CleanLine(text))
}

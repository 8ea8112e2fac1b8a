package riddlescmd

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/training"
)

// sheet is the riddles of a class.
type sheet struct {
	Reference, Rig, Sequence string
	Level                    training.Level
	Riddles                  []*training.Riddle
}

// textWidth is how wide the texts are, in cells.
const textWidth = 80

// HowTo says what to do.
func (s *sheet) HowTo() string {
	return fmt.Sprintf("Open the bench with: holdbench --scenario %s. Press b, choose level %s with the arrows, type the seed, press enter. "+
		"Examine the run; %d further runs are free. Press enter to name the cause and the remedy. Results go to the file of --results, with the name of --player.",
		s.Reference, s.Level, training.FreeLooks)
}

// Caution is that of every riddle.
func (s *sheet) Caution() string { return caution.Whole }

// write writes the sheet without the answers.
func (s *sheet) write(w io.Writer, html bool) error {
	if html {
		return template.Must(template.New("sheet").Parse(sheetHTML)).Execute(w, s)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Find the fault: rig %s, %s, level %s\n\n", s.Rig, s.Sequence, s.Level)
	b.WriteString(page.Paragraph(s.HowTo(), "", textWidth) + "\n")
	for i, r := range s.Riddles {
		fmt.Fprintf(&b, "%3d  seed %-8d  cause  ____________________________________\n%21s remedy ____________________________________   points ____\n\n", i+1, r.Seed, "")
	}
	b.WriteString(page.Paragraph("! "+caution.Whole, "", textWidth))
	_, err := io.WriteString(w, b.String())
	return err
}

const sheetHTML = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Find the fault</title>
<style>
@page { size: A4; margin: 18mm }
body { font: 11pt/1.4 sans-serif; max-width: 180mm; margin: 1em auto }
table { border-collapse: collapse; width: 100% }
th, td { border: 1px solid #555; padding: .5em; text-align: left; height: 1.6em }
tr { break-inside: avoid }
</style>
</head>
<body>
<h1>Find the fault</h1>
<p>Rig {{.Rig}}, {{.Sequence}}, level {{.Level}}. Name: ______________________</p>
<p>{{.HowTo}}</p>
<table>
<thead><tr><th>Seed</th><th>Cause</th><th>Remedy</th><th>Seen by</th><th>Points</th></tr></thead>
<tbody>
{{- range .Riddles}}
<tr><td>{{.Seed}}</td><td></td><td></td><td></td><td></td></tr>
{{- end}}
</tbody>
</table>
<p>{{.Caution}}</p>
</body>
</html>
`

// answers are those of all riddles, for the teacher.
func (s *sheet) answers() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Answers: rig %s, %s, level %s\n", s.Rig, s.Sequence, s.Level)
	for i, r := range s.Riddles {
		fmt.Fprintf(&b, "\n%3d  seed %d: %s\n", i+1, r.Seed, r.Truth.Name())
		line := func(text string) { b.WriteString(page.Paragraph(text, "     ", textWidth)) }
		for _, f := range r.Truth {
			line("As a flag of holdbench run: --fault " + f.String())
		}
		line(r.Truth.What())
		line("Remedy: " + r.Truth.Remedy())
		line(r.Visible.Text("in the nominal run", "in this run"))
		for _, c := range r.Causes {
			if c.Case != nil {
				line("Not " + c.Name + ": " + c.Why)
			}
		}
	}
	return b.String()
}

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
	return fmt.Sprintf("Open the bench with: holdbench --scenario %s --player NAME --results FILE.jsonl, with your name and the file that the trainer collects. Press b, choose level %s with the arrows, type the seed, press enter. "+
		"Examine the run; %d looks are free: runs with other values, and the nominal run, once, behind it or compared with it. Press enter to name the cause and the remedy.",
		s.Reference, s.Level, training.FreeLooks)
}

// Cells are what a player fills in for each riddle: of two faults both causes and remedies.
func (s *sheet) Cells() []string {
	if s.Level == training.Two {
		return []string{"cause 1", "cause 2", "remedy 1", "remedy 2", "seen by", "points"}
	}
	return []string{"cause", "remedy", "seen by", "points"}
}

// Caution is that of every riddle.
func (s *sheet) Caution() string { return caution.Whole }

// write writes the sheet without the answers.
func (s *sheet) write(w io.Writer, html bool) error {
	if html {
		return template.Must(template.New("sheet").Parse(sheetHTML)).Execute(w, s)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Find the fault: rig %s, %s, level %s\nName: ______________________\n\n", s.Rig, s.Sequence, s.Level)
	b.WriteString(page.Paragraph(s.HowTo(), "", textWidth) + "\n")
	for i, r := range s.Riddles {
		fmt.Fprintf(&b, "%3d  seed %d\n", i+1, r.Seed)
		for _, cell := range s.Cells() {
			fmt.Fprintf(&b, "     %-9s ____________________________________________________\n\n", cell)
		}
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
th:first-letter { text-transform: uppercase }
th, td { border: 1px solid #555; padding: .5em; text-align: left; height: 1.6em }
tr { break-inside: avoid }
</style>
</head>
<body>
<h1>Find the fault</h1>
<p>Rig {{.Rig}}, {{.Sequence}}, level {{.Level}}. Name: ______________________</p>
<p>{{.HowTo}}</p>
<table>
<thead><tr><th>seed</th>{{range .Cells}}<th>{{.}}</th>{{end}}</tr></thead>
<tbody>
{{- range .Riddles}}
<tr><td>{{.Seed}}</td>{{range $.Cells}}<td></td>{{end}}</tr>
{{- end}}
</tbody>
</table>
<p>{{.Caution}}</p>
</body>
</html>
`

// answer is that of one riddle, for the teacher.
type answer struct {
	Number int
	Seed   uint64
	Truth  string
	Lines  []string
}

// Answers are those of all riddles.
func (s *sheet) Answers() []answer {
	var list []answer
	for i, r := range s.Riddles {
		a := answer{Number: i + 1, Seed: r.Seed, Truth: r.Truth.Name()}
		for _, f := range r.Truth {
			a.Lines = append(a.Lines, "As a flag of holdbench run: --fault "+f.String())
		}
		a.Lines = append(a.Lines, r.Truth.What(), "Remedy: "+r.Truth.Remedy(), r.Visible.Text("in the nominal run", "in this run"))
		for _, c := range r.Causes {
			if c.Case != nil {
				a.Lines = append(a.Lines, "Not "+c.Name+": "+c.Why)
			}
		}
		list = append(list, a)
	}
	return list
}

func (s *sheet) writeAnswers(w io.Writer, html bool) error {
	if html {
		return template.Must(template.New("answers").Parse(answersHTML)).Execute(w, s)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Answers: rig %s, %s, level %s\n", s.Rig, s.Sequence, s.Level)
	for _, a := range s.Answers() {
		fmt.Fprintf(&b, "\n%3d  seed %d: %s\n", a.Number, a.Seed, a.Truth)
		for _, line := range a.Lines {
			b.WriteString(page.Paragraph(line, "     ", textWidth))
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

const answersHTML = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Answers</title>
<style>
@page { size: A4; margin: 18mm }
body { font: 11pt/1.4 sans-serif; max-width: 180mm; margin: 1em auto }
section { break-inside: avoid }
h2 { font-size: 12pt; margin-bottom: 0 }
p { margin: .3em 0 }
</style>
</head>
<body>
<h1>Answers</h1>
<p>Rig {{.Rig}}, {{.Sequence}}, level {{.Level}}.</p>
{{- range .Answers}}
<section>
<h2>{{.Number}}. Seed {{.Seed}}: {{.Truth}}</h2>
{{- range .Lines}}
<p>{{.}}</p>
{{- end}}
</section>
{{- end}}
<p>{{.Caution}}</p>
</body>
</html>
`

package report

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/plant/sizing"
	"holdbench/sequence"
	"holdbench/sequence/export"
)

// Rig is a rig of the record, as its document has it.
type Rig struct {
	Number    int
	Reference string
	SHA256    string
	Rig       plant.Rig
	Sized     *sizing.Sizing // nil if it could not be sized
	NotSized  string         // why
	With      string         // the sequence whose parameters were compared
	Runs      int
}

func (r *Rig) id() string { return "rig-" + strconv.Itoa(r.Number) }

// Sequence is a sequence of the record.
type Sequence struct {
	Number    int
	Reference string
	SHA256    string // of the document, or of the binding of a program
	Logic     sequence.Logic
	File      string // of a program; empty for a document
	Text      string // of a program
	Binding   string // of a program
	TextSHA   string
	Runs      int
	Sized     map[string]string // parameters as they were sized for one of its rigs
	SizedFor  string            // that rig
	In        string            // the scenario that holds it; empty for a document of its own
	ValuesOf  string            // whose values the parameters have; empty for those of the document
	Diagrams  []Figure
}

func (s *Sequence) id() string { return "sequence-" + strconv.Itoa(s.Number) }

// name is that of the document; one that is written in a scenario has the scenario's with it.
func (s *Sequence) name() string {
	name := page.CleanLine(s.Logic.About().Name)
	if s.In != "" {
		return name + " of " + page.CleanLine(s.In)
	}
	return name
}

// Draw draws the diagrams of a sequence document, one a group of states.
func (s *Sequence) Draw(ctx context.Context, version string) error {
	program, ok := s.Logic.(*sequence.Program)
	if !ok {
		return nil
	}
	heading := export.Heading{Version: version, Sources: []export.Source{{Kind: "sequence", Name: program.About().Name, SHA256: s.SHA256}}}
	for _, group := range groupsOf(program) {
		drawn, err := export.SVG(ctx, program, heading, group)
		if err != nil {
			return err
		}
		brief, err := export.Overview(ctx, program, heading, group)
		if err != nil {
			return err
		}
		f := Figure{Caption: "states of the group " + group, Plate: true}
		name := strconv.Itoa(s.Number) + group + "-"
		f.Drawing = inline(drawn, "d"+name, s.name()+": "+f.Caption)
		f.Paper = inline(smaller(brief), "o"+name, s.name()+": "+f.Caption+", by the numbers of the transitions")
		s.Diagrams = append(s.Diagrams, f)
	}
	return nil
}

// groupsOf are the groups of states that a sequence has, in their order.
func groupsOf(p *sequence.Program) []string {
	has := map[string]bool{}
	for _, t := range export.Tables(p, nil) {
		part := slices.Index(t.Columns, "part")
		for _, row := range t.Rows {
			if part >= 0 {
				has[row[part]] = true
			}
		}
	}
	return slices.DeleteFunc(export.Groups(), func(g string) bool { return !has[g] })
}

// rigsTable lists the rigs with what identifies them.
func (in *Input) rigsTable() Table {
	t := Table{Columns: heads("rig", "title", "document, SHA-256", "tick", "scan of the sequence", "scan of the judge", "judge", ">test cases")}
	for _, r := range in.Rigs {
		c := r.Rig.Clock
		t.addCells(Cell{Text: page.CleanLine(r.Rig.Rig), Link: r.id()}, Cell{Text: page.CleanLine(r.Rig.Title)},
			Cell{Text: page.CleanLine(r.Reference) + " " + r.SHA256, Tone: "code"},
			Cell{Text: problem.Time(c.Tick)}, Cell{Text: problem.Time(c.FunctionalScan)}, Cell{Text: problem.Time(c.SafetyScan)},
			Cell{Text: r.Rig.Judge.Kind + ", " + r.Rig.Judge.Directions}, Cell{Text: strconv.Itoa(r.Runs)})
	}
	return t
}

func (in *Input) sequencesTable() Table {
	t := Table{Columns: heads("sequence", "made of", "note", "document, SHA-256", ">states", ">test cases")}
	for _, s := range in.Sequences {
		about := s.Logic.About()
		kind, hashes := "sequence document", page.CleanLine(s.Reference)+" "+s.SHA256
		if s.File != "" {
			kind, hashes = "program in Structured Text with a binding", "binding "+s.SHA256+", program "+page.CleanLine(s.File)+" "+s.TextSHA
		}
		t.addCells(Cell{Text: s.name(), Link: s.id()}, Cell{Text: kind}, Cell{Text: page.CleanLine(about.Note)},
			Cell{Text: hashes, Tone: "code"}, Cell{Text: strconv.Itoa(len(about.States))}, Cell{Text: strconv.Itoa(s.Runs)})
	}
	return t
}

// judgesTable lists the data of the judge and of the stop functions, rig by rig, as their documents have them.
func (in *Input) judgesTable() Table {
	t := Table{
		Caption: "judge and stop functions, by rig", Class: half(len(in.Rigs) <= 2),
		Columns: heads("value"),
		Notes:   []string{"A test case that sets another value says so under its values set."},
	}
	for _, r := range in.Rigs {
		t.Columns = append(t.Columns, Column{Name: page.CleanLine(r.Rig.Rig)})
	}
	for _, f := range plant.Fields() {
		if !strings.HasPrefix(f.Path, "judge.") && !strings.HasPrefix(f.Path, "safety.") {
			continue
		}
		row := []Cell{{Text: f.Path}}
		for _, r := range in.Rigs {
			row = append(row, Cell{Text: page.CleanLine(f.Text(&r.Rig))})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// sizings are the sizing of each rig, one part a rig.
func (in *Input) sizings() *Section {
	s := &Section{ID: "sizing", Title: "Sizing of the test", Notes: []string{
		"Calculated from the data of each rig as its document has them, with the default assumptions of holdbench size; nothing is measured. Torques are at the motor shaft; positive raises the load. Sources that are marked from memory or common practice have to be checked.",
	}}
	for _, r := range in.Rigs {
		s.Parts = append(s.Parts, r.section())
	}
	return s
}

func (r *Rig) section() *Section {
	p := &Section{ID: r.id(), Title: page.CleanLine(r.Rig.Rig), Notes: []string{page.CleanLine(r.Rig.Title)}}
	if r.Sized == nil {
		p.Items = []Cell{{Text: "not sized: " + page.CleanLine(r.NotSized), Tone: "bad"}}
		return p
	}
	p.Notes = append(p.Notes, "Compared with the parameters of the sequence "+page.CleanLine(r.With)+".")
	for _, text := range r.Sized.Findings {
		p.Items = append(p.Items, Cell{Text: "finding: " + text, Tone: "bad"})
	}
	for _, text := range r.Sized.Crossed {
		p.Items = append(p.Items, Cell{Text: "bounds cross: " + text, Tone: "bad"})
	}
	for _, text := range r.Sized.Thin {
		p.Items = append(p.Items, Cell{Text: "check: " + text, Tone: "warn"})
	}
	p.Tables = append(p.Tables, r.settings())
	for _, section := range r.Sized.Sections {
		t := Table{Class: "sizing screen", Caption: section.Name, Columns: heads("figure", ">value", "formula and inputs", "source", "margin and present value")}
		for i := range section.Lines {
			l := &section.Lines[i]
			t.addCells(Cell{Text: l.Name}, Cell{Text: valueText(l)}, Cell{Text: formulaText(l)}, Cell{Text: l.Source}, marginCell(l))
		}
		p.Tables = append(p.Tables, t, t.listed())
	}
	return p
}

func (r *Rig) settings() Table {
	t := Table{Caption: "values to set", Class: half(true), Columns: heads("key", ">now", ">sized", "unit", "origin")}
	for _, s := range r.Sized.Settings {
		t.add(s.Key, cmp.Or(s.Now, "–"), s.Value, s.Unit, cmp.Or(s.Origin, "worked out"))
	}
	return t
}

// valueText is a figure with its unit, and the same in other terms.
func valueText(l *sizing.Line) string {
	list := []string{strings.TrimSpace(page.Figure(l.Value) + " " + l.Unit)}
	return strings.Join(append(list, inputTexts(l.Also, func(in sizing.Input) string {
		return page.Figure(in.Value) + " " + strings.TrimSpace(in.Unit+" "+in.Name)
	})...), ", ")
}

func formulaText(l *sizing.Line) string {
	list := inputTexts(l.Inputs, func(in sizing.Input) string { return in.Name + " " + page.Figure(in.Value) + " " + in.Unit })
	if len(list) == 0 {
		return l.Formula
	}
	return l.Formula + "; with " + strings.Join(list, ", ")
}

func inputTexts(list []sizing.Input, text func(sizing.Input) string) []string {
	var texts []string
	for _, in := range list {
		texts = append(texts, strings.TrimSpace(text(in)))
	}
	return texts
}

// marginCell is what has to be looked at: margin, present value, warning, finding.
func marginCell(l *sizing.Line) Cell {
	var list []string
	tone := ""
	if m := l.Margin; m != nil {
		list = append(list, "margin "+page.Figure(100*m.Relative)+" % to "+strings.TrimSpace(page.Figure(m.Bound)+" "+l.Unit)+", "+m.To)
	}
	if p := l.Set; p != nil {
		word := "suitable"
		if !p.Fits {
			word, tone = "unsuitable", "warn"
		}
		list = append(list, "now "+p.Key+" "+strings.TrimSpace(page.Figure(p.Value)+" "+p.Unit)+", "+word+": "+p.Assessment)
	}
	if l.Warning != "" {
		list, tone = append(list, "check: "+l.Warning), "warn"
	}
	if l.Finding != "" {
		list, tone = append(list, "finding: "+l.Finding), "bad"
	}
	return Cell{Text: strings.Join(list, "; "), Tone: tone}
}

// sequenceChapter shows each sequence: its diagrams and tables, or the text of a program.
func (in *Input) sequenceChapter() *Section {
	s := &Section{ID: "sequences", Title: "Sequences and programs"}
	for _, q := range in.Sequences {
		s.Parts = append(s.Parts, q.section())
	}
	return s
}

// mostColumns is how many columns a table has at most whose head is written across.
const mostColumns = 12

func (s *Sequence) section() *Section {
	p := &Section{ID: s.id(), Title: s.name(), Notes: []string{page.CleanLine(s.Logic.About().Note)}}
	program, ok := s.Logic.(*sequence.Program)
	if !ok {
		p.Notes = append(p.Notes, "A program in Structured Text, "+page.CleanLine(s.File)+".")
		p.Listings = []Listing{{"program " + page.CleanLine(s.File), page.Clean(s.Text)}, {"binding " + page.CleanLine(s.Reference), page.Clean(s.Binding)}}
		return p
	}
	values := "Parameters have the values of the document; a rig or a test case may set others."
	if s.ValuesOf != "" {
		values = "Parameters have the values of " + s.ValuesOf + "."
	}
	if len(s.Sized) > 0 {
		values += " The sized values are those for " + page.CleanLine(s.SizedFor) + "."
	}
	p.Notes = append(p.Notes, values)
	p.Figures = s.Diagrams
	for _, t := range export.Tables(program, s.Sized) {
		made := Table{Caption: t.Title, Class: "screen"}
		for _, c := range t.Columns {
			made.Columns = append(made.Columns, Column{Name: c})
		}
		for _, row := range t.Rows {
			cells := make([]string, len(row))
			for i, text := range row {
				cells[i] = page.CleanLine(text)
			}
			made.add(cells...)
		}
		if len(t.Columns) > mostColumns {
			made.Class += " grid"
		}
		p.Tables = append(p.Tables, made, made.listed())
	}
	return p
}

// listed is a table for paper, where most cells of a wide one would be empty: each row with what stands in it,
// behind the name of the column, in two columns of the sheet.
func (t *Table) listed() Table {
	list := Table{Caption: t.Caption, Class: "listed paper half", Columns: heads(t.Columns[0].Name, "what stands in its row")}
	for _, row := range t.Rows {
		var parts []string
		for i, c := range row[1:] {
			if c.Text != "" {
				parts = append(parts, t.Columns[i+1].Name+": "+c.Text)
			}
		}
		list.addCells(Cell{Text: row[0].Text}, Cell{Text: strings.Join(parts, "; "), Tone: row[len(row)-1].Tone})
	}
	return list
}

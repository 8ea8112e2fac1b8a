package probecmd

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

//go:embed probe.html
var probeTemplate string

// htmlPage is what the page shows. Every text of a document goes through the template,
// which escapes it.
type htmlPage struct {
	Title, Documents, Extent, Sums, Caution string
	ExcusedWords                            string
	Partial                                 bool
	Plan, Never                             string // of two faults at once
	MatrixHead, CellsNote                   string
	Open, Excused                           []htmlFinding
	Columns                                 []htmlColumn
	Groups                                  []htmlGroup
	Legend                                  []htmlSign
	Gaps                                    []htmlGap
	Faults                                  []htmlFault
	EdgeSums, EdgeNote                      string // empty if none were searched for
	EdgeHeads                               edgeColumns
	Edges                                   []htmlEdges
}

// htmlEdges are the edges of a fault, the mildest ahead in words.
type htmlEdges struct {
	Fault, Words string
	Edges        []htmlEdge
}

type htmlEdge struct {
	Sign           htmlSign
	State, Outcome string
	edgeColumns
	Share   float64 // of the scale
	Command string
}

type htmlFinding struct {
	Sign           htmlSign
	Words          string
	Faults, States string
	Command        string
}

type htmlSign struct{ Sign, Tone, Kind, What string }

type htmlColumn struct{ Number, State string }

type htmlGroup struct {
	Name string
	Rows []htmlRow
}

type htmlRow struct {
	Fault   string
	Squares []htmlSquare
}

type htmlSquare struct {
	Sign  htmlSign
	Title string
	Link  string // to the first of its outcomes that is not fine; empty if there is none
}

type htmlGap struct{ Why, Names string }

// htmlFault is a fault with its cells that are not fine.
type htmlFault struct {
	ID, Fault, Words string
	Cells            []htmlCell
}

type htmlCell struct {
	ID                     string // of the first cell of a square
	Sign                   htmlSign
	State, Moment, Outcome string
	With                   string // the other fault of a pair
	Command                string
}

// writeProbeHTML writes a page for a browser that needs nothing from outside. What is
// fine is only counted: a page of every cell would be too long to load and to read.
func writeProbeHTML(w io.Writer, p *probing) error {
	t, err := template.New("probe").Parse(probeTemplate)
	if err != nil {
		return err
	}
	return t.Execute(w, p.html())
}

func (p *probing) html() *htmlPage {
	m := p.found
	h := &htmlPage{
		Title: "Probe of " + m.Scenario, Documents: p.documents(), Extent: p.extent(),
		Sums: sumWords(m), Caution: caution.Whole, Partial: !m.Complete,
		MatrixHead: "Worst of each fault in each state",
		CellsNote:  "Cells that are fine are counted, the others listed.",
	}
	if p.options.Pairs {
		h.Plan, h.Never = planWords(m.Plan), neverWords(m)
		h.MatrixHead = "Worst of every two faults"
		h.CellsNote = "Cells that are fine are counted, the others listed; a pair stands below one of its faults only."
		h.Legend = htmlLegend(blankPairWhat)
		newTriangle(m).html(h)
	} else {
		h.Legend = htmlLegend(blankWhat)
		h.matrix(newMatrix(m))
	}
	p.htmlEdges(h)
	excused := 0
	for _, f := range m.Findings() {
		if f.Excused {
			excused += len(f.Cells)
			h.Excused = append(h.Excused, p.htmlFinding(&f))
		} else {
			h.Open = append(h.Open, p.htmlFinding(&f))
		}
	}
	h.ExcusedWords = page.Count(excused, "cell", "cells") + " in " + page.Count(len(h.Excused), "group", "groups")
	for _, g := range p.gaps() {
		h.Gaps = append(h.Gaps, htmlGap{g.why, strings.Join(g.names, ", ")})
	}
	for _, name := range m.Faults {
		h.Faults = append(h.Faults, p.htmlFault(name))
	}
	return h
}

func (p *probing) htmlFinding(f *probe.Finding) htmlFinding {
	first := &p.found.Outcomes[f.Cells[0]]
	faults := f.Faults
	if p.options.Pairs {
		faults = pairWords(p.found, f)
	}
	return htmlFinding{
		Sign: signOf(first), Words: findingWords(p.found, f),
		Faults: strings.Join(faults, ", "), States: strings.Join(stateWords(f.States), ", "),
		Command: commandLine(p.again, &first.Cell),
	}
}

func (p *probing) htmlEdges(h *htmlPage) {
	if !p.sought {
		return
	}
	h.EdgeSums, h.EdgeHeads = p.edgeSums(), edgeHeads()
	if len(p.edges) > 0 {
		h.EdgeNote = edgeNote
	}
	for _, g := range p.edgeGroups() {
		mildest := g.mildest()
		words := fmt.Sprintf("%s; %s; the mildest is %s in %s", page.Count(len(g.edges), "edge", "edges"), g.words(), page.Figure(mildest.Number), stateWord(mildest.State))
		of := htmlEdges{Fault: g.fault, Words: words}
		for _, e := range g.edges {
			of.Edges = append(of.Edges, htmlEdge{signOf(&e.Outcome), stateWord(e.State), outcomeWords(&e.Outcome), columnsOf(e), e.Share, commandLine(p.again, &e.Cell)})
		}
		h.Edges = append(h.Edges, of)
	}
}

// signOf is a sign with the class that colours it.
func signOf(o *probe.Outcome) htmlSign {
	look := lookOf(o.Kind)
	tone := "bad"
	switch {
	case o.Kind == probe.Fine:
		tone = "fine"
	case o.Excused():
		tone = "excused"
	case o.Kind == probe.FalseAlarm:
		tone = "alarm"
	}
	return htmlSign{look.signFor(o.Excused()), tone, string(o.Kind), look.what}
}

func htmlLegend(blank string) []htmlSign {
	var list []htmlSign
	for _, l := range kindLooks() {
		list = append(list, signOf(&probe.Outcome{Kind: l.kind}))
	}
	return append(list, htmlSign{excusedSigns(), "excused", "", excusedWhat}, htmlSign{"", "", "blank", blank})
}

func (h *htmlPage) matrix(x *matrix) {
	for _, c := range x.columns {
		h.Columns = append(h.Columns, htmlColumn{x.head(c), stateWord(x.state(c))})
	}
	for _, g := range x.groups {
		group := htmlGroup{Name: g.name}
		for _, row := range g.rows {
			r := htmlRow{Fault: x.m.Faults[row]}
			for _, c := range x.columns {
				r.Squares = append(r.Squares, x.htmlSquare(row, c))
			}
			group.Rows = append(group.Rows, r)
		}
		h.Groups = append(h.Groups, group)
	}
}

func (x *matrix) htmlSquare(row, column int) htmlSquare {
	o := x.worst(row, column)
	if o == nil {
		return htmlSquare{}
	}
	return squareOf(x.m, o, x.squares[row][column].Cells, o.Fault+", "+stateWord(o.State))
}

// squareOf is a square by its worst outcome.
func squareOf(m *probe.Results, o *probe.Outcome, n int, place string) htmlSquare {
	tried := page.Count(n, "cell", "cells")
	if o.Kind == probe.Fine {
		return htmlSquare{Sign: signOf(o), Title: tried}
	}
	words := string(o.Kind)
	if o.Excused() {
		words += ", no sequence could have known or prevented it"
	}
	return htmlSquare{Sign: signOf(o), Title: fmt.Sprintf("%s: %s of %s", place, words, tried), Link: "#" + squareID(m, o)}
}

// squareID is where the outcomes of a square begin. Names of states come from documents,
// so it goes by their number.
func squareID(m *probe.Results, o *probe.Outcome) string {
	if o.With != "" {
		return o.Fault + "." + o.With // no name of a fault has a dot
	}
	return o.Fault + "-" + strconv.Itoa(slices.Index(m.States, o.State)+1)
}

func (p *probing) htmlFault(name string) htmlFault {
	f := htmlFault{ID: name, Fault: name}
	total, seen := 0, map[string]bool{}
	for i := range p.found.Outcomes {
		o := &p.found.Outcomes[i]
		if o.Fault != name {
			continue
		}
		total++
		if o.Kind == probe.Fine {
			continue
		}
		cell := htmlCell{
			Sign: signOf(o), State: stateWord(o.State), With: o.With, Moment: momentWords(&o.Cell),
			Outcome: outcomeWords(o), Command: commandLine(p.again, &o.Cell),
		}
		if id := squareID(p.found, o); !seen[id] {
			seen[id], cell.ID = true, id
		}
		f.Cells = append(f.Cells, cell)
	}
	f.Words = fmt.Sprintf("%s, %d fine", page.Count(total, "cell", "cells"), total-len(f.Cells))
	return f
}

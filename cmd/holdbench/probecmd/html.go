package probecmd

import (
	_ "embed" // for the page
	"fmt"
	"html/template"
	"io"
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
	ExcusedWords, AcceptedWords             string
	Partial                                 bool
	Timed                                   string // empty where the controller tells its states
	Nominal, NominalCommand                 string // the command only if that run is not as expected
	Plan, Never                             string // of two faults at once
	Stops                                   string // empty if the controller never stopped by itself
	MatrixHead, CellsNote                   string
	Open, Excused, Accepted                 []htmlFinding
	Columns                                 []htmlColumn
	Groups                                  []htmlGroup
	Legend                                  []htmlSign
	Gaps                                    []htmlGap
	Faults                                  []htmlFault
	ThresholdSums, ThresholdNote            string // empty if none were searched for
	ThresholdHeads                          thresholdColumns
	Thresholds                              []htmlThresholds
}

// htmlThresholds are the thresholds of a fault, the mildest ahead in words.
type htmlThresholds struct {
	Fault, Words string
	Rows         []htmlThreshold
}

type htmlThreshold struct {
	Sign           htmlSign
	State, Outcome string
	thresholdColumns
	Share   float64 // of the scale
	Command string
}

type htmlFinding struct {
	Sign           htmlSign
	Words          string
	Faults, States string
	Reason         string // for which it is accepted by name
	Command        string
}

type htmlSign struct{ Sign, Tone, Kind, What string }

type htmlColumn struct{ Number, State string }

type htmlGroup struct {
	Name string
	Rows []htmlRow
}

type htmlRow struct {
	Fault string
	Cells []htmlMatrixCell
}

type htmlMatrixCell struct {
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

// writeHTML writes a page for a browser that needs nothing from outside. What is fine is only
// counted: a page of every cell would be too long to load and to read.
func writeHTML(w io.Writer, r *report) error {
	t, err := template.New("probe").Parse(probeTemplate)
	if err != nil {
		return err
	}
	return t.Execute(w, newHTMLPage(r))
}

func newHTMLPage(r *report) *htmlPage {
	m := r.found
	h := &htmlPage{
		Title: "Probe of " + m.Scenario, Documents: r.documents(), Extent: r.extent(),
		Sums: sumWords(m), Stops: stopWords(m), Caution: caution.Whole, Partial: !m.Complete,
		Nominal:    nominalWords(r.nominal),
		MatrixHead: "Worst of each fault in each state",
		CellsNote:  "Cells that are fine are counted, the others listed.",
	}
	if r.nominal.Untold {
		h.Timed = timedWords
	}
	if !r.nominal.Sound() {
		h.NominalCommand = strings.Join(r.againParts(), " ")
	}
	if r.options.Pairs {
		h.Plan, h.Never = planWords(m.Plan), neverWords(m)
		h.MatrixHead = "Worst of every two faults"
		h.CellsNote = "Cells that are fine are counted, the others listed; a pair stands below one of its faults only."
		h.Legend = htmlLegend(blankPairWhat)
		h.triangle(newTriangle(m))
	} else {
		h.Legend = htmlLegend(blankWhat)
		h.matrix(newMatrix(m))
	}
	h.thresholds(r)
	h.findings(r)
	for _, g := range r.gaps() {
		h.Gaps = append(h.Gaps, htmlGap{g.why, strings.Join(g.names, ", ")})
	}
	for _, name := range m.Faults {
		h.Faults = append(h.Faults, newHTMLFault(r, name))
	}
	return h
}

// findings puts down the findings: to review, set aside by rule, accepted by name.
func (h *htmlPage) findings(r *report) {
	excused, accepted := 0, 0
	for _, f := range r.found.Findings() {
		switch {
		case f.Excused:
			excused += len(f.Cells)
			h.Excused = append(h.Excused, newHTMLFinding(r, &f))
		case f.Accepted != "":
			accepted += len(f.Cells)
			h.Accepted = append(h.Accepted, newHTMLFinding(r, &f))
		default:
			h.Open = append(h.Open, newHTMLFinding(r, &f))
		}
	}
	h.ExcusedWords = page.Count(excused, "cell", "cells") + " in " + page.Count(len(h.Excused), "group", "groups")
	h.AcceptedWords = page.Count(accepted, "cell", "cells") + " in " + page.Count(len(h.Accepted), "group", "groups")
}

func newHTMLFinding(r *report, f *probe.Finding) htmlFinding {
	first := &r.found.Outcomes[f.Cells[0]]
	faults := f.Faults
	if r.options.Pairs {
		faults = pairWords(r.found, f)
	}
	return htmlFinding{
		Sign: signOf(first), Words: findingWords(r.found, f),
		Faults: strings.Join(faults, ", "), States: strings.Join(stateWords(f.States), ", "),
		Reason: f.Accepted, Command: r.commandLine(&first.Cell),
	}
}

// thresholds puts down what was searched for.
func (h *htmlPage) thresholds(r *report) {
	if r.search == nil {
		return
	}
	h.ThresholdSums, h.ThresholdHeads = r.search.sums(), thresholdHeads()
	if len(r.search.thresholds) > 0 {
		h.ThresholdNote = thresholdNote
	}
	for _, g := range r.search.groups() {
		mildest := g.mildest()
		words := fmt.Sprintf("%s; %s; the mildest is %s in %s", page.Count(len(g.thresholds), "threshold", "thresholds"), g.words(), page.Figure(mildest.Number), stateWord(mildest.State))
		of := htmlThresholds{Fault: g.fault, Words: words}
		for _, e := range g.thresholds {
			of.Rows = append(of.Rows, htmlThreshold{signOf(&e.Outcome), stateWord(e.State), outcomeWords(&e.Outcome), columnsOf(e), e.Share, r.commandLine(&e.Cell)})
		}
		h.Thresholds = append(h.Thresholds, of)
	}
}

// signOf is a sign with the class that colours it.
func signOf(o *probe.Outcome) htmlSign {
	look := lookOf(o.Kind)
	tone := "bad"
	switch {
	case o.Kind == probe.Fine:
		tone = "fine"
	case o.SetAside():
		tone = "excused"
	case o.Kind == probe.FalseAlarm:
		tone = "alarm"
	}
	return htmlSign{look.signFor(o.SetAside()), tone, string(o.Kind), look.what}
}

func htmlLegend(blank string) []htmlSign {
	var list []htmlSign
	for _, l := range kindLooks() {
		list = append(list, signOf(&probe.Outcome{Kind: l.kind}))
	}
	return append(list, htmlSign{excusedSigns(), "excused", "", excusedWhat}, htmlSign{"", "", "blank", blank})
}

func newHTMLFault(r *report, name string) htmlFault {
	f := htmlFault{ID: name, Fault: name}
	total, seen := 0, map[string]bool{}
	for i := range r.found.Outcomes {
		o := &r.found.Outcomes[i]
		if o.Fault != name {
			continue
		}
		total++
		if o.Kind == probe.Fine {
			continue
		}
		cell := htmlCell{
			Sign: signOf(o), State: stateWord(o.State), With: o.With, Moment: momentWords(&o.Cell),
			Outcome: outcomeWords(o), Command: r.commandLine(&o.Cell),
		}
		if id := squareID(r.found, o); !seen[id] {
			seen[id], cell.ID = true, id
		}
		f.Cells = append(f.Cells, cell)
	}
	f.Words = fmt.Sprintf("%s, %d fine", page.Count(total, "cell", "cells"), total-len(f.Cells))
	return f
}

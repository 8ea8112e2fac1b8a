package probecmd

import (
	"fmt"
	"slices"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

func (h *htmlPage) matrix(x *matrix) {
	for _, c := range x.columns {
		h.Columns = append(h.Columns, htmlColumn{x.head(c), stateWord(x.state(c))})
	}
	for _, g := range x.groups {
		group := htmlGroup{Name: g.name}
		for _, row := range g.rows {
			r := htmlRow{Fault: x.m.Faults[row]}
			for _, c := range x.columns {
				r.Cells = append(r.Cells, x.htmlMatrixCell(row, c))
			}
			group.Rows = append(group.Rows, r)
		}
		h.Groups = append(h.Groups, group)
	}
}

func (x *matrix) htmlMatrixCell(row, column int) htmlMatrixCell {
	s := x.squares[row][column]
	o := s.Worst
	if o == nil {
		return htmlMatrixCell{}
	}
	return matrixCellOf(x.m, o, s.Cells, o.Fault+", "+stateWord(o.State))
}

// triangle puts the pairs where the page has the matrix of faults and states.
func (h *htmlPage) triangle(x *triangle) {
	for n := range max(0, len(x.faults)-1) {
		h.Columns = append(h.Columns, htmlColumn{strconv.Itoa(n + 1), x.name(n)})
	}
	for n := range x.faults {
		if n == 0 || x.groups[n] != x.groups[n-1] {
			h.Groups = append(h.Groups, htmlGroup{Name: x.groups[n]})
		}
		row := htmlRow{Fault: x.name(n)}
		for c := range h.Columns {
			row.Cells = append(row.Cells, x.htmlMatrixCell(n, c))
		}
		g := &h.Groups[len(h.Groups)-1]
		g.Rows = append(g.Rows, row)
	}
}

func (x *triangle) htmlMatrixCell(n, earlier int) htmlMatrixCell {
	o := x.worst(n, earlier)
	if o == nil {
		return htmlMatrixCell{}
	}
	return matrixCellOf(x.m, o, x.squares[x.faults[n]][x.faults[earlier]].Cells, faultName(&o.Cell))
}

// matrixCellOf is a cell of the matrix by its worst outcome.
func matrixCellOf(m *probe.Results, o *probe.Outcome, n int, place string) htmlMatrixCell {
	tried := page.Count(n, "cell", "cells")
	if o.Kind == probe.Fine {
		return htmlMatrixCell{Sign: signOf(o), Title: tried}
	}
	words := string(o.Kind)
	switch {
	case o.Excused():
		words += ", not detectable or not preventable"
	case o.Accepted != "":
		words += ", accepted by name"
	}
	return htmlMatrixCell{Sign: signOf(o), Title: fmt.Sprintf("%s: %s of %s", place, words, tried), Link: "#" + squareID(m, o)}
}

// squareID is where the outcomes of a square begin. Names of states come from documents,
// so it goes by their number.
func squareID(m *probe.Results, o *probe.Outcome) string {
	if o.With != "" {
		return o.Fault + "." + o.With // no name of a fault has a dot
	}
	return o.Fault + "-" + strconv.Itoa(slices.Index(m.States, o.State)+1)
}

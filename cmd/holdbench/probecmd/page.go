package probecmd

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

// fewCells is how many cells are listed one by one.
const fewCells = 40

// reportPage is a probe for people: findings, matrix, what was not tried, sums.
type reportPage struct {
	*sheet
	*report
}

func newReportPage(s *page.Screen, r *report) *reportPage {
	return &reportPage{newSheet(s, r.plan), r}
}

func (v *reportPage) text() string {
	v.heading(v.report)
	v.findings()
	if v.search != nil {
		v.search.print(v.sheet)
	}
	switch {
	case len(v.found.Outcomes) <= fewCells:
		v.cellList()
	case v.options.Pairs:
		newTriangle(v.found).print(v.sheet)
	default:
		newMatrix(v.found).print(v.sheet)
	}
	v.notTried()
	v.sums()
	return v.String()
}

// findings ranks the outcomes that are not fine.
func (v *reportPage) findings() {
	var open, excused, accepted []probe.Finding
	for _, f := range v.found.Findings() {
		switch {
		case f.Excused:
			excused = append(excused, f)
		case f.Accepted != "":
			accepted = append(accepted, f)
		default:
			open = append(open, f)
		}
	}
	v.Section("findings")
	switch {
	case len(v.found.Outcomes) == 0:
		v.Prose("nothing was tried yet")
	case len(open) == 0 && len(accepted) > 0:
		v.Prose("none but those accepted by name")
	case len(open) == 0:
		v.Prose("none that a sequence could have detected or prevented")
	}
	for i := range open {
		v.finding(i+1, &open[i])
	}
	if len(accepted) > 0 {
		v.accepted(accepted)
	}
	if len(excused) > 0 {
		v.excused(excused)
	}
}

// accepted shows what is accepted by name, reason by reason.
func (v *reportPage) accepted(list []probe.Finding) {
	v.Section("accepted by name")
	var reasons []string
	for i := range list {
		reasons = appendNew(reasons, list[i].Accepted)
	}
	for i, reason := range reasons {
		if i > 0 {
			v.Line()
		}
		cells := 0
		var faults, states []string
		for _, f := range list {
			if f.Accepted != reason {
				continue
			}
			cells += len(f.Cells)
			for _, name := range f.Faults {
				faults = appendNew(faults, name)
			}
			for _, name := range stateWords(f.States) {
				states = appendNew(states, name)
			}
		}
		v.Prose(fmt.Sprintf("%s: %s", page.Count(cells, "cell", "cells"), page.CleanLine(reason)))
		v.names("    faults  ", faults)
		v.names("    states  ", states)
	}
}

// finding is one group of cells that came out alike.
func (v *reportPage) finding(n int, f *probe.Finding) {
	const margin = "    "
	if n > 1 {
		v.Line()
	}
	head := fmt.Sprintf("%2d  %s", n, f.Kind)
	v.hang(v.tone(f.Kind, false).Render(head)+"  ", findingWords(v.found, f))
	if v.options.Pairs {
		v.names(margin+"pairs   ", pairWords(v.found, f))
	} else {
		v.names(margin+"faults  ", f.Faults)
	}
	v.names(margin+"states  ", stateWords(f.States))
	first := &v.found.Outcomes[f.Cells[0]]
	v.command(&first.Cell, margin)
}

// mostExcused is how many groups of excused outcomes are shown.
const mostExcused = 8

// excused shows in short what needs no review.
func (v *reportPage) excused(list []probe.Finding) {
	v.Section("not detectable or not preventable by a sequence")
	groups := excusedGroups(list)
	t := page.Table{Head: []string{"", "cells", "cause", "breaks", "faults"}}
	rest := 0
	for i, g := range groups {
		if i >= mostExcused {
			rest += g.cells
			continue
		}
		faults := strings.Join(g.faults[:min(len(g.faults), 2)], ", ")
		if n := len(g.faults) - 2; n > 0 {
			faults += fmt.Sprintf(" and %d more", n)
		}
		t.Add(lookOf(g.kind).signFor(true), page.PadLeft(strconv.Itoa(g.cells), 5), cmp.Or(g.cause, "none"), g.broken, faults)
	}
	v.Put(t.Text(v.Screen, ""))
	if rest > 0 {
		v.Prose(fmt.Sprintf("and %s in %s more; see --html or --csv", page.Count(rest, "cell", "cells"), page.Count(len(groups)-mostExcused, "group", "groups")))
	}
}

// excusedGroup is findings that differ in class at most.
type excusedGroup struct {
	kind          probe.Kind
	cause, broken string
	cells         int
	faults        []string
}

func excusedGroups(list []probe.Finding) []*excusedGroup {
	var groups []*excusedGroup
	for _, f := range list {
		cause, broken := page.CleanLine(f.Cause), strings.Join(f.Broken, ", ")
		i := slices.IndexFunc(groups, func(g *excusedGroup) bool { return g.kind == f.Kind && g.cause == cause && g.broken == broken })
		if i < 0 {
			i = len(groups)
			groups = append(groups, &excusedGroup{kind: f.Kind, cause: cause, broken: broken})
		}
		groups[i].cells += len(f.Cells)
		for _, name := range f.Faults {
			groups[i].faults = appendNew(groups[i].faults, name)
		}
	}
	slices.SortStableFunc(groups, func(a, b *excusedGroup) int {
		return cmp.Or(cmp.Compare(a.kind.Rank(), b.kind.Rank()), -cmp.Compare(a.cells, b.cells))
	})
	return groups
}

// cellList shows few cells one by one.
func (v *reportPage) cellList() {
	v.Section("cells")
	widest := 0
	for i := range v.found.Outcomes {
		widest = max(widest, page.Cells(momentWords(&v.found.Outcomes[i].Cell)))
	}
	for i := range v.found.Outcomes {
		o := &v.found.Outcomes[i]
		if i == 0 || faultName(&o.Cell) != faultName(&v.found.Outcomes[i-1].Cell) || o.State != v.found.Outcomes[i-1].State {
			v.Line(v.Style.Strong.Render(faultName(&o.Cell) + ", " + stateWord(o.State)))
		}
		v.cell(o, widest)
	}
}

func (v *reportPage) cell(o *probe.Outcome, moment int) {
	kind := v.tone(o.Kind, o.Excused()).Render(page.Pad(string(o.Kind), len(probe.FalseAlarm)))
	v.hang("  "+v.sign(o)+" "+kind+"  "+page.Pad(momentWords(&o.Cell), moment)+"  ", outcomeWords(o))
	v.command(&o.Cell, "      ")
}

// notTried lists what is not in the matrix, and why.
func (v *reportPage) notTried() {
	parts := v.gaps()
	if len(parts) == 0 {
		return
	}
	v.Section("not tried")
	for _, part := range parts {
		v.Prose(part.why + ": " + strings.Join(part.names, ", "))
	}
}

// sums counts the cells and ends with the meaning of the exit code.
func (v *reportPage) sums() {
	v.Line()
	v.Prose(sumWords(v.found))
	if stops := stopWords(v.found); stops != "" {
		v.Prose(stops)
	}
	if never := neverWords(v.found); never != "" {
		v.Prose(never)
	}
	if again := againWords(v.found.Again); again != "" {
		v.Prose(again)
	}
	g := v.Signs()
	switch n := v.dangerous(); {
	case n > 0:
		v.Line(v.Style.Bad.Render(g.Bad + " " + page.Count(n, "cell", "cells") + " to review"))
	case !v.found.Complete:
		v.Line("nothing to review so far, of " + page.Count(len(v.found.Outcomes), "cell", "cells"))
	case len(v.stale) > 0:
		v.Line(v.Style.Bad.Render(g.Bad + " " + page.Count(len(v.stale), "name", "names") + " of --accept with nothing left to accept"))
	case len(probe.Count(v.found.Outcomes).Accepted) > 0:
		v.Line(v.Style.Good.Render(g.Good + " nothing but what is accepted"))
	default:
		v.Line(v.Style.Good.Render(g.Good + " nothing that a sequence could have detected or prevented"))
	}
}

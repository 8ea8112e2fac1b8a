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

// probePage is a probe for people: what to look at, the matrix, what was not tried, the
// sums.
type probePage struct {
	page.Sheet
	*probing
	full int // columns of the screen; prose keeps to fewer
}

func (p *probing) page(s *page.Screen) *probePage {
	prose := *s
	prose.Width = min(s.Width, page.Wide)
	return &probePage{Sheet: page.NewSheet(&prose), probing: p, full: s.Width}
}

func (v *probePage) text() string {
	v.heading()
	v.findings()
	v.worst()
	switch {
	case len(v.found.Outcomes) <= fewCells:
		v.cellList()
	case v.options.Pairs:
		v.triangle()
	default:
		v.matrix()
	}
	v.notTried()
	v.sums()
	return v.String()
}

// heading says what was probed.
func (v *probePage) heading() {
	v.Line(v.Style.Strong.Render("probe of " + page.CleanLine(v.found.Scenario)))
	v.Line(v.Style.Faint.Render(v.documents()))
	v.Prose(v.extent())
	if v.options.Pairs {
		v.Prose(planWords(v.found.Plan))
	}
}

func (p *probing) documents() string {
	text := fmt.Sprintf("rig %s, sequence %s, seed %d", page.CleanLine(p.found.Rig), page.CleanLine(p.found.Sequence), p.ready.Seed)
	if n := len(p.ready.Scenario.Faults); n > 0 {
		text += fmt.Sprintf(", with the %s of the scenario", page.Count(n, "fault", "faults"))
	}
	return text
}

// extent says how much was tried.
func (p *probing) extent() string {
	m := p.found
	text := fmt.Sprintf("%s: %s in %s", page.Count(len(m.Outcomes), "cell", "cells"),
		page.Count(len(m.Faults), "fault", "faults"), page.Count(len(tried(m)), "state", "states"))
	if !m.Complete {
		text += fmt.Sprintf("; interrupted, there are %d or more", p.known)
	}
	return text
}

// findings ranks what is not fine.
func (v *probePage) findings() {
	list := v.found.Findings()
	open := slices.IndexFunc(list, func(f probe.Finding) bool { return f.Excused })
	if open < 0 {
		open = len(list)
	}
	v.Section("what to look at")
	if open == 0 && len(v.found.Outcomes) == 0 {
		v.Prose("nothing was tried yet")
		return
	}
	if open == 0 {
		v.Prose("nothing: what went wrong, if anything, no sequence could have known or prevented")
	}
	for i := range list[:open] {
		v.finding(i+1, &list[i])
	}
	if open == len(list) {
		return
	}
	v.excused(list[open:])
}

// finding is one group of cells that came out alike.
func (v *probePage) finding(n int, f *probe.Finding) {
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
	v.Put(page.BreakCommand(commandParts(v.again, &first.Cell), margin, v.Width))
}

// mostExcused is how many groups are shown of what is nobody's fault.
const mostExcused = 8

// excused shows in short what needs no look.
func (v *probePage) excused(list []probe.Finding) {
	v.Section("what no sequence could have known or prevented")
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
		v.Prose(fmt.Sprintf("and %s in %s; --html and --csv have them all", page.Count(rest, "cell", "cells"), page.Count(len(groups)-mostExcused, "group", "groups")))
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

// hang prints text that goes on behind a head.
func (v *probePage) hang(head, text string) {
	margin := strings.Repeat(" ", page.Cells(head))
	v.Put(head + strings.TrimPrefix(page.Paragraph(v.Plain(text), margin, v.Width), margin))
}

// names prints as many names as fit on two lines and counts the rest.
func (v *probePage) names(head string, names []string) {
	room := v.Width - page.Cells(head)
	for shown := min(len(names), v.Width); ; shown-- { // more never fit
		text := strings.Join(names[:shown], ", ")
		if shown < len(names) {
			text += fmt.Sprintf(" and %d more", len(names)-shown)
		}
		if shown == 1 || len(page.Wrap(text, room)) <= 2 {
			v.hang(v.Style.Faint.Render(head), text)
			return
		}
	}
}

// stateWords names the whole run among the states.
func stateWords(states []string) []string {
	words := make([]string, len(states))
	for i, s := range states {
		words[i] = stateWord(s)
	}
	return words
}

func stateWord(state string) string {
	if state == "" {
		return "the whole run"
	}
	return page.CleanLine(state)
}

// cellList shows few cells one by one.
func (v *probePage) cellList() {
	v.Section("cells")
	widest := 0
	for i := range v.found.Outcomes {
		widest = max(widest, page.Cells(momentWords(&v.found.Outcomes[i].Cell)))
	}
	for i := range v.found.Outcomes {
		o := &v.found.Outcomes[i]
		if i == 0 || who(&o.Cell) != who(&v.found.Outcomes[i-1].Cell) || o.State != v.found.Outcomes[i-1].State {
			v.Line(v.Style.Strong.Render(who(&o.Cell) + ", " + stateWord(o.State)))
		}
		v.cell(o, widest)
	}
}

func (v *probePage) cell(o *probe.Outcome, moment int) {
	kind := v.tone(o.Kind, o.Excused()).Render(page.Pad(string(o.Kind), len(probe.FalseAlarm)))
	v.hang("  "+v.sign(o)+" "+kind+"  "+page.Pad(momentWords(&o.Cell), moment)+"  ", outcomeWords(o))
	v.Put(page.BreakCommand(commandParts(v.again, &o.Cell), "      ", v.Width))
}

// momentWords says when, and how bad.
func momentWords(c *probe.Cell) string {
	if c.Severity == "" {
		return c.Moment
	}
	return fmt.Sprintf("%s, %s %s", c.Moment, c.Severity, page.Figure(c.Number))
}

// notTried says what is not in the matrix, and why.
func (v *probePage) notTried() {
	parts := v.gaps()
	if len(parts) == 0 {
		return
	}
	v.Section("not tried")
	for _, part := range parts {
		v.Prose(part.why + ": " + strings.Join(part.names, ", "))
	}
}

// gap is names of what was not tried for one reason.
type gap struct {
	why   string
	names []string
}

func (p *probing) gaps() []gap {
	var gaps []gap
	m := p.found
	if len(m.NotApplicable) > 0 {
		gaps = append(gaps, gap{"faults that make no sense on this rig and sequence", m.NotApplicable})
	}
	unreached := slices.DeleteFunc(slices.Clone(m.Unreached), func(s string) bool {
		return len(p.options.States) > 0 && !slices.Contains(p.options.States, s)
	})
	if len(unreached) == 0 {
		return gaps
	}
	why := "states that no fault leads to, alone or with another (an operator, a parameter or another scenario may)"
	switch {
	case p.options.Pairs:
		why = "states that the run without faults does not enter"
	case len(p.options.Through) > 0:
		why = "states that nothing led to; there are more ways without --through"
	}
	return append(gaps, gap{why, stateWords(unreached)})
}

// sums counts the cells and ends with what the exit code says too.
func (v *probePage) sums() {
	v.Line()
	v.Prose(sumWords(v.found))
	if never := neverWords(v.found); never != "" {
		v.Prose(never)
	}
	g := v.Signs()
	dangerous := 0
	for i := range v.found.Outcomes {
		if v.found.Outcomes[i].Dangerous() {
			dangerous++
		}
	}
	switch {
	case dangerous > 0:
		v.Line(v.Style.Bad.Render(g.Bad + " " + page.Count(dangerous, "cell", "cells") + " that somebody must look at"))
	case !v.found.Complete:
		v.Line("nothing dangerous so far, of " + page.Count(len(v.found.Outcomes), "cell", "cells"))
	default:
		v.Line(v.Style.Good.Render(g.Good + " nothing that a sequence could have known or prevented"))
	}
}

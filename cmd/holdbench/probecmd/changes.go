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

// changesPage shows what changed since an earlier probe.
type changesPage struct {
	*sheet
	*comparison
	list []probe.Difference
}

func newChangesPage(s *page.Screen, c *comparison) *changesPage {
	return &changesPage{newSheet(s, c.plan), c, c.differences()}
}

func (v *changesPage) text() string {
	v.heading()
	v.totals()
	var worse, better, others, gone []probe.Difference
	newFine := 0
	for _, d := range v.list {
		switch {
		case d.Worse():
			worse = append(worse, d)
		case d.Is == nil:
			gone = append(gone, d)
		case d.Was == nil && d.Is.Kind == probe.Fine:
			newFine++
		case d.Better():
			better = append(better, d)
		default:
			others = append(others, d)
		}
	}
	v.changed("worse", worse)
	v.changed("better", better)
	v.changed("different, neither worse nor better", others)
	v.came(newFine, gone)
	if stops := stopWords(v.found); stops != "" {
		v.Line()
		v.Prose(stops)
	}
	v.verdict(len(worse))
	return v.String()
}

// heading is what is compared.
func (v *changesPage) heading() {
	v.sheet.heading(v.report)
	b := v.was
	v.Prose(fmt.Sprintf("compared with %s: %d of its %s are in this probe too", page.CleanLine(b.path), probe.Common(b.outcomes, v.found.Outcomes), page.Count(len(b.outcomes), "cell", "cells")))
	if b.head.Probe != v.head.Probe || b.head.Rig != v.head.Rig {
		v.Prose(fmt.Sprintf("That probe is of scenario %s on rig %s, so that not only the sequence differs.", page.CleanLine(b.head.Probe), page.CleanLine(b.head.Rig)))
	}
	switch {
	case b.head.Seed != v.head.Seed:
		v.Prose(fmt.Sprintf("That probe has the seed %d and this one %d, so that the noise of the sensors differs.", b.head.Seed, v.head.Seed))
	case b.head.Sequence == v.head.Sequence && b.head.Documents != v.head.Documents:
		v.Prose("Its documents differ: the sequence, the rig, a set value, or the catalogue of faults.")
	}
	if !b.whole {
		v.Prose("It was interrupted; cells that it did not reach are left out.")
	}
	switch {
	case !v.sameChoice():
		v.Prose("It was made with other --fault, --state or --through; only cells of both are compared.")
	case v.head.Pairs:
		v.Prose("The pairs are planned for each sequence; only cells of both are compared.")
	}
}

// totals counts both probes by kind.
func (v *changesPage) totals() {
	v.Section("totals")
	was, is := probe.Count(v.was.outcomes), probe.Count(v.found.Outcomes)
	t := page.Table{Head: []string{"before", " after", ""}}
	add := func(name string, before, after int) {
		if before+after > 0 {
			t.Add(page.PadLeft(strconv.Itoa(before), 6), page.PadLeft(strconv.Itoa(after), 6), name)
		}
	}
	for _, k := range probe.Kinds() {
		add(string(k), was.Open[k], is.Open[k])
	}
	add("not detectable or not preventable", sum(was.Excused), sum(is.Excused))
	add("accepted by name", sum(was.Accepted), sum(is.Accepted))
	add("cells", len(v.was.outcomes), len(v.found.Outcomes))
	v.Put(t.Text(v.Screen, ""))
}

// sum is the number of cells of all kinds.
func sum(counts map[probe.Kind]int) int {
	n := 0
	for _, k := range probe.Kinds() {
		n += counts[k]
	}
	return n
}

// changed shows a part of the differences: one by one if they are few, or else grouped by the
// change.
func (v *changesPage) changed(name string, list []probe.Difference) {
	if len(list) == 0 {
		return
	}
	v.Section(fmt.Sprintf("%s: %s", name, page.Count(len(list), "cell", "cells")))
	for i, g := range changeGroups(list) {
		if i > 0 {
			v.Line()
		}
		v.change(g)
	}
}

// changeGroup is cells with the same change.
type changeGroup struct {
	was, is string // in words
	cells   []*probe.Outcome
	old     *probe.Outcome // of the first cell; nil: there was none
}

func changeGroups(list []probe.Difference) []*changeGroup {
	var groups []*changeGroup
	known := map[string]*changeGroup{}
	for _, d := range list {
		was, is := changeWords(d.Was), changeWords(d.Is)
		key := was + "\n" + is
		if len(list) <= fewCells {
			key += "\n" + d.Is.Key()
		}
		g := known[key]
		if g == nil {
			g = &changeGroup{was: was, is: is, old: d.Was}
			known[key], groups = g, append(groups, g)
		}
		g.cells = append(g.cells, d.Is)
	}
	slices.SortStableFunc(groups, func(a, b *changeGroup) int {
		return cmp.Or(cmp.Compare(a.cells[0].Kind.Rank(), b.cells[0].Kind.Rank()), cmp.Compare(len(b.cells), len(a.cells)))
	})
	return groups
}

// changeWords describes an outcome without figures, which change with every sequence.
func changeWords(o *probe.Outcome) string {
	if o == nil {
		return "not in the probe"
	}
	c := *o
	text := string(c.Kind) + ": " + endWords(c.End) + " in " + page.CleanLine(c.EndedIn)
	if c.Cause != "" {
		text += " (" + page.CleanLine(c.Cause) + ")"
	}
	text += ", " + string(c.Class)
	if len(c.Broken) > 0 {
		text += ", breaks " + strings.Join(c.Broken, " and ")
	}
	if c.ControllerStopped != nil {
		text += "; controller stopped"
	}
	switch {
	case c.Excused():
		text += "; not detectable or not preventable"
	case c.Accepted != "":
		text += "; accepted by name"
	}
	return text
}

func (v *changesPage) change(g *changeGroup) {
	first := g.cells[0]
	if len(g.cells) == 1 {
		v.Line(v.Style.Strong.Render(fmt.Sprintf("%s, %s, %s", faultName(&first.Cell), stateWord(first.State), momentWords(&first.Cell))))
	} else {
		v.Line(v.Style.Strong.Render(page.Count(len(g.cells), "cell", "cells")))
		var faults, states []string
		for _, o := range g.cells {
			faults, states = appendNew(faults, faultName(&o.Cell)), appendNew(states, stateWord(o.State))
		}
		v.names("    faults  ", faults)
		v.names("    states  ", states)
	}
	if g.old == nil {
		v.hang("    was  ", g.was)
	} else {
		v.hang("    was  "+v.sign(g.old)+" ", g.was)
	}
	v.hang("    is   "+v.sign(first)+" ", g.is)
	v.command(&first.Cell, "    ")
}

func appendNew(list []string, name string) []string {
	if slices.Contains(list, name) {
		return list
	}
	return append(list, name)
}

// came counts the cells of only one of the two that need no review.
func (v *changesPage) came(newFine int, gone []probe.Difference) {
	if newFine+len(gone) == 0 {
		return
	}
	v.Section("cells of only one of the two probes")
	if newFine > 0 {
		v.Prose(fmt.Sprintf("new, and fine: %d", newFine))
	}
	if len(gone) == 0 {
		return
	}
	var states []string
	for _, d := range gone {
		states = appendNew(states, stateWord(d.Was.State))
	}
	v.Prose(fmt.Sprintf("no longer in the probe: %d, in %s", len(gone), strings.Join(states, ", ")))
}

// verdict ends the page with the meaning of the exit code.
func (v *changesPage) verdict(worse int) {
	g := v.Signs()
	v.Line()
	switch {
	case worse > 0:
		v.Line(v.Style.Bad.Render(g.Bad + " " + page.Count(worse, "cell", "cells") + " became worse"))
	case len(v.list) == 0:
		v.Line(v.Style.Good.Render(g.Good + " nothing changed"))
	default:
		v.Line(v.Style.Good.Render(g.Good + " nothing became worse"))
	}
}

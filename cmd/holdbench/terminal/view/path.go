package view

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// visit is one stay in a state.
type visit struct {
	state   string
	fromS   float64
	lastsS  float64
	cause   string // that led here
	offPath bool   // not on the main path
	parted  bool   // run B went another way
}

// visits lists the states that were visited up to the cursor; the last is the active one.
func (g *stage) visits(main []int) []visit {
	list := []visit{{state: g.stateName(g.Case.Sequence.Start)}}
	for i := range g.Events {
		e := &g.Events[i]
		if !e.EntersState() || !g.past(e.TS) {
			continue
		}
		before := &list[len(list)-1]
		before.lastsS = e.TS - before.fromS
		list = append(list, visit{state: e.Snapshot.State, fromS: e.TS, cause: e.Cause})
	}
	for i := range list {
		place, ok := g.Case.Sequence.StateIndex(list[i].state)
		list[i].parted = g.Compared != nil && g.Compared.Parted && i >= g.Compared.Common
		list[i].offPath = main != nil && (!ok || !slices.Contains(main, place))
	}
	list[len(list)-1].lastsS = g.View.InStateS
	return list
}

// ahead are the states that follow the active one on the main path, none off it.
func (g *stage) ahead(main []int) []string {
	at := slices.Index(main, g.View.State)
	if at < 0 {
		return nil
	}
	var names []string
	for _, place := range main[at+1:] {
		names = append(names, g.stateName(place))
	}
	return names
}

// mainPath is known of a document alone; nil otherwise.
func (g *stage) mainPath() []int {
	if p, ok := g.Case.Program(); ok {
		return p.MainPath()
	}
	return nil
}

// drawPath reserves rows for the active state and its note, then shares out the rest.
func (g *stage) drawPath(a page.Area) {
	main := g.mainPath()
	visits, ahead := g.visits(main), g.ahead(main)
	state, note := "", g.note()
	if title, why := g.standing(); title != "" {
		state, note, ahead = title, why, nil
	}
	a = g.drawOtherPath(head(a, "sequence", state, page.Bad))
	notes := 0
	if note != "" && a.H() > 3 {
		notes = min(lines(note, a.W()-2), max(a.H()-4, 1), 3)
	}
	before, behind := len(visits)-1, g.rowsAhead(a, ahead, len(visits)-1, notes)
	before = max(min(before, a.H()-1-notes-behind), 0)
	y := g.drawVisits(a.Sub(0, 0, a.W(), before), visits[:len(visits)-1])
	g.drawActive(a, y, &visits[len(visits)-1])
	a.Sub(2, y+1, a.W()-2, notes).Wrap(0, 0, page.Faint, note)
	drawAhead(a.Sub(0, y+1+notes, a.W(), behind), ahead)
}

// rowsAhead is how many rows the states ahead get: one each where there is room, else a
// share, one at least, and what the states before leave free.
func (g *stage) rowsAhead(a page.Area, ahead []string, before, notes int) int {
	free := a.H() - 1 - notes
	if len(ahead) == 0 || free < 2 {
		return 0
	}
	const roomyRows = 12
	share := 1
	if a.H() >= roomyRows {
		share = free / 3
	}
	return min(len(ahead), max(share, free-before))
}

// note is the note of the active state in the sequence.
func (g *stage) note() string {
	if i := g.View.State; i >= 0 && i < len(g.states) {
		return g.states[i].Note
	}
	return ""
}

// drawVisits draws as many of the last visits as there are rows, and returns the next row.
func (g *stage) drawVisits(a page.Area, visits []visit) int {
	y := 0
	if hidden := len(visits) - a.H(); hidden > 0 && a.H() > 1 {
		a.Text(2, 0, page.Faint, "… "+strconv.Itoa(hidden+1)+" earlier")
		visits, y = visits[hidden+1:], 1
	} else if hidden > 0 {
		visits = visits[hidden:]
	}
	for i := range visits {
		v := &visits[i]
		lasts := g.seconds(v.lastsS)
		a.Right(y+i, page.Faint, lasts)
		g.drawVisit(a, y+i, v, "●", page.Plain, a.W()-page.Width(lasts)-1)
	}
	return y + len(visits)
}

// drawVisit draws a state up to a column; one off the main path is indented.
func (g *stage) drawVisit(a page.Area, y int, v *visit, sign string, role page.Role, limit int) {
	x, signRole := 0, page.Good
	if v.offPath {
		a.Text(0, y, page.Bad, "╰")
		x, sign, signRole = 1, strings.Replace(sign, "●", "◆", 1), page.Bad
	}
	x = a.Text(x, y, signRole, sign)
	x = a.Text(x+1, y, role, page.Cut(v.state, limit-x-1))
	other := ""
	if v.parted {
		if other = " not in B"; x+page.Width(v.cause)+3+page.Width(other) > limit {
			other = " ≠B"
		}
	}
	if room := limit - x - 3 - page.Width(other); v.cause != "" && room > 3 {
		x = a.Text(x+1, y, page.Bad, "("+page.Cut(v.cause, room)+")")
	}
	if x+page.Width(other) <= limit {
		a.Text(x, y, page.Setpoint, other)
	}
}

func (g *stage) drawActive(a page.Area, y int, v *visit) {
	lasts := g.counted(v.lastsS, g.timeWidth()) + " s"
	limit := a.W() - page.Width(lasts) - 1
	if title, _ := g.standing(); title == "" {
		a.Right(y, page.Strong, lasts)
	}
	if g.View.End != sequence.EndNone {
		text := "■ " + g.View.End.String()
		limit -= page.Width(text)
		a.Text(limit, y, endRole(g.View.End), text)
		limit--
	}
	g.drawVisit(a, y, v, "◉", page.Strong, limit)
}

// endRole is that of how a run ended.
func endRole(end sequence.EndKind) page.Role {
	switch end {
	case sequence.EndPass:
		return page.Good
	case sequence.EndFail:
		return page.Bad
	}
	return page.Plain
}

// drawAhead draws the states to come below each other, the last row takes all that are left.
func drawAhead(a page.Area, ahead []string) {
	for y := range a.H() {
		if y >= len(ahead) {
			return
		}
		if y < a.H()-1 || y == len(ahead)-1 {
			a.Text(a.Text(0, y, page.Faint, "○")+1, y, page.Plain, ahead[y])
			continue
		}
		x := 0
		for i, name := range ahead[y:] {
			if i > 0 && x+page.Width(name)+4 > a.W() {
				a.Text(x, y, page.Faint, "…")
				return
			}
			x = a.Text(a.Text(x, y, page.Faint, "○")+1, y, page.Plain, name) + 1
		}
	}
}

// lines is how many rows a text takes.
func lines(text string, width int) int {
	if width < 1 {
		return 0
	}
	return page.New(width, 1, false).Area().Wrap(0, 0, page.Plain, text)
}

package view

import (
	"math"
	"sort"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
)

// afterShown is the share of the rows that events after the cursor may take.
const afterShown = 0.3

// firstEvent chooses the events so that those at the cursor stay in sight.
func (g *stage) firstEvent(rows int) int {
	n := len(g.Events)
	seen := sort.Search(n, func(i int) bool { return !g.past(g.Events[i].TS) })
	last := min(n, max(seen+int(afterShown*float64(rows)), rows))
	return max(last-rows, 0)
}

// drawEvents draws the events, the newest at the bottom.
func (g *stage) drawEvents(a page.Area) {
	if len(g.Events) == 0 {
		a.Text(0, 0, page.Faint, "none yet")
		return
	}
	first := g.firstEvent(a.H())
	for y := range min(a.H(), len(g.Events)-first) {
		e := &g.Events[first+y]
		sign, role := kindSign(e.Kind)
		plain, strong := page.Plain, page.Plain
		if !g.past(e.TS) {
			role, plain, strong = page.Faint, page.Faint, page.Faint
		} else if first+y+1 == len(g.Events) || !g.past(g.Events[first+y+1].TS) {
			strong = page.Strong
		}
		x := a.Text(0, y, plain, fixed(e.TS, g.timeWidth(), 3))
		a.Set(x+1, y, sign, role)
		x += 3
		if a.W() >= 64 { // the sign says the same, and what happened counts more
			x = a.Text(x, y, role, pad(e.Kind, 11))
		}
		a.Text(x, y, strong, page.Cut(eventText(e, a.W()-x), a.W()-x))
	}
}

// eventText leaves out what was kept with a change of state if there is no room for it, and the state before if there
// is none for that either.
func eventText(e *sim.Event, room int) string {
	switch {
	case !e.EntersState() || page.Width(e.What) <= room:
		return e.What
	case page.Width(fromTo(e)) <= room:
		return e.What
	}
	return "→ " + e.Entered()
}

// fromTo are both states of a change of state.
func fromTo(e *sim.Event) string {
	from, rest, ok := strings.Cut(e.What, " → ")
	to, _, _ := strings.Cut(rest, " ")
	if !ok {
		return e.What
	}
	return from + " → " + strings.TrimSuffix(to, ",")
}

// drawFaults draws the faults of the run and their states.
func (g *stage) drawFaults(a page.Area) {
	list := g.View.Faults
	switch {
	case !g.Truth:
		a.Text(0, 0, page.Faint, page.Cut("hidden with the truth", a.W()))
		return
	case len(list)+len(g.WrongData) == 0:
		a.Text(0, 0, page.Faint, "no faults in this run")
		return
	}
	for i, text := range g.WrongData {
		x := a.Text(0, i, page.Fault, "▲ ")
		x = a.Text(x, i, page.Fault, pad("wrong data", faultWidth)) + 1
		a.Text(x, i, page.Plain, page.Cut(text, a.W()-x))
	}
	a = a.Sub(0, len(g.WrongData), a.W(), a.H()-len(g.WrongData))
	for y := range list {
		text, role := faultState(&list[y])
		sign := page.Fault
		if !list[y].Active || list[y].Idle {
			sign = page.Faint
		}
		x := a.Text(0, y, sign, "▲ ")
		x = a.Text(x, y, role, pad(text, faultWidth)) + 1
		a.Text(x, y, page.Plain, page.Cut(list[y].What, a.W()-x))
	}
}

// faultWidth is the width of the state of a fault.
const faultWidth = 16

// faultState is the state of a fault in words.
func faultState(f *sim.FaultView) (string, page.Role) {
	switch {
	case f.Idle:
		return "without effect", page.Faint
	case f.Active:
		return "active", page.Fault
	case f.Over:
		return "ended", page.Faint
	case !math.IsNaN(f.DueS):
		return "due at" + fixed(f.DueS, 7, 3) + " s", page.Plain
	case f.WaitsFor != "":
		return "in " + page.Cut(f.WaitsFor, faultWidth-3), page.Plain
	}
	return "pending", page.Plain
}

// drawObligations draws the broken ones with what was wrong, and then those that were kept.
func (g *stage) drawObligations(a page.Area) {
	if !g.Truth {
		a.Text(0, 0, page.Plain, page.Cut("hidden with the truth", a.W()))
		return
	}
	y, rules := 0, sim.Obligations()
	var kept, open []string
	why := ""
	for i := range g.View.Obligations {
		o := &g.View.Obligations[i]
		switch {
		case o.NotJudged != "":
			open, why = append(open, o.Name), o.NotJudged
			continue
		case o.Kept:
			kept = append(kept, o.Name)
			continue
		}
		x := a.Text(0, y, page.Bad, "✗ "+pad(o.Name, 14))
		if o.AtS != nil {
			x = a.Text(x, y, page.Plain, g.seconds(*o.AtS)+" ")
		}
		indent := x
		if a.W() < 70 {
			indent = 2
			y++
		}
		y += max(a.Wrap(indent, y, page.Plain, o.Detail), 1)
	}
	if len(open) > 0 {
		y += max(a.Wrap(0, y, page.Plain, "? not judged: "+strings.Join(open, ", ")+": "+why), 1)
	}
	if len(kept) == 0 {
		return
	}
	if a.H()-y < len(kept) {
		a.Wrap(0, y, page.Good, "✓ kept so far: "+strings.Join(kept, ", "))
		return
	}
	for i, name := range kept {
		x := a.Text(0, y+i, page.Good, "✓ ")
		x = a.Text(x, y+i, page.Plain, pad(name, 14))
		a.Text(x, y+i, page.Faint, page.Cut(ruleOf(rules, name), a.W()-x))
	}
}

func ruleOf(rules []sim.ObligationInfo, name string) string {
	for _, r := range rules {
		if r.Name == name {
			return r.Rule
		}
	}
	return ""
}

package view

import (
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
	"holdbench/sim"
)

// drawStatus draws what a person at the machine must see: whether operation is allowed, what has just gone wrong, and
// the alarm of the sequence, which has rows of its own where one row is too short for all.
func (g *stage) drawStatus(a page.Area) {
	alarm := g.alarm()
	parts := g.status()
	if a.H() > 1 {
		a.Sub(0, 1, a.W(), a.H()-1).Wrap(0, 0, page.Caution, alarm)
	} else if alarm != "" {
		parts = append(parts, word{page.Plain, " "}, word{page.Caution, alarm})
	}
	x := 0
	for _, p := range parts {
		if x < a.W() {
			x = a.Text(x, 0, p.role, page.Cut(p.text, a.W()-x))
		}
	}
	const gap, least = 2, 12 // of the names of faults: what tells them apart
	if room := a.W() - x - gap; room >= least {
		a.Right(0, page.Fault, page.Cut(g.faultNames(), room))
	}
}

// status are whether operation is allowed, and the banners.
func (g *stage) status() []word {
	parts := []word{g.operation()}
	for _, b := range g.banners() {
		parts = append(parts, word{page.Plain, " "}, b)
	}
	return parts
}

// alarm is that of the sequence with its sign, empty without one.
func (g *stage) alarm() string {
	if alarm := g.View.Out.Alarm; alarm != "" && !g.unpowered() {
		return "⚠ " + alarm
	}
	return ""
}

// statusRows is how many rows the status takes of a screen, so that no alarm is cut. On the lowest screens it has all
// that the header leaves, the row of the timeline as well.
func (g *stage) statusRows(a page.Area) int {
	alarm := g.alarm()
	if alarm == "" || length(g.status())+1+page.Width(alarm) <= a.W() {
		return 1
	}
	rows := 1 + a.Sub(0, 0, a.W(), 0).Wrap(0, 0, page.Caution, alarm)
	return max(1, min(rows, a.H()-statusRow))
}

// operation is whether the axis may operate: both the sequence and the safety side must allow it.
func (g *stage) operation() word {
	switch {
	case g.unpowered():
		return word{page.Bad, "✗ operation inhibited: no power"}
	case g.View.Judge.Withheld && g.View.Out.Operation == sequence.OperationAllowed:
		return word{page.Bad, "✗ operation withheld"}
	case g.View.Judge.Withheld || g.View.Out.Operation != sequence.OperationAllowed:
		return word{page.Plain, "◼ operation inhibited"}
	}
	return word{page.Good, "✓ operation allowed"}
}

// verdictShown is how long a verdict is a banner, in s.
const verdictShown = 2

// banners are what must not be overlooked, the most serious first: a load that has dropped, another obligation
// that is broken, and a verdict that is new.
func (g *stage) banners() []word {
	var list []word
	if g.Truth {
		for i := range g.View.Obligations {
			if o := &g.View.Obligations[i]; !o.Kept && o.NotJudged == "" {
				list = append(list, word{page.Banner, " ✗ " + brokenText(o) + " "})
				break // the drop is the first of them
			}
		}
	}
	for i := len(g.Events) - 1; i >= 0; i-- {
		e := &g.Events[i]
		if e.Kind != sim.KindJudge || !g.past(e.TS) {
			continue
		}
		if text, role := verdictBanner(e.What); text != "" && g.nowS-e.TS <= verdictShown {
			list = append(list, word{role, text})
		}
		break
	}
	return list
}

func brokenText(o *sim.Obligation) string {
	if o.Name == sim.NoDrop {
		detail, _, _ := strings.Cut(o.Detail, ";")
		return strings.ToUpper(detail[:min(len(detail), len("load drop"))]) + detail[min(len(detail), len("load drop")):]
	}
	return "broken: " + o.Name
}

// verdictPrefix begins the banner of a verdict.
const verdictPrefix = " judge "

// verdictBanner is a verdict as a banner, empty if the judge's event is none.
func verdictBanner(what string) (string, page.Role) {
	switch {
	case strings.HasPrefix(what, "failed"):
		return verdictPrefix + "✗ " + what + " ", page.Banner
	case strings.HasPrefix(what, "proven"), strings.HasSuffix(what, "passed"):
		return verdictPrefix + "✓ " + what + " ", page.Chosen
	}
	return "", page.Plain
}

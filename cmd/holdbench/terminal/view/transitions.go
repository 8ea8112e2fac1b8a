package view

import (
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// Transitions draws the transitions of the active state, with live values beside their limits.
func Transitions(a page.Area, s *Scene) {
	if g, ok := staged(s); ok {
		g.drawTransitions(a)
	}
}

// transitions is how the transitions of a state are laid out over the rows.
type transitions struct {
	*stage
	own     []sequence.Condition
	any     []sequence.Condition
	nearest int    // of own, -1 if there is none
	open    []bool // of own: its terms are shown, one a row
	names   int    // width of the targets
}

func (g *stage) drawTransitions(a page.Area) {
	if g.unpowered() {
		drawUnpowered(a, "transitions", "none: the controller has no power")
		return
	}
	w := g.transitions(a.W())
	state := ""
	if hidden := len(w.own) + min(len(w.any), 1) - a.H() + 1; hidden > 0 && len(w.own) > hidden {
		state = "+" + strconv.Itoa(hidden) + " more"
	}
	a = head(a, "transitions", state, page.Faint)
	if len(w.own)+len(w.any) == 0 {
		a.Text(0, 0, page.Faint, "none: end state")
		return
	}
	w.draw(a)
}

func (g *stage) transitions(width int) *transitions {
	w := &transitions{stage: g}
	for _, c := range g.View.Waiting {
		if c.Any {
			w.any = append(w.any, c)
		} else {
			w.own = append(w.own, c)
			w.names = max(w.names, page.Width(c.To))
		}
	}
	w.names = min(w.names, max(width/3, 8))
	w.nearest = nearest(w.own)
	return w
}

// rows is how many rows show everything, the title included.
func (w *transitions) rows(width int) int {
	n := 1 + len(w.own) + w.anyRows(width)
	for i := range w.own {
		n += len(w.own[i].Terms)
	}
	return max(n, 2)
}

// farFailure ranks transitions on a failure behind those of the main path, in s.
const farFailure = 4

// nearest is the transition that is expected to fire next: of those that are met, the one with
// the least time left. One that is not met ranks further away the more of its terms are missing.
func nearest(list []sequence.Condition) int {
	best, least := -1, 0.0
	for i := range list {
		c := &list[i]
		far := max(c.ForLeft, c.AfterLeft).Seconds()
		if !c.Met {
			met, all := countMet(c.Terms)
			far += 1 + float64(all-met)/float64(max(all, 1))
			if c.Cause != "" {
				far += farFailure
			}
		}
		if c.TimesLeft == 0 {
			continue
		}
		if best < 0 || far < least {
			best, least = i, far
		}
	}
	return best
}

// countMet counts the outermost terms, and those of them that are met.
func countMet(terms []sequence.Term) (met, all int) {
	for i := range terms {
		if terms[i].Depth > 0 {
			continue
		}
		all++
		if terms[i].Met {
			met++
		}
	}
	return met, all
}

func (w *transitions) draw(a page.Area) {
	rows := a.H()
	foot := min(len(w.any), 1)
	if rows > len(w.own)+2 {
		foot = min(w.anyRows(a.W()), 2)
	}
	if len(w.own) == 0 {
		w.drawAny(a)
		return
	}
	if rows < len(w.own)+foot {
		w.drawNearest(a, rows-foot)
	} else {
		w.share(rows - len(w.own) - foot)
		rows = w.drawOwn(a)
	}
	w.drawAny(a.Sub(0, min(rows, a.H()-foot), a.W(), a.H()))
}

// share opens the nearest first, then the others in their order as long as rows are left.
func (w *transitions) share(free int) {
	w.open = make([]bool, len(w.own))
	try := func(i int) {
		if n := len(w.own[i].Terms); n > 0 && n <= free {
			w.open[i] = true
			free -= n
		}
	}
	if w.nearest >= 0 {
		try(w.nearest)
	}
	for i := range w.own {
		if i != w.nearest {
			try(i)
		}
	}
}

// drawNearest draws the nearest and as many others as there is room for, in their order.
func (w *transitions) drawNearest(a page.Area, rows int) {
	w.open = make([]bool, len(w.own))
	others, y := rows-1, 0
	for i := range w.own {
		if i != w.nearest {
			if others <= 0 {
				continue
			}
			others--
		}
		w.drawCondition(a, y, i)
		y++
	}
}

// drawOwn returns the row after the last.
func (w *transitions) drawOwn(a page.Area) int {
	y := 0
	for i := range w.own {
		w.drawCondition(a, y, i)
		y++
		if !w.open[i] {
			continue
		}
		for j := range w.own[i].Terms {
			drawTerm(a, y, &w.own[i].Terms[j], i == w.nearest)
			y++
		}
	}
	return y
}

// drawCondition draws the row of a transition: its target, its state, the time left and its
// cause.
func (w *transitions) drawCondition(a page.Area, y, i int) {
	c := &w.own[i]
	role, sign := page.Plain, " "
	if i == w.nearest {
		role, sign = page.Strong, "⇒"
	}
	x := a.Text(0, y, role, sign+" "+pad(page.Cut(c.To, w.names), w.names)+" ")
	when := timing(c)
	if a.W() < roomy && !c.Met && c.TimesLeft != 0 {
		when = "" // no time of it runs yet, and the values need the room
	}
	limit := a.W() - page.Width(when)
	a.Text(limit, y, role, when)
	x = drawStateSign(a, x, y, c)
	if !w.open[i] {
		x = drawMissing(a.Sub(0, 0, limit, a.H()), x, y, c.Terms, role)
	}
	if c.Cause != "" && x+page.Width(c.Cause)+3 < limit {
		a.Text(limit-page.Width(c.Cause)-3, y, page.Faint, "("+c.Cause+")")
	}
}

// stateSign is the state of a transition: it fires now, only its time is missing, or not met.
func stateSign(c *sequence.Condition) (sign string, role page.Role) {
	switch {
	case !c.Met || c.TimesLeft == 0:
		return "✗", page.Faint // not met is not wrong
	case c.ForLeft > 0 || c.AfterLeft > 0:
		return "◷", page.Setpoint
	}
	return "✓", page.Good
}

func drawStateSign(a page.Area, x, y int, c *sequence.Condition) int {
	sign, role := stateSign(c)
	return a.Text(x, y, role, sign) + 1
}

func drawMark(a page.Area, x, y int, met bool) int {
	sign, role := mark(met)
	if !met { // not met is not wrong
		role = page.Faint
	}
	return a.Text(x, y, role, sign) + 1
}

// timing is the time left of a transition, and its repeats.
func timing(c *sequence.Condition) string {
	text := ""
	switch {
	case c.TimesLeft == 0:
		return " used up"
	case c.TimesLeft > 0:
		text = " ×" + strconv.Itoa(c.TimesLeft)
	}
	if c.For > 0 {
		text += " for " + countdown(c.ForLeft, c.For)
	}
	if c.After > 0 {
		text += " in " + countdown(c.AfterLeft, c.After)
	}
	return text
}

// countdown is the rest of a time; one that does not run takes less room.
func countdown(left, whole time.Duration) string {
	if left == whole {
		return strconv.FormatFloat(whole.Seconds(), 'g', 4, 64) + " s"
	}
	return fixed(left.Seconds(), 6, 3) + " s"
}

// drawMissing draws one term of a condition: the first that is not met, else the first.
func drawMissing(a page.Area, x, y int, terms []sequence.Term, role page.Role) int {
	if len(terms) == 0 {
		return x
	}
	shown := &terms[0]
	for i := range terms {
		if !terms[i].Met && terms[i].Group == "" {
			shown = &terms[i]
			break
		}
	}
	more := ""
	if met, all := countMet(terms); all > 1 {
		more = strconv.Itoa(met) + "/" + strconv.Itoa(all) + " "
	}
	x = a.Text(x, y, page.Faint, more)
	return drawValues(a, x, y, shown, role) + 1
}

// drawValues draws a term with its live value beside the limit; the name is shortened first.
func drawValues(a page.Area, x, y int, t *sequence.Term, role page.Role) int {
	if t.Op == "" {
		return a.Text(x, y, page.Plain, page.Cut(t.Text, a.W()-x))
	}
	values := comparison(t)
	name, _, _ := strings.Cut(t.Text, " "+t.Op+" ")
	room := a.W() - x - page.Width(values) - 1
	if name != t.Text && room >= 6 {
		x = a.Text(x, y, page.Plain, page.Cut(name, room)) + 1
	}
	return a.Text(x, y, role, page.Cut(values, a.W()-x))
}

// comparison writes both sides, the unit once if they share it.
func comparison(t *sequence.Term) string {
	value, unit, _ := strings.Cut(t.Left, " ")
	if unit != "" && strings.HasSuffix(t.Right, " "+unit) {
		return value + " " + t.Op + " " + t.Right
	}
	return t.Left + " " + t.Op + " " + t.Right
}

// drawTerm draws one part of a condition on a row of its own, the values at the right.
func drawTerm(a page.Area, y int, t *sequence.Term, strong bool) {
	role := page.Plain
	if strong {
		role = page.Strong
	}
	x := drawMark(a, 2+2*min(t.Depth, 3), y, t.Met)
	switch {
	case t.Group != "":
		a.Text(x, y, page.Faint, groupWord(t.Group))
	case t.Op == "":
		a.Text(x, y, page.Plain, page.Cut(t.Text, a.W()-x))
	default:
		values := comparison(t)
		name, _, _ := strings.Cut(t.Text, " "+t.Op+" ")
		at := max(a.W()-page.Width(values), x)
		a.Text(x, y, page.Plain, page.Cut(name, at-x-1))
		a.Text(at, y, role, page.Cut(values, a.W()-at))
	}
}

// groupWord is how the terms below are combined.
func groupWord(join string) string {
	if join == "or" {
		return "any of"
	}
	return "all of"
}

// drawAny draws the transitions of every state in short.
func (w *transitions) drawAny(a page.Area) {
	if len(w.any) == 0 {
		return
	}
	x, y := a.Text(0, 0, page.Faint, "any")+1, 0
	for i := range w.any {
		c := &w.any[i]
		if x+page.Width(c.To)+3 > a.W() && x > 4 {
			if y++; y >= a.H() {
				a.Text(a.W()-1, a.H()-1, page.Faint, "…")
				return
			}
			x = 4
		}
		role := page.Faint
		if c.Met {
			role = page.Bad
		}
		x = a.Text(drawStateSign(a, x, y, c), y, role, c.To) + 1
	}
}

// anyRows is how many rows the transitions of every state take.
func (w *transitions) anyRows(width int) int {
	x, rows := 4, min(len(w.any), 1)
	for i := range w.any {
		if x+page.Width(w.any[i].To)+3 > width && x > 4 {
			x, rows = 4, rows+1
		}
		x += page.Width(w.any[i].To) + 3
	}
	return rows
}

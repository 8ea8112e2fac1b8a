package view

import (
	"slices"
	"strconv"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// transitions is how the transitions of a state are laid out over the rows.
type transitions struct {
	*stage
	own     []sequence.Condition
	any     []sequence.Condition
	nearest int    // of own, -1 if there is none
	open    []bool // of own: its terms are shown, one a row
	names   int    // width of the targets
}

// drawTransitions draws the transitions of the active state, with live values beside their limits.
func (g *stage) drawTransitions(a page.Area) {
	switch title, why := g.standing(); {
	case g.unpowered():
		drawStanding(a, "transitions", title, "none: "+why)
		return
	case title != "":
		drawStanding(a, "transitions", title, why)
		return
	}
	if len(g.View.Listing) > 0 {
		g.drawListing(a)
		return
	}
	w := g.transitions(a.W())
	state := ""
	if hidden := len(w.own) + w.foot(a.H()-1, a.W()) - a.H() + 1; hidden > 0 && len(w.own) > hidden {
		state = "+" + strconv.Itoa(hidden) + " more"
	}
	a = head(a, "transitions", state, page.Faint)
	switch {
	case w.View.Waiting == nil:
		a.Wrap(0, 0, page.Faint, "not told by the controller")
		return
	case len(w.own)+len(w.any) == 0:
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
	if width < roomy && slices.ContainsFunc(w.own, compares) { // the names of signals need the room
		w.names = min(w.names, 9)
	}
	w.nearest = nearest(w.own)
	return w
}

// rows is how many rows show everything, the title included.
func (w *transitions) rows(width int) int {
	if _, why := w.standing(); w.View.Halted {
		return 1 + lines(why, width)
	}
	if lines := w.View.Listing; len(lines) > 0 {
		return 1 + listingRows(lines, width)
	}
	n := 1 + len(w.own) + w.anyRows(width)
	for i := range w.own {
		n += len(w.own[i].Terms)
	}
	return max(n, 2)
}

// used is how many of so many rows are drawn on, the title included: a condition whose terms do not fit leaves some.
func (w *transitions) used(rows, width int) int {
	if w.View.Halted || w.unpowered() || len(w.View.Listing) > 0 || len(w.own) == 0 {
		return rows
	}
	foot := w.foot(rows-1, width)
	free := rows - 1 - len(w.own) - foot
	if free < 0 {
		return rows
	}
	w.share(free)
	n := 1 + len(w.own) + foot
	for i := range w.own {
		if w.open[i] {
			n += len(w.own[i].Terms)
		}
	}
	return n
}

// foot is how many of so many rows the transitions of every state get. A single row is that of the nearest one.
func (w *transitions) foot(rows, width int) int {
	switch {
	case rows > len(w.own)+2:
		return min(w.anyRows(width), 2)
	case rows < 2 && len(w.own) > 0:
		return 0
	}
	return min(len(w.any), 1)
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
	foot := w.foot(rows, a.W())
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
	names := w.names
	if least := 2 + names + 1 + 2; a.W() < roomy && !w.open[i] && !fits(c.Terms, a.W()-least) {
		names = min(names, page.Width(c.To)) // the name of the signal counts more than a straight column
	}
	when := timing(c, whole)
	if room := a.W() - names - 5 - page.Width(when); !c.Met && c.TimesLeft != 0 && (a.W() < roomy || !w.open[i] && missingWidth(c.Terms) > room) {
		when = "" // no time of it runs yet, and the values need the room
	}
	if !w.open[i] {
		when, names = w.shortened(c, when, names, a.W())
	}
	x := a.Text(0, y, role, sign+" "+pad(page.Cut(c.To, names), names)+" ")
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

// shortened makes room for the name of the signal in the row of a transition: it returns the time left in short, and how
// wide the target may be. First the time loses digits, then the repeats beside it are left out, then the target is cut.
func (w *transitions) shortened(c *sequence.Condition, when string, names, width int) (string, int) {
	const least = 5 // cells, by which a target is known
	lacks := func() int { return lacking(c.Terms, width-2-names-1-2-page.Width(when)) }
	for _, as := range []brevity{fewDigits, timeAlone} {
		if when != "" && lacks() > 0 {
			when = timing(c, as)
		}
	}
	return when, max(names-lacks(), min(names, least))
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

package view

import (
	"holdbench/cmd/holdbench/terminal/page"
)

// From these sizes on there is room for more at once.
const (
	mediumWidth, mediumHeight = 110, 30
	largeWidth, largeHeight   = 160, 50
)

// Bench draws the main screen into an area of any size.
func Bench(a page.Area, s *Scene) { bench(a, s) }

// bench returns what the mouse finds on the screen.
func bench(a page.Area, s *Scene) []spot {
	Header(a, s)
	g, ok := staged(s)
	if !ok {
		return nil
	}
	b := board{stage: g, a: a, head: statusRow + g.statusRows(a)}
	g.drawStatus(a.Sub(0, statusRow, a.W(), b.head-statusRow))
	b.draw()
	return b.spots
}

// board is the layout of the screen.
type board struct {
	*stage
	a     page.Area
	head  int // rows of header and status
	spots []spot
}

// statusRow is the first row of the status.
const statusRow = 2

func (b *board) draw() {
	foot := 1
	if b.a.H() >= mediumHeight {
		foot = 2
	}
	rows := b.a.H() - b.head - foot
	if rows < 4 {
		b.timeline(b.a.H() - 1)
		b.notice(b.a.H()-1, foot)
		return
	}
	middle := rows * 3 / 5
	b.middle(b.head, middle)
	b.bottom(b.head+middle, rows-middle)
	b.timeline(b.a.H() - foot)
	b.notice(b.a.H()-1, foot)
}

func (b *board) large() bool  { return b.a.W() >= largeWidth && b.a.H() >= largeHeight }
func (b *board) medium() bool { return b.a.W() >= mediumWidth && b.a.H() >= mediumHeight }

// middle draws the present moment in columns.
func (b *board) middle(y, h int) {
	columns := b.columns()
	x := 0
	for i, c := range columns {
		if i > 0 {
			b.a.VLine(x, y+1, h-1, page.Faint)
			b.a.Set(x, y, '─', page.Faint)
			x++
		}
		c.draw(b.a.Sub(x, y, c.width, h))
		x += c.width
	}
}

// column is a pane or several and its width.
type column struct {
	width int
	draw  func(page.Area)
}

// columns shares out the width: what is drawn to scale gets what it needs, the sequence the rest.
func (b *board) columns() []column {
	w := b.a.W()
	switch {
	case b.large():
		const axis, path, gauges = 26, 42, 66
		return []column{{axis, b.drawAxis}, {path, b.drawPath}, {w - axis - path - gauges - 3, b.conditions}, {gauges, b.gauges}}
	case b.medium():
		const axis, gauges = 22, 44
		return []column{{axis, b.drawAxis}, {w - axis - gauges - 2, b.sequence}, {gauges, b.gauges}}
	case w >= 72:
		const axis = 18
		gauges := max((w-axis-2)*26/60, 26)
		return []column{{axis, b.drawAxis}, {w - axis - gauges - 2, b.sequence}, {gauges, b.gauges}}
	case w >= 46:
		return []column{{w / 2, b.sequence}, {w - w/2 - 1, b.gauges}}
	}
	return []column{{w, b.sequence}}
}

// sequence draws the path and below it the transitions.
func (b *board) sequence(a page.Area) {
	rows := max(a.H()*9/20, min(a.H(), 4))
	w := b.transitions(a.W())
	rows = max(rows, a.H()-w.rows(a.W()-2), a.H()-w.used(a.H()-rows, a.W()))
	top, rest := a.SplitTop(rows)
	b.drawPath(top)
	b.drawTransitions(rest)
}

// conditions draws the transitions, and the commands below where there is room for both.
func (b *board) conditions(a page.Area) {
	rows := max(b.transitions(a.W()).rows(a.W()-2)+1, a.H()/2)
	if a.H()-rows < commandRows {
		rows = a.H()
	}
	top, rest := a.SplitTop(rows)
	b.drawTransitions(top)
	if rest.H() > 0 {
		b.drawCommands(rest)
	}
}

// gauges draws what is measured and judged: window, torque and judge.
func (b *board) gauges(a page.Area) {
	torque, judge := 5, 4
	if a.H() >= 18 {
		torque, judge = 8, 5
	}
	if a.H() >= 24 {
		torque, judge = 9, 6
	}
	switch {
	case !b.Truth: // two bars less, and nothing of the brake
		torque -= max(1, torque-6)
	case a.H() >= 18:
		torque += b.furtherBars()
	}
	top, rest := a.SplitTop(max(a.H()-torque-judge, 3))
	b.drawWindow(top)
	top, rest = rest.SplitTop(torque)
	b.drawTorque(top)
	b.drawJudge(rest)
}

// bottom draws the run over time, and what happened in it.
func (b *board) bottom(y, h int) {
	w := b.a.W()
	switch {
	case b.large():
		right := 66
		left := w - right - 1
		if b.Compared != nil {
			const compared = 62
			b.titled(left-compared, y, compared, h, tabName(ComparedTab), b.drawCompared)
			b.a.VLine(left-compared-1, y+1, h-1, page.Faint)
			b.curves(0, y, left-compared-1, h)
		} else {
			b.curves(0, y, left, h)
		}
		faults := min(len(b.View.Faults)+len(b.WrongData)+2, h/4)
		obligations := min(b.obligationRows(), h/2)
		events := h - faults - obligations
		b.titled(left+1, y, right, events, "events", b.drawEvents)
		b.titled(left+1, y+events, right, faults, tabName(FaultsTab), b.drawFaults)
		b.titled(left+1, y+events+faults, right, obligations, tabName(ObligationsTab), b.drawObligations)
		b.a.VLine(left, y+1, h-1, page.Faint)
		b.a.Set(left, y, '─', page.Faint)
	case b.medium():
		right := 55
		left := w - right - 1
		b.curves(0, y, left, h)
		b.a.VLine(left, y+1, h-1, page.Faint)
		b.a.Set(left, y, '─', page.Faint)
		b.tabs(left+1, y, right, h, EventsTab, max(b.Tab, EventsTab))
	default:
		b.tabs(0, y, w, h, CurvesTab, b.Tab)
	}
}

// obligationRows are what the obligations need: those that were kept are in one list, and each that was broken has its
// figures.
func (b *board) obligationRows() int {
	const title, list, each = 1, 3, 3
	rows := title + list
	for i := range b.View.Obligations {
		if o := &b.View.Obligations[i]; !o.Kept {
			rows += each
		}
	}
	return rows
}

func (b *board) titled(x, y, w, h int, title string, draw func(page.Area)) {
	draw(head(b.a.Sub(x, y, w, h), title, "", page.Plain))
}

// curves draws the strips with their title and what each curve is.
func (b *board) curves(x, y, w, h int) {
	head(b.a.Sub(x, y, w, h), tabName(CurvesTab), "", page.Plain)
	tags := b.strips(x, y+1, w, h-1)
	room := w - page.Width(tabName(CurvesTab)) - 5
	level := 0
	for level < shortest && length(legendWords(tags, level))+2 > room {
		level++
	}
	b.legend(b.a.Sub(x, y, w, 1), legendWords(tags, level), room)
}

// strips returns what the curves are.
func (b *board) strips(x, y, w, h int) []tag {
	s, drawn := b.drawCurves(b.a.Sub(x, y, w, h))
	b.add(spot{x: x + s.x, y: y, w: s.w, h: h, time: span{w: s.w, from: s.from, to: s.to}})
	return b.tagged(drawn)
}

// legend says at the end of the title's row what the curves are, as far as there is room.
func (b *board) legend(row page.Area, parts []word, room int) {
	for len(parts) > 0 && length(parts)+2 > room {
		parts = parts[:len(parts)-1]
	}
	if len(parts) > 0 {
		words(row, row.W()-length(parts)-2, 0, append([]word{{page.Plain, " "}}, parts...)...)
	}
}

func (b *board) timeline(y int) {
	if y < b.head { // the alarm has the row
		return
	}
	s := b.drawTimeline(b.a.Sub(0, y, b.a.W(), 1))
	b.add(spot{x: s.x, y: y, w: s.w, h: 1, time: span{w: s.w, from: s.from, to: s.to}})
}

// notice draws the notice: on a row of its own, or over the last ones until the next key, so that it is read to its end.
func (b *board) notice(y, foot int) {
	row := b.a.Sub(0, y, b.a.W(), 1)
	switch {
	case b.Notice != "" && b.Bad:
		b.drawNotice(y, page.Bad, "✗ "+b.Notice)
	case b.Notice != "":
		b.drawNotice(y, page.Strong, b.Notice)
	case foot < 2:
	case b.Truth:
		row.Text(0, 0, page.Truth, truthSign+" truth: known to the plant only")
	default:
		row.Text(0, 0, page.Faint, "the truth is hidden")
	}
}

// drawNotice draws a notice in rows that end at y, and clears them: it must not read on into what they had.
func (b *board) drawNotice(y int, role page.Role, text string) {
	const most = 3
	if lines(text, b.a.W()) > most {
		text = page.Cut(text, (most-1)*b.a.W())
	}
	count := min(lines(text, b.a.W()), y+1)
	place := b.a.Sub(0, y-count+1, b.a.W(), count)
	place.Fill(' ', page.Plain)
	place.Wrap(0, 0, role, text)
}

// padded leaves a blank column at both sides.
func padded(a page.Area) page.Area { return a.Sub(1, 0, a.W()-2, a.H()) }

package view

import (
	"math"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
)

// LargeView is one of the things that the large screen shows, one at a time.
type LargeView int

// The views, in the order in which a key goes round.
const (
	LargeState LargeView = iota
	LargeLoad
	LargeJudge
	LargeTorque
	LargePosition
	LargeViewCount
)

func (v LargeView) name() string {
	return [...]string{"state", "load and brake", "judge", "torque", "position"}[max(min(v, LargeViewCount-1), 0)]
}

// LargeNames are the views by the word that begins their name.
func LargeNames() []string {
	var list []string
	for v := range LargeViewCount {
		word, _, _ := strings.Cut(v.name(), " ")
		list = append(list, word)
	}
	return list
}

// LargeNamed is the view of one of [LargeNames], the first for any other.
func LargeNamed(name string) LargeView {
	return LargeView(max(slices.Index(LargeNames(), name), 0))
}

// Large draws one thing at a time in block letters and thick curves, to be read from the back of a room.
func Large(a page.Area, s *Scene, v LargeView) {
	g, ok := staged(s)
	if !ok {
		a.Text(0, 0, page.Faint, "no run")
		return
	}
	l := large{stage: g}
	l.drawTabs(a.Sub(0, 0, a.W(), 1), v)
	g.drawState(a.Sub(0, 0, a.W(), 2)) // on its second row
	const foot = 2
	head := statusRow + g.statusRows(a)
	g.drawStatus(a.Sub(0, statusRow, a.W(), head-statusRow))
	body := a.Sub(0, head, a.W(), a.H()-head-foot)
	if b, shown := l.banner(v); shown {
		rows := 2 * letterRows
		if v == LargeTorque || v == LargePosition { // a curve needs room
			rows = letterRows
		}
		body = b.draw(body, rows)
	}
	switch v {
	case LargeLoad:
		l.drawLoad(body)
	case LargeJudge:
		l.drawJudge(body)
	case LargeTorque:
		l.drawTorque(body)
	case LargePosition:
		l.drawPosition(body)
	default:
		l.drawState(body)
	}
	l.drawFoot(a.Sub(0, a.H()-1, a.W(), 1))
}

type large struct{ *stage }

// drawTabs draws the names of the views.
func (l *large) drawTabs(a page.Area, chosen LargeView) {
	x := 0
	for v := range LargeViewCount {
		role, text := page.Faint, " "+v.name()+" "
		if v == chosen {
			role, text = page.Strong, "["+v.name()+"]"
		}
		x = a.Text(x, 0, role, text)
	}
	var marks []string
	switch {
	case l.Served != "" && l.ServedTruth:
		marks = append(marks, "truth served")
	case l.Served != "":
		marks = append(marks, "served")
	}
	switch {
	case l.Title != "": // of a riddle or a lesson
		marks = append(marks, l.Title)
	case !l.Truth:
		marks = append(marks, "truth hidden")
	}
	a.Right(0, page.Faint, page.Cut(strings.Join(marks, " · "), a.W()-x-1))
}

// drawFoot draws the notice, or else the run as a line.
func (l *large) drawFoot(a page.Area) {
	b := board{stage: l.stage, a: a}
	b.timeline(0)
	b.notice(0, 1)
}

// blockBanner is a banner in block letters and what it is about.
type blockBanner struct {
	role         page.Role
	text, detail string
}

// banner is the most serious one that is due; the view of the judge has the judge's verdict in block letters itself.
func (l *large) banner(v LargeView) (blockBanner, bool) {
	list := l.banners()
	if v == LargeJudge {
		list = slices.DeleteFunc(list, func(w word) bool { return strings.HasPrefix(w.text, verdictPrefix) })
	}
	if len(list) == 0 {
		return blockBanner{}, false
	}
	b := blockBanner{role: list[0].role, detail: strings.TrimSpace(list[0].text)}
	switch {
	case strings.Contains(b.detail, "LOAD DROP"):
		b.text = "✗ LOAD DROP"
	case strings.Contains(b.detail, "broken"):
		b.text = "✗ BROKEN"
	case strings.Contains(b.detail, "✗"):
		b.text = "✗ FAILED"
	default:
		b.text = "✓ PROVEN"
	}
	return b, true
}

// letterRows is how many rows the smallest block letters take.
const letterRows = pitchY / 2

// draw draws a banner at the bottom of an area, in so many rows at most, and returns what is above it.
func (b *blockBanner) draw(a page.Area, most int) page.Area {
	const detail = 1
	rows := min(most, a.H()/2) + detail
	if rows < letterRows+detail {
		return a
	}
	top, rest := a.SplitTop(a.H() - rows)
	used := drawLarge(rest.Sub(1, 0, a.W()-2, rows-detail), page.Bad, b.text)
	row := rest.Sub(0, used, a.W(), detail)
	row.Fill(' ', b.role)
	row.Text(1, 0, b.role, page.Cut(b.detail, a.W()-2))
	return top
}

// halves are the two lines of a view.
func halves(a page.Area) (upper, lower page.Area) {
	a = a.Sub(1, 0, a.W()-2, a.H())
	h := a.H() / 2
	return a.Sub(0, 0, a.W(), h), a.Sub(0, h, a.W(), a.H()-h)
}

// drawState draws the state of the sequence, and the time if the name leaves rows for it.
func (l *large) drawState(a page.Area) {
	role, name := page.Strong, l.stateName(l.View.State)
	if title, _ := l.standing(); title != "" {
		role, name = page.Bad, title
	}
	upper, lower := halves(a)
	if rows := rowsOf(name, upper.W()); rows > upper.H() {
		upper, lower = a.Sub(1, 0, a.W()-2, a.H()).SplitTop(min(rows, a.H()))
	}
	drawLarge(upper, role, name)
	if lower.H() >= letterRows {
		drawLarge(lower, page.Plain, strings.TrimSpace(fixed(l.nowS, l.timeWidth(), 2))+" s")
	}
}

// drawLoad draws where the load is, and what the brake does: as truth, or as far as its switch tells it.
func (l *large) drawLoad(a page.Area) {
	upper, lower := halves(a)
	mm, role, brake := l.View.In.PositionMM, page.Plain, "brake "+openClosed(l.View.In.BrakeClosed)
	if l.Truth {
		b := l.first()
		mm, role, brake = l.View.LoadMM, page.Truth, "brake "+b.word()
	}
	drawLarge(upper, role, "load "+strings.TrimSpace(fixed(mm, 8, 1))+" mm")
	drawLarge(lower, role, brake)
}

// drawJudge draws the verdict, and how much of the dwell is over or why it failed.
func (l *large) drawJudge(a page.Area) {
	upper, lower := halves(a)
	v := &l.View.Judge.Verdict
	text, detail := "no proof", ""
	_, role := verdictWord(v)
	switch {
	case l.unpowered():
		role, text = page.Bad, noPower
	case v.Busy:
		text = "busy"
	case v.Failed:
		text, detail = "✗ failed", v.Cause
	case v.Proof:
		text, detail = "✓ proof", strings.TrimSpace(longTime(v.ProofLeft))
	}
	drawLarge(upper, role, text)
	if v.Busy && !l.unpowered() {
		l.drawDwellBar(lower)
		return
	}
	drawLarge(lower, role, detail)
}

// drawDwellBar draws the dwell of a check as a thick bar above its figures.
func (l *large) drawDwellBar(a page.Area) {
	const thick = 3
	is, whole := l.View.Judge.DwellElapsed.Seconds(), l.View.Rig.Judge.Dwell.Seconds()
	for y := range min(thick, a.H()) {
		bar(a, 0, y, a.W(), is/whole, page.Good)
	}
	rest := a.Sub(0, thick+1, a.W(), a.H()-thick-1)
	if rest.H() > 0 {
		drawLarge(rest, page.Plain, strings.TrimSpace(fixed(is, 5, 2))+" / "+strings.TrimSpace(fixed(whole, 5, 2))+" s")
	}
}

// drawTorque draws the motor's torque over time, true or measured.
func (l *large) drawTorque(a page.Area) {
	now, sign := l.View.In.TorqueNM, ""
	if l.Truth {
		now, sign = l.View.Truth.MotorTorqueNM, truthSign
	}
	c := thickCurve{stage: l.stage, of: motorNM, least: 0.1, role: page.Motor}
	c.low, c.high = c.reduced(a.W()).extent(0, 0, motorNM)
	c.draw(a, strings.TrimSpace(signed(now, 7, 2))+" Nm", "motor torque"+sign+", N·m")
}

// drawPosition draws the measured position of the load over time.
func (l *large) drawPosition(a page.Area) {
	c := thickCurve{stage: l.stage, of: positionMM, least: max(leastWindows*l.windowMM(), 1e-3), role: page.Strong}
	c.low, c.high = c.reduced(a.W()).extent(math.Inf(1), math.Inf(-1), positionMM)
	c.draw(a, strings.TrimSpace(fixed(l.View.In.PositionMM, 8, 2))+" mm", "measured position of the load, mm")
}

// thickCurve is a quantity over the shown part of the run.
type thickCurve struct {
	*stage
	of        int
	low, high float64
	least     float64 // of the scale, so that noise does not fill it
	role      page.Role
	run       *data
}

// reduced is the run in as many columns as there are cells.
func (c *thickCurve) reduced(columns int) *data {
	from, to := c.shownSpan(columns)
	c.run = reduce(past{c.Samples, c.Blocks}, from, to, columns, c.Truth)
	return c.run
}

// draw draws the present value in block letters, below it the curve and what its scale is.
func (c *thickCurve) draw(a page.Area, value, name string) {
	used := drawLarge(a.Sub(1, 0, a.W()-2, min(max(letterRows, a.H()/4), a.H())), c.role, value)
	plot := a.Sub(0, used+1, a.W(), a.H()-used-2)
	if plot.H() < 1 || plot.W() < 1 {
		return
	}
	if c.low > c.high {
		c.low, c.high = 0, 1
	}
	if c.high-c.low < c.least {
		middle := (c.low + c.high) / 2
		c.low, c.high = middle-c.least/2, middle+c.least/2
	}
	c.zero(plot)
	c.cursor(plot)
	c.line(plot)
	foot := a.Sub(0, a.H()-1, a.W(), 1)
	decimals := 1
	if c.high-c.low < 10 {
		decimals = 2
	}
	foot.Text(0, 0, page.Plain, name+"  "+strings.TrimSpace(fixed(c.low, 8, decimals))+" to "+strings.TrimSpace(fixed(c.high, 8, decimals)))
	c.sinceS(foot)
}

// sinceS writes the ends of the time that is shown.
func (c *thickCurve) sinceS(a page.Area) {
	from, to := c.shownSpan(a.W())
	a.Right(0, page.Faint, strings.TrimSpace(fixed(from, 12, 2))+" to "+strings.TrimSpace(fixed(to, 12, 2))+" s")
}

// row is the pixel row of a value.
func (c *thickCurve) row(v float64, h int) int {
	return int(math.Round((c.high - v) / (c.high - c.low) * float64(h-1)))
}

func (c *thickCurve) zero(a page.Area) {
	if c.low >= 0 || c.high <= 0 {
		return
	}
	for x := 1; x < a.W(); x += 3 {
		a.Set(x, c.row(0, 2*a.H())/2, '·', page.Faint)
	}
}

// cursor marks the moment shown where the run has gone on beyond it.
func (c *thickCurve) cursor(a page.Area) {
	from, to := c.shownSpan(a.W())
	if x := int((c.nowS - from) / (to - from) * float64(a.W())); !c.AtHead && x >= 0 && x < a.W() {
		a.VLine(x, 0, a.H(), page.Faint)
	}
}

// line draws the curve two pixels thick, and thicker on a large screen, each column joined to the one before.
func (c *thickCurve) line(a page.Area) {
	thick, wide := 2+a.H()/25, 1+a.W()/100
	p := newPixels(a.W(), a.H())
	of := &c.run.lanes[c.of]
	before := math.NaN()
	for x := range of.low {
		low, high := float64(of.low[x]), float64(of.high[x])
		if low != low && before == before && c.hasLater(x) {
			low, high = before, before
		}
		if low != low {
			continue
		}
		if before == before {
			low, high = min(low, before), max(high, before)
		}
		top, bottom := c.row(high, p.h), c.row(low, p.h)
		p.fill(x, min(top, p.h-thick), wide, max(bottom-top+1, thick))
		if last := float64(of.last[x]); last == last {
			before = last
		}
	}
	p.draw(a, c.role)
}

// hasLater is whether the curve goes on within the columns from one sample to the next.
func (c *thickCurve) hasLater(x int) bool {
	of := c.run.lanes[c.of].first
	for i := x + 1; i < min(x+c.run.maxGap+1, len(of)); i++ {
		if of[i] == of[i] {
			return true
		}
	}
	return false
}

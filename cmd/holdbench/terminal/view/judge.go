package view

import (
	"strings"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim/safety"
)

// drawJudge draws the state and the verdict of the judge.
func (g *stage) drawJudge(a page.Area) {
	if g.unpowered() {
		drawUnpowered(a, "judge", "no check: a proof is not valid without power")
		return
	}
	j := &g.View.Judge
	state, role := g.judgeState(a.W() - page.Width("judge") - 6)
	a = head(a, "judge", state, role)
	rows := []func(page.Area, int){g.drawDwell, g.drawDeadline, g.drawMeasured, g.drawProof}
	if len(rows) > a.H() && !j.Verdict.Busy && j.Required == 0 {
		rows = []func(page.Area, int){g.drawProof, g.drawDwell, g.drawDeadline}
	}
	received, _ := verdictWord(&j.Received)
	own, _ := verdictWord(&j.Verdict)
	if received != own {
		rows = append([]func(page.Area, int){g.drawReceived}, rows...)
	}
	for y := range min(a.H(), len(rows)) {
		rows[y](a, y)
	}
}

// judgeState is the verdict in so many cells, behind the stop function if one is active.
func (g *stage) judgeState(room int) (string, page.Role) {
	j := &g.View.Judge
	state, role := verdictFor(&j.Verdict, room)
	if j.Stop == "" {
		return state, role
	}
	stop := "✗ " + j.Stop
	if state, _ = verdictFor(&j.Verdict, room-page.Width(stop)-3); state == "" || page.Width(stop+state)+3 > room {
		return stop, page.Bad
	}
	return stop + " · " + state, page.Bad
}

// verdictFor is a verdict in words that fit into so many cells.
func verdictFor(v *safety.Verdict, room int) (string, page.Role) {
	text, role := verdictWord(v)
	if page.Width(text) > room && v.Failed && !v.Busy {
		text = "✗ " + v.Cause
	}
	return page.Cut(text, room), role
}

// verdictWord is a verdict in words.
func verdictWord(v *safety.Verdict) (string, page.Role) {
	switch {
	case v.Busy:
		return "▶ busy", page.Strong
	case v.Failed:
		return "✗ failed: " + v.Cause, page.Bad
	case v.Proof:
		return "✓ proof valid", page.Good
	}
	return "no proof", page.Plain
}

func (g *stage) drawDwell(a page.Area, y int) {
	drawProgress(a, y, "dwell", g.View.Judge.DwellElapsed, g.View.Rig.Judge.Dwell, page.Good)
}

func (g *stage) drawDeadline(a page.Area, y int) {
	drawProgress(a, y, "deadline", g.View.Judge.Elapsed, g.View.Rig.Judge.Deadline, page.Setpoint)
}

// drawProgress draws a time of a whole as a bar with its figures.
func drawProgress(a page.Area, y int, name string, is, whole time.Duration, role page.Role) {
	figures := fixed(is.Seconds(), 5, 2) + " of " + fixed(whole.Seconds(), 4, 2) + " s"
	at := a.W() - page.Width(figures)
	a.Text(0, y, page.Plain, name)
	a.Text(at, y, page.Plain, figures)
	if x := 9; at-x-1 > 0 {
		bar(a, x, y, at-x-1, is.Seconds()/whole.Seconds(), role)
	}
}

// drawMeasured draws what the judge compares.
func (g *stage) drawMeasured(a page.Area, y int) {
	j := &g.View.Judge
	x := a.Text(0, y, page.Plain, j.Quantity)
	if j.Required == 0 {
		a.Text(x+2, y, page.Faint, signed(j.Measured, 6, 2)+" "+j.Unit+", none required")
		return
	}
	sign, role := mark(j.Met)
	if role == page.Bad {
		role = page.Faint
	}
	parts := []word{{page.Strong, signed(j.Measured, 6, 2)}, {page.Plain, " of " + signed(j.Required, 5, 2) + " " + j.Unit}}
	if j.Verdict.Busy && x+2+length(parts) > a.W()-page.Width(sign) { // the sign counts more than the unit
		parts[1].text = strings.TrimSuffix(parts[1].text, " "+j.Unit)
	}
	words(a, x+2, y, parts...)
	if j.Verdict.Busy {
		a.Right(y, role, sign)
	}
}

func (g *stage) drawProof(a page.Area, y int) {
	if g.View.Brake2 != nil {
		g.drawProofs(a, y)
		return
	}
	v := &g.View.Judge.Verdict
	a.Text(0, y, page.Plain, "proof")
	if !v.Proof {
		a.Text(9, y, page.Faint, "none")
		return
	}
	text := "✓ " + longTime(v.ProofLeft)
	if a.W() >= roomy-2 {
		text += " left"
	}
	a.Right(y, page.Good, text)
}

// drawReceived draws the verdict that the sequence has received, while it is older than the
// judge's own.
func (g *stage) drawReceived(a page.Area, y int) {
	name := "received"
	word, _ := verdictWord(&g.View.Judge.Received)
	if page.Width(name)+2+page.Width(word) > a.W() {
		name = "rcvd"
	}
	word, role := verdictFor(&g.View.Judge.Received, a.W()-page.Width(name)-1)
	a.Text(0, y, page.Caution, name)
	a.Right(y, role, word)
}

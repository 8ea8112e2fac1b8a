package view

import (
	"math"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
)

// Judge draws what the judge does and says.
func Judge(a page.Area, s *Scene) {
	if g, ok := staged(s); ok {
		g.drawJudge(a)
	}
}

func (g *stage) drawJudge(a page.Area) {
	j := &g.Look.Judge
	state, role := verdictWord(&j.Verdict)
	if j.Stop != "" {
		state, role = "■ "+j.Stop+" · "+state, page.Bad
	}
	a = head(a, "judge", state, role)
	rows := []func(page.Area, int){g.drawDwell, g.drawDeadline, g.drawCurrent, g.drawProof}
	seen, _ := verdictWord(&j.Seen)
	is, _ := verdictWord(&j.Verdict)
	if seen != is {
		rows = append([]func(page.Area, int){g.drawSeen}, rows...)
	}
	if len(rows) > a.H() && !j.Verdict.Busy && j.RequiredA == 0 {
		rows = []func(page.Area, int){g.drawProof, g.drawDwell, g.drawDeadline}
	}
	for y := range min(a.H(), len(rows)) {
		rows[y](a, y)
	}
}

// verdictWord says in short what a verdict is.
func verdictWord(v *sim.Verdict) (string, page.Role) {
	switch {
	case v.Busy:
		return "▶ busy", page.Strong
	case v.Failed:
		return "✗ failed: " + v.Cause, page.Bad
	case v.Proof:
		return "✓ proof stands", page.Good
	}
	return "no proof", page.Plain
}

func (g *stage) drawDwell(a page.Area, y int) {
	drawProgress(a, y, "dwell", g.Look.Judge.Stood, g.Look.Rig.Judge.Dwell, page.Good)
}

func (g *stage) drawDeadline(a page.Area, y int) {
	drawProgress(a, y, "deadline", g.Look.Judge.Elapsed, g.Look.Rig.Judge.Deadline, page.Asked)
}

// drawProgress draws a time of a whole as a bar with its figures.
func drawProgress(a page.Area, y int, name string, is, whole time.Duration, role page.Role) {
	figures := fixed(is.Seconds(), 5, 2) + " of " + fixed(whole.Seconds(), 4, 2) + " s"
	at := a.W() - wide(figures)
	a.Text(0, y, page.Plain, name)
	a.Text(at, y, page.Plain, figures)
	if x := 9; at-x-1 > 0 {
		bar(a, x, y, at-x-1, is.Seconds()/whole.Seconds(), role)
	}
}

func (g *stage) drawCurrent(a page.Area, y int) {
	j := &g.Look.Judge
	x := a.Text(0, y, page.Plain, "current")
	if j.RequiredA == 0 {
		a.Text(x+2, y, page.Faint, signed(j.CurrentA, 6, 2)+" A, none asked")
		return
	}
	sign, role := mark(math.Abs(j.CurrentA) >= math.Abs(j.RequiredA) && j.CurrentA*j.RequiredA > 0)
	if role == page.Bad {
		role = page.Faint
	}
	words(a, x+2, y, word{page.Strong, signed(j.CurrentA, 6, 2)}, word{page.Plain, " of " + signed(j.RequiredA, 5, 2) + " A"})
	if j.Verdict.Busy {
		a.Right(y, role, sign)
	}
}

func (g *stage) drawProof(a page.Area, y int) {
	v := &g.Look.Judge.Verdict
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

// drawSeen says what the sequence sees while news is on its way to it.
func (g *stage) drawSeen(a page.Area, y int) {
	word, role := verdictWord(&g.Look.Judge.Seen)
	a.Text(0, y, page.Caution, "sequence sees")
	a.Right(y, role, word)
}

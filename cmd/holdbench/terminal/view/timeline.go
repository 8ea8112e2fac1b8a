package view

import (
	"math"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
)

// kindSign is the sign and the role of a kind of event, the same signs as on a timeline in text.
func kindSign(kind string) (rune, page.Role) {
	switch kind {
	case sim.KindState:
		return '▸', page.Plain
	case sim.KindOperator:
		return '◇', page.Setpoint
	case sim.KindFault:
		return '▲', page.Fault
	case sim.KindJudge:
		return '§', page.Strong
	case sim.KindSafety:
		return '◆', page.Strong
	case sim.KindBrake:
		return '▮', page.Brake
	case sim.KindDrive:
		return '~', page.Motor
	case sim.KindTruth:
		return '•', page.Truth
	case sim.KindObligation:
		return '✗', page.Bad
	case sim.KindEnd:
		return '■', page.Strong
	}
	return '·', page.Faint
}

// span is a stretch of time that lies over some columns.
type span struct {
	x, w     int
	from, to float64 // s
}

// at is the moment in the middle of a column, false beside the span.
func (s span) at(x int) (float64, bool) {
	if s.w < 1 || x < s.x || x >= s.x+s.w {
		return 0, false
	}
	if s.w == 1 {
		return s.to, true
	}
	return s.from + (s.to-s.from)*float64(x-s.x)/float64(s.w-1), true
}

// column is the nearest column of a moment.
func (s span) column(ts float64) int {
	share := (ts - s.from) / (s.to - s.from)
	if math.IsNaN(share) {
		share = 0
	}
	return s.x + int(math.Round(min(max(share, 0), 1)*float64(s.w-1)))
}

// timelineSpan leaves room for the ends of the run beside its row.
func (g *stage) timelineSpan(width int) span {
	const before = 2
	after := page.Width(g.seconds(0)) + 1
	if width < 30 {
		return span{w: width, to: g.HeadS}
	}
	return span{x: before, w: width - before - after, to: g.HeadS}
}

// priority is which of two marks on the same column is seen.
func priority(kind string) int {
	switch kind {
	case sim.KindObligation:
		return 5
	case sim.KindFault:
		return 4
	case sim.KindJudge:
		return 3
	case sim.KindOperator, sim.KindEnd:
		return 2
	case sim.KindState:
		return 1
	}
	return 0
}

// drawTimeline draws the whole run on one row.
func (g *stage) drawTimeline(a page.Area) span {
	s := g.timelineSpan(a.W())
	if s.w < 1 || a.H() < 1 {
		return span{}
	}
	if s.x > 0 {
		a.Text(0, 0, page.Faint, "0")
		a.Right(0, page.Faint, g.counted(g.HeadS, g.timeWidth())+" s")
	}
	now := s.column(g.nowS)
	for x := s.x; x < s.x+s.w; x++ {
		sign := '─'
		if x < now {
			sign = '━'
		}
		a.Set(x, 0, sign, page.Faint)
	}
	marks := make([]int, s.w) // priorities
	for i := range g.Events {
		e := &g.Events[i]
		x, p := s.column(e.TS), priority(e.Kind)
		if p <= marks[x-s.x] {
			continue
		}
		marks[x-s.x] = p
		sign, role := kindSign(e.Kind)
		a.Set(x, 0, sign, role)
	}
	if at, ok := g.firstMark(); ok {
		a.Set(s.column(at), 0, '≠', page.Setpoint)
	}
	a.Set(now, 0, '┃', page.Chosen)
	return s
}

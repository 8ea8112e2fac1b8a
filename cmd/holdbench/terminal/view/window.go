package view

import (
	"math"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
)

// windowsShown is how many windows each half of the scale reaches over. When the axis leaves
// it, the scale doubles, a few times at most.
const (
	windowsShown = 1.5
	mostDoubling = 2
)

// half is how many increments each half of the scale reaches over.
func (g *stage) half() float64 {
	half := windowsShown * max(g.View.Judge.WindowInc, 1e-9)
	if g.check == nil {
		return half
	}
	low, high, _ := g.movedRange()
	far := max(-low, high)
	if away, live := g.position(); live {
		far = max(far, math.Abs(away))
	}
	for range mostDoubling {
		if far > half {
			half *= 2
		}
	}
	return half
}

// drawWindow draws the judge's window magnified, with the axis in it.
func (g *stage) drawWindow(a page.Area) {
	g.scaleInc = g.half()
	if g.check == nil || !g.View.Judge.Latched || g.unpowered() {
		g.drawUnlatched(a)
		return
	}
	away, live := g.position()
	state, role := "✓ inside", page.Good
	if math.Abs(away) > g.View.Judge.WindowInc {
		state, role = "✗ out", page.Bad
	}
	if !live {
		state = strings.Replace(state, " ", " was ", 1)
	}
	a = head(a, "window", state, role)
	g.drawScale(a, 0, away)
	if a.H() < 4 {
		g.drawFigures(a, 1, away)
		return
	}
	g.drawLimits(a.Sub(0, 1, a.W(), 1))
	trail := max(a.H()-4, 0)
	g.drawTrail(a.Sub(0, 2, a.W(), trail))
	g.drawFigures(a, 2+trail, away)
}

func (g *stage) drawUnlatched(a page.Area) {
	const none = "no position latched"
	state := none
	if a.W() < roomy {
		state = ""
	}
	a = head(a, "window", state, page.Faint)
	g.drawScale(a, 0, math.NaN())
	limits := a.Sub(0, 1, a.W(), 1)
	if state == "" {
		limits.Text(0, 0, page.Faint, none)
		_, limits = a.SplitTop(2)
	}
	g.drawLimits(limits)
}

// position is the distance of the axis from the latch in increments. Once the brake opens after
// a check the axis may move, so the position at the verdict stays.
func (g *stage) position() (away float64, live bool) {
	if !g.check.over || g.View.In.BrakeClosed && g.nowS-g.check.to < 1 {
		return float64(g.View.Judge.MovedInc), true
	}
	if i := at(g.Samples, g.check.to); i < len(g.Samples) {
		return math.Round(g.away(float64(g.Samples[i].PositionMM))), false
	}
	return float64(g.View.Judge.MovedInc), false
}

// column is where a number of increments stands on a scale; far outside is the outermost.
func (g *stage) column(inc float64, width int) int {
	half := g.scaleInc
	share := (inc + half) / (2 * half)
	if math.IsNaN(share) {
		share = 0.5
	}
	return int(math.Round(min(max(share, 0), 1) * float64(width-1)))
}

// drawScale draws the window with its limits, the latch in the middle, the range since the
// latch and the position.
func (g *stage) drawScale(a page.Area, y int, away float64) {
	w := scaleWidth(a.W())
	inc := g.View.Judge.WindowInc
	low, high := g.column(-inc, w), g.column(inc, w)
	for x := range w {
		sign, role := '─', page.Plain
		if x < low || x > high {
			sign, role = '╌', page.Faint
		}
		a.Set(x, y, sign, role)
	}
	if from, to, ok := g.movedRange(); ok && !math.IsNaN(away) {
		for x := g.column(from, w); x <= g.column(to, w); x++ {
			a.Set(x, y, '━', page.Brake)
		}
	}
	a.Set(low, y, '[', page.Setpoint)
	a.Set(high, y, ']', page.Setpoint)
	a.Set(g.column(0, w), y, '┼', page.Setpoint)
	if !math.IsNaN(away) {
		g.drawPosition(a, y, away, w)
	}
}

// scaleWidth is odd, so that the latch has a column of its own in the middle.
func scaleWidth(width int) int { return max(width-1+width%2, 1) }

func (g *stage) drawPosition(a page.Area, y int, away float64, w int) {
	x := g.column(away, w)
	half := g.scaleInc
	switch {
	case away < -half:
		a.Set(x, y, '◀', page.Bad)
	case away > half:
		a.Set(x, y, '▶', page.Bad)
	case math.Abs(away) > g.View.Judge.WindowInc:
		a.Set(x, y, '◉', page.Bad)
	default:
		a.Set(x, y, '◉', page.Good)
	}
}

// trailEnd is the verdict, or the cursor as long as the position counts.
func (g *stage) trailEnd() float64 {
	if _, live := g.position(); live {
		return g.nowS
	}
	return g.check.to
}

// movedRange is the range of the axis since the latch, in increments.
func (g *stage) movedRange() (low, high float64, ok bool) {
	if g.check == nil {
		return 0, 0, false
	}
	for _, s := range between(g.Samples, g.check.from, g.trailEnd()) {
		away := g.away(float64(s.PositionMM))
		low, high = min(low, away), max(high, away)
	}
	return low, high, true
}

// drawLimits writes the ends of the window below its scale.
func (g *stage) drawLimits(a page.Area) {
	w := scaleWidth(a.W())
	limit := strconv.Itoa(int(min(g.View.Judge.WindowInc, 1e9)))
	low, high := g.column(-g.View.Judge.WindowInc, w), g.column(g.View.Judge.WindowInc, w)
	if high-low < 2*page.Width(limit)+8 {
		a.Text(high+2, 0, page.Setpoint, limit+" inc")
		return
	}
	a.Text(low-page.Width(limit)/2, 0, page.Setpoint, "−"+limit)
	a.Text(high-page.Width(limit)/2, 0, page.Setpoint, "+"+limit)
	if middle := g.column(0, w); w >= 34 {
		a.Text(middle-3, 0, page.Faint, "latch")
		return
	}
	a.Text(g.column(0, w), 0, page.Faint, "0")
}

// drawFigures writes the distance in increments, in degrees of the motor and in mm of the load.
func (g *stage) drawFigures(a page.Area, y int, away float64) {
	j := &g.View.Judge
	role := page.Strong
	if math.Abs(away) > j.WindowInc {
		role = page.Bad
	}
	if a.H()-y < 2 {
		words(a, 0, y, word{role, signed(away, 5, 0) + " inc"}, word{page.Plain, signed(away*j.IncDeg, 6, 1) + "°" + signed(away*g.mmPerInc, 6, 2)}, word{page.Faint, " mm"})
		return
	}
	inc := signed(away, 6, 0)
	limit := strings.TrimLeft(fixed(j.WindowInc, 7, 1), " ")
	words(a, 0, y, word{role, inc}, word{role, " inc"}, word{page.Faint, " of " + limit + g.rangeText(a.W()-24)})
	words(a, 0, y+1, word{page.Plain, signedFour(away*j.IncDeg, 8, 3) + "°"}, word{page.Plain, signedFour(away*g.mmPerInc, 9, 4) + " mm"})
}

// signedFour is signed with as many decimals, at most, as leave four significant digits.
func signedFour(v float64, width, decimals int) string {
	const digits = 4
	for decimals > 0 && math.Round(math.Abs(v)*math.Pow10(decimals)) >= math.Pow10(digits) {
		decimals--
	}
	return signed(v, width, decimals)
}

// rangeText is the range since the latch, where there is room for it.
func (g *stage) rangeText(room int) string {
	low, high, ok := g.movedRange()
	text := ", range " + figure(math.Round(low), 0, false) + " to " + figure(math.Round(high), 0, math.Round(high) > 0)
	if !ok || page.Width(text) > room {
		return ""
	}
	return text
}

// drawTrail draws the position since the latch over time, the newest at the bottom.
func (g *stage) drawTrail(a page.Area) {
	w := scaleWidth(a.W())
	if a.H() < 1 || w < 3 {
		return
	}
	inc := g.View.Judge.WindowInc
	for y := range a.H() {
		for _, x := range []int{g.column(-inc, w), g.column(inc, w)} {
			a.Set(x, y, '│', page.Setpoint)
		}
	}
	to, half := g.trailEnd(), g.scaleInc
	end := max(to, g.check.from+g.View.Rig.Judge.Dwell.Seconds())
	if g.check.over {
		end = to
	}
	p := newPlot(w, a.H(), -half, half, -end, -g.check.from)
	seen := between(g.Samples, g.check.from, to)
	for i := range seen {
		before := &seen[max(i-1, 0)]
		p.segment(g.away(float64(before.PositionMM)), -before.TS, g.away(float64(seen[i].PositionMM)), -seen[i].TS)
	}
	p.draw(a, page.Brake)
}

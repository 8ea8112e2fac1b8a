package view

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/sequence"
)

// gauge is a signed scale through zero.
type gauge struct {
	a     page.Area
	x, w  int // of the bars
	limit float64
}

// The widths of names and figures left of the bars, in a narrow and in a wide pane.
const (
	narrowLabels = 14
	wideLabels   = 20
	figureWidth  = 6
)

// drawTorque draws the torques at the motor shaft side by side on one scale.
func (g *stage) drawTorque(a page.Area) {
	state, role := g.torqueState(a.W())
	a = head(a, "torque", state, role)
	b := gauge{a: a, x: narrowLabels, limit: g.torqueLimit()}
	l := g.View
	demand, name := g.demand(a.W() >= roomy)
	if a.W() >= roomy {
		b.x = wideLabels
	}
	b.w = max(scaleWidth(a.W()-b.x), 1)
	b.draw(0, name, demand, page.Setpoint)
	b.draw(1, "motor", g.View.In.TorqueNM, page.Motor)
	b.marks(1, limit{g.View.Rig.Judge.CeilingNM, '╎', '╎', page.Setpoint})
	y := 2
	if g.Truth {
		g.actualMotor(&b)
		b.draw(2, "load "+truthSign, l.Truth.LoadTorqueNM, page.Truth)
		first := g.first()
		g.brakeBar(&b, 3, "brake ", &first)
		y = 4
		if second, ok := g.second(); ok {
			g.brakeBar(&b, y, "brake 2 ", &second)
			y++
		}
	}
	if a.H() > y {
		b.scale(y)
	}
	g.torqueLegend(a.Sub(0, y+1, a.W(), a.H()))
}

// demand is the torque that the drive is to produce, and its name.
func (g *stage) demand(wide bool) (nm float64, name string) {
	nm, name, long := g.View.DemandNM, "demand", "drive demand"
	switch {
	case g.unpowered():
		nm = 0
	case g.View.Out.Drive == sequence.DrivePress:
		nm, name, long = g.View.Out.PressTorqueNM, "press", "press demand"
	}
	if wide {
		return nm, long
	}
	return nm, name
}

// torqueState compares the brake's capacity with the test torque, if the truth is shown: with
// figures in a narrow pane, where the legend has no room, else only when the capacity is less.
func (g *stage) torqueState(width int) (string, page.Role) {
	l := g.View
	weakest := g.weakestNM()
	short := l.RequiredTestNM - weakest
	switch narrow := width < roomy; {
	case !g.Truth || !narrow && !(short > 0):
		return "N·m", page.Faint
	case !narrow:
		return "✗ capacity" + truthSign + " " + strings.TrimLeft(fixed(short, 6, 2), " ") + " N·m short", page.Bad
	case short > 0:
		return truthSign + threeFigures(weakest) + " < " + threeFigures(l.RequiredTestNM) + " ✗", page.Bad
	default:
		return truthSign + threeFigures(weakest) + " ≥ " + threeFigures(l.RequiredTestNM), page.Truth
	}
}

// threeFigures is a torque with three significant figures.
func threeFigures(nm float64) string { return strings.TrimLeft(fixed(nm, 4, 2), " ") }

// torqueLimit is the end of the scale, the same through the whole run.
func (g *stage) torqueLimit() float64 {
	r := &g.Case.Rig
	d := plant.Derive(r)
	limit := 1.05 * max(r.Judge.CeilingNM, r.Brake.StaticNM, d.Brake2CapacityNM, d.RequiredTestNM, d.LoadTorqueNM)
	if !(limit > 0) || math.IsInf(limit, 0) {
		return 1
	}
	return limit
}

// column is where a torque stands; outside of the scale is its end.
func (b *gauge) column(nm float64) int { return b.x + b.halves(nm)/2 }

// halves counts half cells from the left end of the scale.
func (b *gauge) halves(nm float64) int {
	share := (nm + b.limit) / (2 * b.limit)
	if math.IsNaN(share) {
		share = 0.5
	}
	return int(math.Round(min(max(share, 0), 1)*float64(2*b.w-2))) + 1
}

// draw draws one torque: name, figure, and a bar from zero.
func (b *gauge) draw(y int, name string, nm float64, role page.Role) {
	nameRole := page.Plain
	if strings.HasSuffix(name, truthSign) {
		nameRole = page.Truth
	}
	b.a.Text(0, y, nameRole, name)
	b.a.Text(b.x-figureWidth-1, y, page.Strong, signed(nm, figureWidth, 2))
	zero := b.column(0)
	b.a.Set(zero, y, '│', page.Faint)
	if math.IsNaN(nm) {
		return
	}
	from, to := min(b.halves(0), b.halves(nm)), max(b.halves(0), b.halves(nm))
	for h := from; h < to; h += 2 - h%2 {
		x := b.x + h/2
		switch whole := h%2 == 0 && h+1 < to; {
		case whole:
			b.a.Set(x, y, '█', role)
		case h%2 == 0:
			b.a.Set(x, y, '▌', role)
		default:
			b.a.Set(x, y, '▐', role)
		}
	}
}

// limit is a torque that is marked on both sides of zero.
type limit struct {
	nm        float64
	low, high rune
	role      page.Role
}

// marks draws limits on both sides, as far as the scale reaches. Those of the same column stand
// side by side in their order, so that which one is the larger can be seen.
func (b *gauge) marks(y int, list ...limit) {
	slices.SortStableFunc(list, func(p, q limit) int { return cmp.Compare(p.nm, q.nm) })
	list = slices.DeleteFunc(list, func(m limit) bool { return !(m.nm > 0 && m.nm <= b.limit) })
	highs, lows := make([]int, len(list)), make([]int, len(list))
	for i := range list {
		highs[i], lows[i] = b.column(list[i].nm), b.column(-list[i].nm)
		if i > 0 {
			highs[i], lows[i] = max(highs[i], highs[i-1]+1), min(lows[i], lows[i-1]-1)
		}
	}
	for i := len(list) - 1; i >= 0; i-- {
		beyond := len(list) - 1 - i // those that were moved off the scale come back
		highs[i], lows[i] = min(highs[i], b.x+b.w-1-beyond), max(lows[i], b.x+beyond)
		b.a.Set(lows[i], y, list[i].low, list[i].role)
		b.a.Set(highs[i], y, list[i].high, list[i].role)
	}
}

// brakeBar draws the torque that the brake carries, between the limits of its capacity.
func (g *stage) brakeBar(b *gauge, y int, name string, of *shownBrake) {
	b.draw(y, name+truthSign, of.truth.BrakeTorqueNM, page.Brake)
	limits := []limit{{g.View.RequiredTestNM, '┊', '┊', page.Setpoint}, {of.truth.CapacityNM, '[', ']', page.Truth}}
	if of.weakened() {
		limits = append(limits, limit{of.staticNM, '(', ')', page.Truth})
	}
	b.marks(y, limits...)
}

// weakened is whether the brake's capacity is less than its static one, closed and at rest.
func (b *shownBrake) weakened() bool { return b.staticNM-b.truth.CapacityNM > 0.005 }

// actualMotor marks the true motor torque beside the measured one where the two differ.
func (g *stage) actualMotor(b *gauge) {
	is := g.View.Truth.MotorTorqueNM
	if math.Abs(is-g.View.In.TorqueNM) <= 0.02*b.limit || math.IsNaN(is) {
		return
	}
	b.a.Text(5, 1, page.Truth, "≠"+truthSign)
	b.a.Set(b.column(is), 1, '•', page.Truth)
}

func (b *gauge) scale(y int) {
	zero := b.column(0)
	for x := range b.w {
		b.a.Set(b.x+x, y, '─', page.Faint)
	}
	b.a.Set(zero, y, '┴', page.Faint)
	end := figure(b.limit, 0, false)
	low, high := "−"+end, "+"+end
	if b.w > 20 {
		low, high = low+" down ", " up "+high
	}
	b.a.Text(b.x, y, page.Faint, low)
	b.a.Text(b.x+b.w-page.Width(high), y, page.Faint, high)
}

// torqueLegend explains the marks and has their figures.
func (g *stage) torqueLegend(a page.Area) {
	l := g.View
	ceiling := word{page.Plain, "╎ ceiling " + fixed(l.Rig.Judge.CeilingNM, 5, 2)}
	if !g.Truth {
		words(a, 0, 0, ceiling)
		return
	}
	capacity := []word{{page.Truth, "[ ] capacity " + truthSign + fixed(l.Truth.CapacityNM, 6, 2)}}
	if first := g.first(); first.weakened() {
		capacity = append(capacity, word{page.Truth, "  ( ) closed " + truthSign + fixed(l.StaticCapacityNM, 6, 2)})
	}
	words(a, 0, 0, capacity...)
	words(a, 0, 1, word{page.Plain, "┊ test  " + truthSign + fixed(l.RequiredTestNM, 6, 2) + "  "}, ceiling)
}

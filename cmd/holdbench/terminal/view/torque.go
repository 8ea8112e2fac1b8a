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

// Torque draws the torques at the motor shaft side by side on one scale.
func Torque(a page.Area, s *Scene) {
	if g, ok := staged(s); ok {
		g.drawTorque(a)
	}
}

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

func (g *stage) drawTorque(a page.Area) {
	state, role := g.torqueState(a.W())
	a = head(a, "torque", state, role)
	b := gauge{a: a, x: narrowLabels, limit: g.torqueLimit()}
	l := g.Look
	asked, name := g.asked()
	if a.W() >= roomy {
		b.x, name = wideLabels, "asked "+name
	}
	b.w = max(scaleWidth(a.W()-b.x), 1)
	b.draw(0, name, asked, page.Asked)
	b.draw(1, "motor", g.Look.In.TorqueNM, page.Motor)
	b.marks(1, limit{g.Look.Rig.Judge.CeilingNM, '╎', '╎', page.Asked})
	y := 2
	if g.Truth {
		g.trueMotor(&b)
		b.draw(2, "load "+truthSign, l.Truth.LoadTorqueNM, page.Truth)
		g.brakeBar(&b, 3)
		y = 4
	}
	if a.H() > y {
		b.scale(y)
	}
	g.torqueLegend(a.Sub(0, y+1, a.W(), a.H()))
}

// asked is the torque that the drive is to give, and what it is called.
func (g *stage) asked() (float64, string) {
	switch l := g.Look; {
	case g.unpowered():
		return 0, "demand"
	case l.Out.Drive == sequence.DrivePress:
		return l.Out.PressTorqueNM, "press"
	default:
		return l.DemandNM, "demand"
	}
}

// torqueState holds the brake's capacity against the test torque, if both are known: in a narrow
// pane with figures, since the legend has no room there, else only when it falls short.
func (g *stage) torqueState(width int) (string, page.Role) {
	l := g.Look
	short := l.RequiredTestNM - l.StaticCapacityNM
	switch narrow := width < roomy; {
	case !g.Truth || !narrow && !(short > 0):
		return "N·m", page.Faint
	case !narrow:
		return "✗ capacity" + truthSign + " " + strings.TrimLeft(fixed(short, 6, 2), " ") + " N·m short", page.Bad
	case short > 0:
		return truthSign + three(l.StaticCapacityNM) + " < " + three(l.RequiredTestNM) + " ✗", page.Bad
	default:
		return truthSign + three(l.StaticCapacityNM) + " ≥ " + three(l.RequiredTestNM), page.Truth
	}
}

// three writes a torque with three figures.
func three(nm float64) string { return strings.TrimLeft(fixed(nm, 4, 2), " ") }

// torqueLimit is the end of the scale, the same through the whole run.
func (g *stage) torqueLimit() float64 {
	r := &g.Case.Rig
	d := plant.Derive(r)
	limit := 1.05 * max(r.Judge.CeilingNM, r.Brake.StaticNM, d.RequiredTestNM, d.LoadTorqueNM)
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

// brakeBar draws what the brake carries between the limits of what it can.
func (g *stage) brakeBar(b *gauge, y int) {
	l := g.Look
	b.draw(y, "brake "+truthSign, l.Truth.BrakeTorqueNM, page.Brake)
	limits := []limit{{l.RequiredTestNM, '┊', '┊', page.Asked}, {l.Truth.CapacityNM, '[', ']', page.Truth}}
	if g.slacker() {
		limits = append(limits, limit{l.StaticCapacityNM, '(', ')', page.Truth})
	}
	b.marks(y, limits...)
}

// slacker is whether the brake holds less than it would standing still and closed.
func (g *stage) slacker() bool { return g.Look.StaticCapacityNM-g.Look.Truth.CapacityNM > 0.005 }

// trueMotor marks the true motor torque beside the measured one where they differ.
func (g *stage) trueMotor(b *gauge) {
	is := g.Look.Truth.MotorTorqueNM
	if math.Abs(is-g.Look.In.TorqueNM) <= 0.02*b.limit || math.IsNaN(is) {
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

// torqueLegend says what the marks are and their figures.
func (g *stage) torqueLegend(a page.Area) {
	l := g.Look
	ceiling := word{page.Plain, "╎ ceiling " + fixed(l.Rig.Judge.CeilingNM, 5, 2)}
	if !g.Truth {
		words(a, 0, 0, ceiling)
		return
	}
	holds := []word{{page.Truth, "[ ] holds " + truthSign + fixed(l.Truth.CapacityNM, 6, 2)}}
	if g.slacker() {
		holds = append(holds, word{page.Truth, "  ( ) closed " + truthSign + fixed(l.StaticCapacityNM, 6, 2)})
	}
	words(a, 0, 0, holds...)
	words(a, 0, 1, word{page.Plain, "┊ test  " + truthSign + fixed(l.RequiredTestNM, 6, 2) + "  "}, ceiling)
}

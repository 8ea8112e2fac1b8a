package view

import (
	"math"
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
	a = head(a, "torque", "N·m", page.Faint)
	b := gauge{a: a, x: narrowLabels, limit: g.torqueLimit()}
	l := g.Look
	asked, name := l.DemandNM, "demand"
	if l.Out.Drive == sequence.DrivePress {
		asked, name = l.Out.PressTorqueNM, "press"
	}
	if a.W() >= roomy {
		b.x, name = wideLabels, "asked "+name
	}
	b.w = max(scaleWidth(a.W()-b.x), 1)
	b.draw(0, name, asked, page.Asked)
	b.draw(1, "motor", l.In.TorqueNM, page.Motor)
	b.mark(1, g.Look.Rig.Judge.CeilingNM, '╎', '╎', page.Asked)
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

// mark draws a limit on both sides, if the scale reaches so far.
func (b *gauge) mark(y int, nm float64, low, high rune, role page.Role) {
	if !(math.Abs(nm) <= b.limit) || nm == 0 {
		return
	}
	b.a.Set(b.column(-nm), y, low, role)
	b.a.Set(b.column(nm), y, high, role)
}

// brakeBar draws what the brake carries between the limits of what it can.
func (g *stage) brakeBar(b *gauge, y int) {
	l := g.Look
	b.draw(y, "brake "+truthSign, l.Truth.BrakeTorqueNM, page.Brake)
	b.mark(y, l.RequiredNM, '┊', '┊', page.Asked)
	b.mark(y, l.CapacityNM, '(', ')', page.Truth)
	b.mark(y, l.Truth.CapacityNM, '[', ']', page.Truth)
}

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
	b.a.Text(b.x+b.w-wide(high), y, page.Faint, high)
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
	if l.CapacityNM-l.Truth.CapacityNM > 0.005 {
		holds = append(holds, word{page.Truth, "  ( ) closed " + truthSign + fixed(l.CapacityNM, 6, 2)})
	}
	words(a, 0, 0, holds...)
	words(a, 0, 1, word{page.Plain, "┊ test  " + truthSign + fixed(l.RequiredNM, 6, 2) + "  "}, ceiling)
}

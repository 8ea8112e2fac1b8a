package view

import (
	"cmp"
	"math"
	"slices"
	"strconv"
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
	switch {
	case a.W() >= roomy:
		b.x = wideLabels
	case g.furtherBars() > 0:
		b.x++ // for the longer names
	}
	b.w = max(scaleWidth(a.W()-b.x), 1)
	rows := []torqueRow{
		{2, func(y int) { b.draw(y, name, demand, page.Setpoint) }},
		{5, func(y int) { g.motorBar(&b, y) }},
	}
	if g.Truth {
		rows = append(rows, torqueRow{4, func(y int) { b.draw(y, "load "+truthSign, l.Truth.LoadTorqueNM, page.Truth) }})
		rows = append(rows, g.supportRow(&b)...)
		rows = append(rows, g.brakeRows(&b)...)
	}
	rows = mostUseful(rows, a.H())
	for y := range rows {
		rows[y].draw(y)
	}
	if a.H() > len(rows) {
		b.scale(len(rows))
	}
	g.torqueLegend(a.Sub(0, len(rows)+1, a.W(), a.H()))
}

// torqueRow is one bar. Where not all have room, those that serve the least are left out.
type torqueRow struct {
	use  int
	draw func(y int)
}

// mostUseful leaves as many rows as have room, in their order.
func mostUseful(rows []torqueRow, room int) []torqueRow {
	for len(rows) > max(room, 1) {
		least := 0
		for i := range rows {
			if rows[i].use <= rows[least].use {
				least = i
			}
		}
		rows = slices.Delete(rows, least, least+1)
	}
	return rows
}

// supportRow is the torque with which the support carries the load, for a rig with a support: with
// it, motor, load and brakes add up to the friction of the guide.
func (g *stage) supportRow(b *gauge) []torqueRow {
	nm := g.View.Truth.SupportTorqueNM
	if g.Case.Rig.Support.StiffnessNPerMM == 0 {
		return nil
	}
	row := torqueRow{0, func(y int) { b.draw(y, longName(b, "support"), nm, page.Truth) }}
	if nm != 0 {
		row.use = 4
	}
	return []torqueRow{row}
}

// brakeRows are the brakes; of two that are not tested together, the closed one serves more.
func (g *stage) brakeRows(b *gauge) []torqueRow {
	const open, closed = 1, 3
	use := func(of *shownBrake) int {
		if of.truth.Engagement > 0 {
			return closed
		}
		return open
	}
	first := g.first()
	rows := []torqueRow{{use(&first), func(y int) { g.brakeBar(b, y, "brake "+truthSign, &first) }}}
	if second, ok := g.second(); ok {
		rows = append(rows, torqueRow{use(&second), func(y int) { g.brakeBar(b, y, longName(b, "brake 2"), &second) }})
	} else {
		rows[0].use = closed
	}
	return rows
}

// furtherBars is how many torques there are that only some rigs have.
func (g *stage) furtherBars() (n int) {
	if g.View.Brake2 != nil {
		n++
	}
	if g.Case.Rig.Support.StiffnessNPerMM > 0 {
		n++
	}
	return n
}

// longName is the name of a true torque that fills the labels of a narrow pane.
func longName(b *gauge, name string) string {
	if b.x >= wideLabels {
		name += " "
	}
	return name + truthSign
}

// motorBar draws the measured motor torque, with the ceiling and the true torque where that differs.
func (g *stage) motorBar(b *gauge, y int) {
	b.draw(y, "motor", g.View.In.TorqueNM, page.Motor)
	b.marks(y, limit{g.View.Rig.Judge.CeilingNM, '╎', '╎', page.Setpoint})
	if g.Truth {
		g.actualMotor(b, y)
	}
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
	weakest, of := g.weakestNM()
	short := l.RequiredTestNM - weakest
	switch narrow := width < roomy; {
	case !g.Truth || !narrow && !(short > 0):
		return "N·m", page.Faint
	case !narrow:
		return "✗ capacity" + of + truthSign + " " + strings.TrimLeft(fixed(short, 6, 2), " ") + " N·m short", page.Bad
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
	b.draw(y, name, of.truth.BrakeTorqueNM, page.Brake)
	limits := []limit{{g.View.RequiredTestNM, '┊', '┊', page.Setpoint}, {of.truth.CapacityNM, '[', ']', page.Truth}}
	if of.weakened() || of.overstated() {
		limits = append(limits, limit{of.staticNM, '(', ')', page.Truth})
	}
	b.marks(y, limits...)
}

// weakened is whether the brake's capacity is less than its static one, closed and at rest.
func (b *shownBrake) weakened() bool { return b.staticNM-b.truth.CapacityNM > 0.005 }

// overstated is whether the brake's capacity is more than the one that counts: it yields slowly below it, or would not
// close like that again.
func (b *shownBrake) overstated() bool { return b.truth.CapacityNM-b.staticNM > 0.005 }

// actualMotor marks the true motor torque beside the measured one where the two differ.
func (g *stage) actualMotor(b *gauge, y int) {
	is := g.View.Truth.MotorTorqueNM
	if math.Abs(is-g.View.In.TorqueNM) <= 0.02*b.limit || math.IsNaN(is) {
		return
	}
	b.a.Text(5, y, page.Truth, "≠"+truthSign)
	b.a.Set(b.column(is), y, '•', page.Truth)
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
	b, number := g.tested()
	of := ""
	if _, two := g.second(); two {
		of = strconv.Itoa(number) + " "
	}
	capacity := []word{{page.Truth, "[ ] capacity " + of + truthSign + fixed(b.truth.CapacityNM, 6, 2)}}
	switch {
	case b.weakened():
		capacity = append(capacity, word{page.Truth, "  ( ) closed " + truthSign + fixed(b.staticNM, 6, 2)})
	case b.overstated():
		capacity = append(capacity, word{page.Truth, "  ( ) lasting " + truthSign + fixed(b.staticNM, 6, 2)})
	}
	words(a, 0, 0, capacity...)
	words(a, 0, 1, word{page.Plain, "┊ test  " + truthSign + fixed(l.RequiredTestNM, 6, 2) + "  "}, ceiling)
}

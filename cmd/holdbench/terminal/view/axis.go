package view

import (
	"math"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
)

// railColumn is where the rail stands in its pane: right of the numbers.
const railColumn = 5

// drawAxis draws where the axis stands in its travel, and its brake at the rail. What rests on the
// support is said in the heading.
func (g *stage) drawAxis(a page.Area) {
	state := ""
	if g.Case.Rig.Load.ArmMM > 0 {
		state = "at " + strings.TrimLeft(fixed(g.View.In.PositionDeg, 7, 2), " ") + "°"
	}
	role := page.Strong
	if share := g.View.SupportShare; g.Truth && share > 0.005 {
		state, role = truthSign+supported(share, a.W()), page.Truth
	}
	a = head(a, "axis", state, role)
	foot := 3
	if g.Case.Rig.Partner.InertiaKGM2 > 0 {
		foot++
	}
	if g.View.Brake2 != nil {
		foot += 2
	}
	r := rail{stage: g, a: a.Sub(0, 0, a.W(), max(a.H()-foot, min(a.H(), 3)))}
	r.draw()
	_, rest := a.SplitTop(r.a.H())
	g.drawBrake(rest)
}

// supported is what rests on the support, in the words for which the heading of a pane has room.
func supported(share float64, width int) string {
	const fits, fitsShort = 21, 26 // widths in which "on support" and a share of it have room
	percent := strings.TrimLeft(fixed(100*share, 3, 0), " ")
	switch whole := share > 0.995; {
	case whole && width >= fits:
		return "on support"
	case whole:
		return "support"
	case width >= fitsShort:
		return percent + " % on support"
	}
	return "sup " + percent + "%"
}

// rail is the travel from the upper hard stop to the lower one.
type rail struct {
	*stage
	a page.Area
}

func (r *rail) draw() {
	if r.a.H() == 0 {
		return
	}
	last := r.a.H() - 1
	for y := range r.a.H() {
		r.a.Set(railColumn, y, '│', page.Plain)
	}
	stops := &r.Case.Rig.Stops
	r.place(stops.HighMM, "", '╤')
	r.place(stops.LowMM, "", '╧')
	if last == 0 {
		return
	}
	r.support()
	if mm, ok := r.role("test_position"); ok {
		r.place(mm, "test", '┼')
	}
	r.load()
}

// support draws where the load is set down: where the sequence moves it to, and the support of the
// rig.
func (r *rail) support() {
	if mm, ok := r.role("support_position"); ok {
		r.place(mm, "support", '┼')
	}
	s := &r.View.Rig.Support
	if s.StiffnessNPerMM == 0 || s.Removed {
		return
	}
	r.place(s.AtMM, "support", '┴')
}

// row is the row of a position, the ends included.
func (r *rail) row(mm float64) int {
	stops := &r.Case.Rig.Stops
	share := (stops.HighMM - mm) / (stops.HighMM - stops.LowMM)
	if math.IsNaN(share) {
		share = 0
	}
	return int(math.Round(min(max(share, 0), 1) * float64(r.a.H()-1)))
}

// place draws a named place. Where a stop is on the same row, the number goes to the name.
func (r *rail) place(mm float64, name string, sign rune) {
	y := r.row(mm)
	number := strings.TrimLeft(fixed(mm, railColumn-1, 0), " ")
	if name != "" && (y == 0 || y == r.a.H()-1) {
		r.a.Text(railColumn+2, y, page.Setpoint, name+" "+number)
		return
	}
	r.a.Text(0, y, page.Faint, left(number, railColumn-1))
	r.a.Set(railColumn, y, sign, page.Plain)
	r.a.Text(railColumn+2, y, page.Setpoint, name)
}

// load draws the load where it is measured, and its true place if that differs.
func (r *rail) load() {
	l := r.View
	y := r.row(l.In.PositionMM)
	differs := r.Truth && math.Abs(l.LoadMM-l.In.PositionMM) > max(r.windowMM(), 0.02)
	if differs {
		r.actualLoad(y)
	}
	if r.Truth && l.Rig.Transmission.Severed {
		r.block(y, '░', page.Faint)
		r.figure(y, page.Faint, "reads "+fixed(l.In.PositionMM, 5, 0))
		return
	}
	r.block(y, '█', page.Strong)
	r.figure(y, page.Strong, fixed(l.In.PositionMM, 7, 2)+" mm"+r.arrow())
}

// actualLoad draws the true place of the load on a row of its own, next to the measured one if need be.
func (r *rail) actualLoad(measured int) {
	y := r.row(r.View.LoadMM)
	at := y
	if at == measured {
		at = measured + 1
		if at >= r.a.H() {
			at = measured - 1
		}
	} else {
		r.block(y, '▓', page.Truth)
	}
	text := truthSign + fixed(r.View.LoadMM, 7, 2) + " mm"
	if r.View.Rig.Transmission.Severed {
		text = truthSign + "load " + fixed(r.View.LoadMM, 5, 0)
	}
	r.figure(at, page.Truth, text)
}

func (r *rail) block(y int, sign rune, role page.Role) {
	for x := railColumn - 1; x <= railColumn+1; x++ {
		r.a.Set(x, y, sign, role)
	}
}

// figure replaces what stands right of the rail.
func (r *rail) figure(y int, role page.Role, text string) {
	r.a.Sub(railColumn+2, y, r.a.W(), 1).Fill(' ', page.Plain)
	r.a.Text(railColumn+2, y, role, text)
}

// arrow is the direction of the measured speed.
func (r *rail) arrow() string {
	switch in := &r.View.In; {
	case in.Standstill || in.Speed == 0 || math.IsNaN(in.Speed):
		return " "
	case in.Speed > 0:
		return "↑"
	}
	return "↓"
}

// drawBrake draws the friction discs at the rail and the state of the brake: the truth if it
// is shown, else that of the switch.
func (g *stage) drawBrake(a page.Area) {
	l := g.View
	closed := 0.0
	if l.In.BrakeClosed {
		closed = 1
	}
	role, what, sign := page.Faint, "", ""
	if g.Truth {
		closed, role, what, sign = l.Truth.Engagement, page.Truth, fixed(100*l.Truth.Engagement, 3, 0)+" %", truthSign
	}
	drawDiscs(a, closed, page.Brake)
	a.Text(railColumn+5, 0, role, sign+what)
	state := "hidden"
	if g.Truth {
		b := g.first()
		state = b.word()
	}
	a.Text(0, 1, page.Faint, "brake")
	a.Text(railColumn+2, 1, role, sign+state)
	g.drawSwitch(a, openClosed(l.In.BrakeClosed))
	row := 3
	if g.Case.Rig.Partner.InertiaKGM2 > 0 {
		g.drawPartner(a)
		row++
	}
	g.drawSecondBrake(a, row)
}

// discGap is the distance of the discs of an open brake from the rail, in cells.
const discGap = 2

func drawDiscs(a page.Area, closed float64, role page.Role) {
	gap := 1
	switch {
	case closed >= 1:
		gap = 0
	case !(closed > 0):
		gap = discGap
	}
	a.Set(railColumn, 0, '│', page.Plain)
	for i := 1; i <= 2; i++ {
		a.Set(railColumn-gap-i, 0, '█', role)
		a.Set(railColumn+gap+i, 0, '█', role)
	}
}

// drawSwitch draws what is read of the brake: of its switch, or of that which takes its place.
func (g *stage) drawSwitch(a page.Area, reads string) {
	name := "switch"
	switch g.View.Rig.Brake.Feedback {
	case plant.FeedbackCoil:
		name = "coil"
	case plant.FeedbackNone:
		name = "timer"
	}
	a.Text(0, 2, page.Faint, name)
	x := a.Text(railColumn+2, 2, page.Plain, reads)
	if b := g.first(); g.Truth && b.misread() {
		a.Text(x+1, 2, page.Bad, "✗")
	}
}

func (g *stage) drawPartner(a page.Area) {
	reads := "free"
	if g.View.In.PartnerCoupled {
		reads = "coupled"
	}
	x := a.Text(a.Text(0, 3, page.Faint, "partner")+1, 3, page.Plain, reads)
	if g.Truth && reads == "free" && math.Abs(g.View.Truth.CouplingNM) > 1e-3 {
		a.Text(x+1, 3, page.Truth, truthSign+"coupled")
	}
}

package view

import (
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
)

// shownBrake is a brake as the panes show it.
type shownBrake struct {
	truth     *plant.BrakeState
	data      *plant.Brake
	staticNM  float64 // capacity at rest, if it were closed
	commanded bool    // to close, by the sequence, or by the safety side, which closes it only late in a stop
	reads     bool    // its switch reads closed
}

// first is the brake that every rig has.
func (g *stage) first() shownBrake {
	l := g.View
	return shownBrake{&l.Truth.BrakeState, &l.Rig.Brake, l.StaticCapacityNM, l.CloseBrake, l.In.BrakeClosed}
}

// second is the second brake; ok is false without one.
func (g *stage) second() (b shownBrake, ok bool) {
	l := g.View
	if l.Brake2 == nil {
		return b, false
	}
	return shownBrake{l.Brake2, &l.Rig.Brake2.Brake, l.StaticCapacity2NM, l.CloseBrake2, l.In.Brake2Closed}, true
}

// word is the state of the brake, from its command and its engagement.
func (b *shownBrake) word() string {
	switch e := b.truth.Engagement; {
	case e >= 1:
		return "closed"
	case b.commanded && e < b.data.ClosesTo:
		return "closing"
	case !b.commanded && e > b.data.OpensTo:
		return "opening"
	case e > 0:
		return "partly"
	}
	return "open"
}

// misread is whether the switch reads the contrary of a brake that is open or closed.
func (b *shownBrake) misread() bool {
	return b.truth.Engagement <= 0 && b.reads || b.truth.Engagement >= 1 && !b.reads
}

// drawSecondBrake draws the second brake below the partner or in its place, as the first: its state
// if the truth is shown, and its switch.
func (g *stage) drawSecondBrake(a page.Area, y int) {
	b, ok := g.second()
	if !ok {
		return
	}
	const column = railColumn + 4
	state, role := "hidden", page.Faint
	if g.Truth {
		state, role = truthSign+b.word(), page.Truth
	}
	a.Text(0, y, page.Faint, "brake 2")
	a.Text(column, y, role, state)
	a.Text(0, y+1, page.Faint, "switch 2")
	x := a.Text(column, y+1, page.Plain, openClosed(b.reads))
	if g.Truth && b.misread() {
		a.Text(x+1, y+1, page.Bad, "✗")
	}
}

// tested is the brake that is tested alone, the closed one of two, and its number; it is the first
// if both are closed or open, or if there is one.
func (g *stage) tested() (b shownBrake, number int) {
	b = g.first()
	second, ok := g.second()
	if ok && second.truth.Engagement > 0 && b.truth.Engagement <= 0 {
		return second, 2
	}
	return b, 1
}

func openClosed(closed bool) string {
	if closed {
		return "closed"
	}
	return "open"
}

// weakestNM is the static capacity of the weakest brake in N·m, and which one that is of two: each must be sufficient
// alone.
func (g *stage) weakestNM() (nm float64, of string) {
	b, ok := g.second()
	switch {
	case !ok:
		return g.View.StaticCapacityNM, ""
	case b.staticNM < g.View.StaticCapacityNM:
		return b.staticNM, " 2"
	}
	return g.View.StaticCapacityNM, " 1"
}

// secondCommand is the command of the second brake, empty without one.
func (g *stage) secondCommand() string {
	if g.View.Brake2 == nil {
		return ""
	}
	return "brake 2 " + g.View.Out.Brake2Command().String()
}

// clock writes a time as 7:59:54.
func clock(d time.Duration) string {
	s := int64(max(d, 0) / time.Second)
	return strconv.FormatInt(s/3600, 10) + ":" + two(s/60%60) + ":" + two(s%60)
}

// drawProofs draws what the proof of each of two brakes has left, in a narrow pane without seconds.
func (g *stage) drawProofs(a page.Area, y int) {
	x, seconds := 9, true
	if a.W() < roomy-2 {
		x, seconds = 6, false
	}
	a.Text(0, y, page.Plain, "proof")
	var list []word
	for i, left := range g.View.Judge.Verdict.Left {
		text, role := "none", page.Faint
		if left > 0 {
			text, role = "✓ "+clock(left), page.Good
			if !seconds {
				text = text[:strings.LastIndexByte(text, ':')]
			}
		}
		list = append(list, word{page.Plain, []string{"1 ", "  2 "}[i]}, word{role, text})
	}
	words(a, x, y, list...)
}

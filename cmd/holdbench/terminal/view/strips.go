package view

import (
	"math"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
	"holdbench/sim/history"
)

// gutter is the width of the names and values left of the curves.
const gutter = 8

// strips is the part of the run that is drawn.
type strips struct {
	*stage
	fromS, toS            float64
	w                     int // cells
	run, earlier, nominal *data
	drawn                 []rune // the letters of the curves
}

// drawCurves returns what a click on the curves means, and which letters they carry.
func (g *stage) drawCurves(a page.Area) (span, []rune) {
	s := strips{stage: g, w: max(a.W()-gutter, 0)}
	s.fromS, s.toS = g.shownSpan(s.w)
	if s.w == 0 || a.H() == 0 {
		return span{}, nil
	}
	s.run = reduce(past{g.Samples, g.Blocks}, s.fromS, s.toS, 2*s.w, g.Truth)
	s.earlier = reduce(past{g.Earlier, g.EarlierBlocks}, s.fromS, s.toS, 2*s.w, g.Truth)
	s.nominal = reduce(past{g.Nominal, g.NominalBlocks}, s.fromS, s.toS, 2*s.w, g.Truth)
	rows := a.H() - 2 // states and time
	torque := (rows*3 + 4) / 5
	if rows < 2 {
		torque = max(rows, 0)
	}
	s.torque(a.Sub(0, 0, a.W(), torque))
	s.position(a.Sub(0, torque, a.W(), max(rows-torque, 0)))
	s.states(a.Sub(0, max(a.H()-2, 0), a.W(), 1))
	if a.H() > 1 { // else the row has the states
		s.marks(a.Sub(0, a.H()-1, a.W(), 1))
	}
	return span{x: gutter, w: s.w, from: s.fromS, to: s.toS}, s.drawn
}

// shownSpan is the part of the run that is shown: all of it, or a span that ends a little after
// the cursor. While the run plays, its end goes on in steps: what is drawn once stays where it is, or moves by whole
// columns, so that most lines are the same in the next frame.
func (g *stage) shownSpan(columns int) (from, to float64) {
	end, plays := g.HeadS, g.Playing && g.AtHead
	if !(g.SpanS > 0) {
		if plays {
			end = stepped(end, wholeStep(end))
		}
		return 0, max(end, 0.01)
	}
	to = min(g.nowS+g.SpanS/4, end)
	if g.AtHead {
		to = end
	}
	if plays {
		to = stepped(to, g.SpanS/float64(max(columns, 1)))
	}
	from = max(to-g.SpanS, 0)
	return from, from + g.SpanS
}

// stepped is the first whole step from a time on.
func stepped(s, step float64) float64 { return math.Ceil(s/step) * step }

// wholeStep is the step in which the end of a whole run goes on: an eighth to a sixteenth of it, a power of two of
// seconds.
func wholeStep(s float64) float64 {
	const parts, least = 8, 0.125
	return max(math.Exp2(math.Floor(math.Log2(s/parts))), least)
}

// column is the cell of a moment, false outside.
func (s *strips) column(ts float64) (int, bool) {
	x := int(math.Floor((ts - s.fromS) / (s.toS - s.fromS) * float64(s.w)))
	if ts == s.toS {
		x = s.w - 1
	}
	return x, ts >= s.fromS && x >= 0 && x < s.w
}

// torque draws the motor's torque, and as truth that of the brake between the limits of its
// capacity.
func (s *strips) torque(a page.Area) {
	if a.H() == 0 {
		return
	}
	low, high := s.run.extent(0, 0, motorNM, demandNM)
	low, high = s.earlier.extent(low, high, motorNM)
	low, high = s.nominal.extent(low, high, motorNM)
	if s.Truth {
		low, high = s.run.extent(low, high, brakeNM, brake2NM)
		if s.Compared != nil {
			low, high = s.earlier.extent(low, high, brakeNM, brake2NM)
		}
		if a.H() > 4 { // else the curves would be flat below the capacity of a good brake
			low, high = s.run.extent(low, high, capacityNM, negativeCapacityNM, capacity2NM, negativeCapacity2NM)
		}
	}
	if !(high-low > 0.1) {
		high = low + 0.1
	}
	s.frame(a, low, high, 1, "torque", "N·m")
	plot := a.Sub(gutter, 0, s.w, a.H())
	s.zero(plot, low, high)
	layers := []layer{
		{s.earlier, motorNM, dotted, s.earlierTag(), page.Earlier},
		{s.nominal, motorNM, dashed, tagNominal, page.Nominal},
	}
	if s.Truth {
		layers = append(layers,
			layer{s.run, negativeCapacityNM, dashed, tagCapacity, page.Truth},
			layer{s.run, capacityNM, dashed, tagCapacity, page.Truth},
			layer{s.run, negativeCapacity2NM, dashed, tagCapacity, page.Truth},
			layer{s.run, capacity2NM, dashed, tagCapacity, page.Truth},
			layer{s.run, brake2NM, solid, tagBrake2, page.Brake})
		if s.Compared != nil {
			layers = append(layers,
				layer{s.earlier, brakeNM, dotted, s.earlierTag(), page.Earlier},
				layer{s.earlier, brake2NM, dotted, s.earlierTag(), page.Earlier})
		}
		layers = append(layers,
			layer{s.run, brakeNM, solid, tagBrake, page.Brake})
	}
	s.layers(plot, low, high, append(layers,
		layer{s.run, demandNM, dotted, tagDemand, page.Setpoint},
		layer{s.run, motorNM, solid, tagMotor, page.Motor}))
}

// leastWindows is how many windows a strip of the position reaches over at least, so that noise
// does not fill it.
const leastWindows = 6

func (s *strips) position(a page.Area) {
	if a.H() == 0 {
		return
	}
	low, high := s.run.extent(math.Inf(1), math.Inf(-1), positionMM)
	if s.Compared != nil {
		low, high = s.earlier.extent(low, high, positionMM)
	}
	if s.Truth {
		low, high = s.run.extent(low, high, loadMM)
	}
	if low > high {
		low, high = 0, 1
	}
	if least := max(leastWindows*s.windowMM(), 1e-3); high-low < least {
		middle := (low + high) / 2
		low, high = middle-least/2, middle+least/2
	}
	decimals := 0
	if high-low < 20 {
		decimals = 2
	}
	s.frame(a, low, high, decimals, "load", "mm")
	plot := a.Sub(gutter, 0, s.w, a.H())
	layers := []layer{
		{s.earlier, positionMM, dotted, s.earlierTag(), page.Earlier},
		{s.nominal, positionMM, dashed, tagNominal, page.Nominal},
	}
	if s.Truth && s.run.differ(positionMM, loadMM, (high-low)/float64(4*a.H())) {
		layers = append(layers, layer{s.run, loadMM, solid, tagLoad, page.Truth})
	}
	s.layers(plot, low, high, append(layers, layer{s.run, positionMM, solid, tagPosition, page.Plain}))
}

// frame writes the ends of the scale and the name, and draws the cursor behind the curves.
func (s *strips) frame(a page.Area, low, high float64, decimals int, name, unit string) {
	last := a.H() - 1
	for fixed(high, gutter-1, decimals) == fixed(low, gutter-1, decimals) && decimals < gutter-2 {
		decimals++
	}
	top, bottom := fixed(high, gutter-1, decimals), fixed(low, gutter-1, decimals)
	if bottom == top { // figures cannot tell them maxGap
		bottom = ""
	}
	switch {
	case last == 0:
		top = left(name, gutter-1)
	case last > 1:
		a.Text(0, 1, page.Plain, left(name, gutter-1))
	}
	if last > 2 {
		a.Text(0, 2, page.Faint, left(unit, gutter-1))
	}
	a.Text(0, 0, page.Faint, top)
	if last > 0 {
		a.Text(0, last, page.Faint, bottom)
	}
	if top = strings.TrimLeft(top, " ") + " " + unit; last == 1 && page.Width(top) < gutter {
		a.Text(0, 0, page.Faint, left(top, gutter-1))
	}
	for y := range a.H() {
		a.Set(gutter-1, y, '▏', page.Faint)
	}
	if x, ok := s.column(s.nowS); ok && !s.AtHead {
		a.VLine(gutter+x, 0, a.H(), page.Faint)
	}
}

func (s *strips) zero(a page.Area, low, high float64) {
	if low >= 0 || high <= 0 {
		return
	}
	y := newPlot(a.W(), a.H(), 0, 1, low, high).row(0) / 4
	for x := 1; x < a.W(); x += 3 {
		a.Set(x, y, '·', page.Faint)
	}
}

// layer is one curve.
type layer struct {
	of     *data
	q      int
	on     line
	letter rune
	role   page.Role
}

// layers draws curves one over the other, and their letters over all of them, that of the
// uppermost first.
func (s *strips) layers(a page.Area, low, high float64, list []layer) {
	for _, l := range list {
		p := newPlot(a.W(), a.H(), 0, 1, low, high)
		p.curve(l.of, l.q, l.on)
		p.draw(a, l.role)
	}
	ends := newLetters(a)
	for i := range list {
		l := &list[len(list)-1-i]
		ends.put(l.of, l.q, low, high, l.letter, l.role)
	}
	s.drawn = append(s.drawn, ends.drawn...)
}

// states writes the names of the states from boundary to boundary.
func (s *strips) states(a page.Area) {
	a.Text(0, 0, page.Plain, left("state", gutter-1))
	row := a.Sub(gutter, 0, s.w, 1)
	row.HLine(0, 0, s.lastColumn()+1, page.Faint)
	all := past{s.Samples, s.Blocks}
	first := at(all.samples, s.fromS)
	last := first + len(between(all.samples, s.fromS, s.toS))
	for i := first; i < last; {
		next, toS := all.stateEnd(i, last), s.toS
		if next < last {
			toS = all.samples[next].TS
		}
		s.state(row, all.samples[i], toS)
		i = next
	}
}

// lastColumn is where the run ends in the strips.
func (s *strips) lastColumn() int {
	if x, ok := s.column(s.HeadS); ok {
		return x
	}
	return s.w - 1
}

func (s *strips) state(a page.Area, first history.Sample, toS float64) {
	x, ok := s.column(first.TS)
	if !ok {
		return
	}
	end, ok := s.column(toS)
	if !ok || toS == s.toS {
		end = s.lastColumn() + 1
	}
	role := page.Plain
	if first.State == s.View.State && s.past(first.TS) {
		role = page.Strong
	}
	a.Set(x, 0, '▸', page.Plain)
	if name := s.stateName(first.State); end-x > 3 {
		a.Text(x+1, 0, role, page.Cut(name, end-x-1))
	}
}

// marks writes the ends of the time and puts what happened between them.
func (s *strips) marks(a page.Area) {
	a.Text(0, 0, page.Faint, left("s", gutter-1))
	row := a.Sub(gutter, 0, s.w, 1)
	from, to := strings.TrimLeft(fixed(s.fromS, 12, 3), " "), strings.TrimLeft(s.counted(s.toS, 12), " ")
	taken := make([]bool, s.w)
	for i := range s.Events {
		sign, role := kindSign(s.Events[i].Kind)
		if k := s.Events[i].Kind; k != sim.KindFault && k != sim.KindJudge && k != sim.KindObligation {
			continue
		}
		if x, ok := s.column(s.Events[i].TS); ok {
			row.Set(x, 0, sign, role)
			taken[x] = true
		}
	}
	if at, ok := s.firstMark(); ok {
		if x, ok := s.column(at); ok {
			row.Set(x, 0, '≠', page.Setpoint)
			taken[x] = true
		}
	}
	now, nowAt := s.nowMark()
	for x := max(nowAt-1, 0); now != "" && x < min(nowAt+page.Width(now)+1, s.w); x++ {
		taken[x] = true
	}
	for _, end := range []struct {
		x    int
		text string
	}{{1, from}, {s.w - page.Width(to) - 1, to}} {
		if end.x > 0 && !slices.Contains(taken[min(end.x, s.w):min(end.x+page.Width(end.text), s.w)], true) {
			row.Text(end.x, 0, page.Faint, end.text)
		}
	}
	row.Text(nowAt, 0, page.Strong, now)
}

// nowMark is the time of the cursor and its column, empty where it is not in the strips or at the end of the run.
func (s *strips) nowMark() (text string, x int) {
	x, ok := s.column(s.nowS)
	if !ok || s.AtHead {
		return "", 0
	}
	text = strings.TrimLeft(fixed(s.nowS, 12, 3), " ")
	return text, min(max(x-page.Width(text)/2, 0), s.w-page.Width(text))
}

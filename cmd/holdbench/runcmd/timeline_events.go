package runcmd

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/sim"
)

// eventColumn is one column of figures beside the events.
type eventColumn struct {
	width      int
	name, unit string // the two lines of its heading
	wide       bool   // only where there is room
	ofPlant    bool   // a true value, not an input of the sequence
	text       func(v *timeline, s *sim.Snapshot) string
	rightFlush bool
}

const barCells = 8

// eventColumns is the table of columns: inputs of the sequence, then the true values.
func eventColumns() []eventColumn {
	return []eventColumn{
		{width: 6, name: "torque", unit: "N·m", wide: true, rightFlush: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(s.TorqueNM, 6, 2, true)
		}},
		{width: 8, name: "at", unit: "mm", wide: true, rightFlush: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(s.PositionMM, 8, 2, false)
		}},
		{width: 6, name: "brake", unit: "", wide: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return openOrClosed(s.BrakeClosed)
		}},
		{width: 6, name: "motor", unit: "N·m", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(s.MotorTorqueNM, 6, 2, true)
		}},
		{width: barCells, name: "brake", unit: "carries", ofPlant: true, text: (*timeline).carrying},
		{width: 5, name: "", unit: "N·m", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(carriedNM(s), 5, 2, false)
		}},
		{width: 8, name: "load at", unit: "mm", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(s.LoadMM, 8, 2, false)
		}},
		{width: 5, name: "drop", unit: "mm", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(s.DropMM, 5, 2, false)
		}},
	}
}

func openOrClosed(closed bool) string {
	if closed {
		return "closed"
	}
	return "open"
}

// carriedNM is the torque that the brakes carry, of two the sum. Once a severed transmission has
// made two bodies of the axis, it is that of the brake on the load.
func carriedNM(s *sim.Snapshot) float64 {
	switch {
	case s.Second == nil:
		return math.Abs(s.BrakeTorqueNM)
	case s.Second.Apart:
		return math.Abs(s.Second.TorqueNM)
	}
	return math.Abs(s.BrakeTorqueNM + s.Second.TorqueNM)
}

// carrying draws the brake torque over the capacity at that moment, of two brakes side by side.
func (v *timeline) carrying(s *sim.Snapshot) string {
	first := sim.BrakeSnapshot{TorqueNM: s.BrakeTorqueNM, CapacityNM: s.CapacityNM, Engagement: s.Engagement}
	if s.Second == nil {
		return v.carriedBy(&first, barCells, "open")
	}
	const each = (barCells - 1) / 2
	return page.Pad(v.carriedBy(&first, each, "-")+" "+v.carriedBy(s.Second, each, "-"), barCells)
}

func (v *timeline) carriedBy(b *sim.BrakeSnapshot, cells int, open string) string {
	if b.Engagement == 0 || b.CapacityNM <= 0 {
		return page.Pad(open, cells)
	}
	share := math.Abs(b.TorqueNM) / b.CapacityNM
	style := v.Style.Plant
	if share >= 0.999 {
		style = v.Style.Bad
	}
	return style.Render(v.Bar(share, cells))
}

// columnsShown are those that fit the width.
func (v *timeline) columnsShown() []eventColumn {
	var list []eventColumn
	for _, c := range eventColumns() {
		if !c.wide || v.Width >= 110 {
			list = append(list, c)
		}
	}
	return list
}

const (
	timeWidth = 8
	kindWidth = 8
)

// wordsWidth is the width left for the description.
func (v *timeline) wordsWidth(columns []eventColumn) int {
	left := v.Width - timeWidth - 3 - kindWidth - 1
	for _, c := range columns {
		left -= c.width + 1
	}
	return left
}

func (v *timeline) events() {
	columns := v.columnsShown()
	words := v.wordsWidth(columns)
	v.Line()
	v.eventHeading(columns, words)
	folded := v.result.EventsFolded
	for i := range v.result.Events {
		if folded != nil && v.result.Events[i].TS >= folded.FromS {
			v.Put(page.Paragraph(foldedText(folded), "   ", v.Width))
			folded = nil
		}
		v.event(&v.result.Events[i], columns, words)
	}
}

// foldedText is what was left out of the events.
func foldedText(f *sim.Folded) string {
	return fmt.Sprintf("%s from %s to %s left out: there are more than a run keeps; of each kind, state and cause the first and the last are listed",
		page.Count(f.Events, "event", "events"), page.Seconds(f.FromS), page.Seconds(f.ToS))
}

// eventHeading names the columns and their units below a line for their origin.
func (v *timeline) eventHeading(columns []eventColumn, words int) {
	margin := timeWidth + 3 + kindWidth + 1 + words
	names := []string{page.Pad(page.PadLeft("time", timeWidth), margin)}
	units := []string{page.Pad(page.PadLeft("s", timeWidth), margin)}
	for _, c := range columns {
		put := page.Pad
		if c.rightFlush {
			put = page.PadLeft
		}
		names, units = append(names, put(c.name, c.width)), append(units, put(c.unit, c.width))
	}
	v.Line(page.Pad("", margin), v.sideHeading(columns, false, "sequence inputs"), v.sideHeading(columns, true, "true values"))
	for _, row := range [][]string{names, units} {
		v.Line(v.Style.Faint.Render(v.Plain(strings.TrimRight(strings.Join(row, " "), " "))))
	}
}

// sideHeading spans the columns of one side.
func (v *timeline) sideHeading(columns []eventColumn, ofPlant bool, name string) string {
	width := 0
	for _, c := range columns {
		if c.ofPlant == ofPlant {
			width += c.width + 1
		}
	}
	if width == 0 {
		return ""
	}
	style := v.Style.Sequence
	if ofPlant {
		style = v.Style.Plant
	}
	rule := strings.Repeat(v.Signs().Rule, max(0, width-2-len(name)))
	return " " + style.Render(name+" "+rule)
}

// kindSign is the sign of a kind of event.
func kindSign(s *page.Screen, kind string) string {
	signs := map[string]string{
		sim.KindState: "▸", sim.KindOperator: "◇", sim.KindFault: "▲", sim.KindJudge: "§", sim.KindSafety: "◆", sim.KindBrake: "▮",
		sim.KindDrive: "~", sim.KindTruth: "•", sim.KindObligation: "✗", sim.KindEnd: "■",
	}
	if s.ASCII {
		signs = map[string]string{
			sim.KindState: ">", sim.KindOperator: "o", sim.KindFault: "^", sim.KindJudge: "?", sim.KindSafety: "S", sim.KindBrake: "=",
			sim.KindDrive: "~", sim.KindTruth: "!", sim.KindObligation: "x", sim.KindEnd: "|",
		}
	}
	return signs[kind]
}

// event prints one event, and the deviations of the inputs from the true values.
func (v *timeline) event(e *sim.Event, columns []eventColumn, words int) {
	word, what, style := v.eventWords(e)
	lines := page.Wrap(v.Plain(page.CleanLine(what)), words)
	row := []string{
		page.FitNumber(e.TS, timeWidth, 3, false), style.Render(kindSign(v.Screen, e.Kind)),
		style.Render(page.Pad(word, kindWidth)), style.Render(page.Pad(lines[0], words)),
	}
	for _, c := range columns {
		text := c.text(v, &e.Snapshot)
		if !c.ofPlant && e.TS == 0 {
			text = page.PadLeft("-", c.width) // nothing has been read yet
		}
		row = append(row, page.Pad(text, c.width))
	}
	v.Line(strings.Join(row, " "))
	margin := page.Pad("", timeWidth+3+kindWidth+1)
	for _, more := range lines[1:] {
		v.Line(margin, style.Render(more))
	}
	v.note(e, margin)
	v.deviation(e, margin)
}

// note prints the purpose of the state that was just entered.
func (v *timeline) note(e *sim.Event, margin string) {
	if !v.notes || e.Kind != "state" {
		return
	}
	i, ok := v.ready.Sequence.StateIndex(e.Snapshot.State)
	if !ok {
		return
	}
	note := v.Plain(page.CleanLine(v.ready.Sequence.States[i].Note))
	if note == "" {
		return
	}
	for _, text := range page.Wrap(note, v.Width-page.Cells(margin)) {
		v.Line(margin, v.Style.Faint.Render(text))
	}
}

// deviations are the inputs that differ from the true values.
type deviations struct{ brake, position, torque bool }

// deviation prints the inputs that differ from the true values: when they change, and with new
// figures at every decision.
func (v *timeline) deviation(e *sim.Event, margin string) {
	if !isDecision(e.Kind) {
		return
	}
	wrong, apart := v.deviating(&e.Snapshot)
	if wrong == v.wrong && (e.Kind == "state" || apart == v.belief) {
		return
	}
	v.belief, v.wrong = apart, wrong
	if apart == "" {
		apart = "the inputs agree with the plant again"
	}
	head := page.Pad("", timeWidth+1) + v.Style.Warning.Render(v.Signs().Unlike+" "+page.Pad("input", kindWidth)) + " "
	for _, text := range page.Wrap(v.Plain(apart), v.Width-page.Cells(margin)) {
		v.Line(head, v.Style.Warning.Render(text))
		head = margin
	}
}

// isDecision are the kinds of events at which deviations are printed again.
func isDecision(kind string) bool {
	switch kind {
	case "state", "judge", "truth", "end":
		return true
	}
	return false
}

// eventWords are the kind, the description and the style of an event. Of a state only its name is
// shown: the previous one stands above.
func (v *timeline) eventWords(e *sim.Event) (word, what string, style lipgloss.Style) {
	plainStyle := lipgloss.NewStyle()
	switch e.Kind {
	case "state":
		if !e.EntersState() {
			return e.Kind, e.What, v.Style.Bad
		}
		return e.Kind, e.Entered(), v.Style.Strong
	case "fault":
		return e.Kind, e.What, v.Style.Warning
	case "truth":
		return e.Kind, e.What, v.Style.Bad
	case "obligation":
		return "broken", e.Subject, v.Style.Bad // the details have a part of their own
	case "end":
		return e.Kind, e.What, v.Style.Strong
	}
	return e.Kind, e.What, plainStyle
}

// deviating lists the inputs that differ from the true values, empty if there are none.
func (v *timeline) deviating(s *sim.Snapshot) (deviations, string) {
	wrong := deviations{
		brake:    s.BrakeClosed && s.Engagement == 0 || !s.BrakeClosed && s.Engagement == 1,
		position: math.Abs(s.PositionMM-s.LoadMM) > v.positionSlack(),
		torque:   math.Abs(s.TorqueNM-s.MotorTorqueNM) > v.torqueSlack(),
	}
	var parts []string
	if wrong.brake {
		parts = append(parts, "brake read as "+openOrClosed(s.BrakeClosed)+", actually "+openOrClosed(!s.BrakeClosed))
	}
	if b := s.Second; b != nil && (s.Brake2Closed && b.Engagement == 0 || !s.Brake2Closed && b.Engagement == 1) {
		wrong.brake = true
		parts = append(parts, "brake 2 read as "+openOrClosed(s.Brake2Closed)+", actually "+openOrClosed(!s.Brake2Closed))
	}
	if wrong.position {
		parts = append(parts, fmt.Sprintf("position read as %.2f mm, actually %.2f mm", s.PositionMM, s.LoadMM))
	}
	if wrong.torque {
		parts = append(parts, fmt.Sprintf("torque read as %+.2f N·m, actually %+.2f N·m", s.TorqueNM, s.MotorTorqueNM))
	}
	return wrong, strings.Join(parts, "; ")
}

// positionSlack is the difference that is no deviation: several times the noise and the rounding
// of the encoder, and a tenth of a millimetre, as an input is one tick old.
func (v *timeline) positionSlack() float64 {
	r := &v.ready.Rig
	perDeg := plant.Derive(r).MMPerRad * radPerDeg
	return 0.1 + perDeg*(5*r.Encoder.NoiseDeg+360/r.Encoder.IncrementsPerTurn)
}

// torqueSlack is a tenth of the load torque, or several times the noise of the current.
func (v *timeline) torqueSlack() float64 {
	r := &v.ready.Rig
	return max(0.1*plant.Derive(r).LoadTorqueNM, 5*r.Drive.CurrentNoiseRMSA*r.Motor.TorqueConstant)
}

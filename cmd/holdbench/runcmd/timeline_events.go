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
	ofPlant    bool   // what the plant knows, not what the sequence reads
	text       func(v *timeline, s *sim.Snapshot) string
	rightFlush bool
}

const barCells = 8

// eventColumns is the table of columns. The first ones are what the sequence reads,
// the others what is true.
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
		{width: barCells, name: "brake", unit: "bears", ofPlant: true, text: (*timeline).bearing},
		{width: 5, name: "", unit: "N·m", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(math.Abs(s.BrakeTorqueNM), 5, 2, false)
		}},
		{width: 8, name: "load at", unit: "mm", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
			return page.FitNumber(s.LoadMM, 8, 2, false)
		}},
		{width: 5, name: "sunk", unit: "mm", rightFlush: true, ofPlant: true, text: func(_ *timeline, s *sim.Snapshot) string {
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

// bearing draws what the brake bears of its capacity at that moment.
func (v *timeline) bearing(s *sim.Snapshot) string {
	if s.Engagement == 0 || s.CapacityNM <= 0 {
		return page.Pad("open", barCells)
	}
	share := math.Abs(s.BrakeTorqueNM) / s.CapacityNM
	style := v.Style.Plant
	if share >= 0.999 {
		style = v.Style.Bad
	}
	return style.Render(v.Bar(share, barCells))
}

// columnsShown are those that the width has room for.
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

// wordsWidth is what is left for what happened.
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
	for i := range v.result.Events {
		v.event(&v.result.Events[i], columns, words)
	}
}

// eventHeading names the columns and their units below a line that says whose
// figures they are.
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
	v.Line(page.Pad("", margin), v.sideHeading(columns, false, "the sequence reads"), v.sideHeading(columns, true, "the plant knows"))
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
		sim.KindState: "▸", sim.KindOperator: "◇", sim.KindFault: "▲", sim.KindJudge: "§", sim.KindBrake: "▮",
		sim.KindDrive: "~", sim.KindTruth: "•", sim.KindObligation: "✗", sim.KindEnd: "■",
	}
	if s.ASCII {
		signs = map[string]string{
			sim.KindState: ">", sim.KindOperator: "o", sim.KindFault: "^", sim.KindJudge: "?", sim.KindBrake: "=",
			sim.KindDrive: "~", sim.KindTruth: "!", sim.KindObligation: "x", sim.KindEnd: "|",
		}
	}
	return signs[kind]
}

// event prints one event, and where belief and truth part, that too.
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
	v.mistake(e, margin)
}

// note says what the state that was just entered is for.
func (v *timeline) note(e *sim.Event, margin string) {
	if !v.notes || e.Kind != "state" {
		return
	}
	i, ok := v.ready.Program.StateIndex(e.Snapshot.State)
	if !ok {
		return
	}
	note := v.Plain(page.CleanLine(v.ready.Program.States()[i].Note))
	if note == "" {
		return
	}
	for _, text := range page.Wrap(note, v.Width-page.Cells(margin)) {
		v.Line(margin, v.Style.Faint.Render(text))
	}
}

// mistakes are the things that the sequence can be mistaken about.
type mistakes struct{ brake, position, torque bool }

// mistake prints what the sequence is mistaken about: when that changes, and with new
// figures wherever something is decided.
func (v *timeline) mistake(e *sim.Event, margin string) {
	if !tellsBelief(e.Kind) {
		return
	}
	wrong, apart := v.apart(&e.Snapshot)
	if wrong == v.wrong && (e.Kind == "state" || apart == v.belief) {
		return
	}
	v.belief, v.wrong = apart, wrong
	if apart == "" {
		apart = "what the sequence reads is true again"
	}
	head := page.Pad("", timeWidth+1) + v.Style.Doubtful.Render(v.Signs().Unlike+" "+page.Pad("belief", kindWidth)) + " "
	for _, text := range page.Wrap(v.Plain(apart), v.Width-page.Cells(margin)) {
		v.Line(head, v.Style.Doubtful.Render(text))
		head = margin
	}
}

// tellsBelief are the kinds of events at which a mistake is worth a line.
func tellsBelief(kind string) bool {
	switch kind {
	case "state", "judge", "truth", "end":
		return true
	}
	return false
}

// eventWords are the kind, what happened and the look of an event. A state names
// only where it goes: where it comes from stands above.
func (v *timeline) eventWords(e *sim.Event) (word, what string, style lipgloss.Style) {
	plainStyle := lipgloss.NewStyle()
	switch e.Kind {
	case "state":
		return e.Kind, e.Entered(), v.Style.Strong
	case "fault":
		return e.Kind, e.What, v.Style.Doubtful
	case "truth":
		return e.Kind, e.What, v.Style.Bad
	case "obligation":
		return "broken", e.Subject, v.Style.Bad // the details have a part of their own
	case "end":
		return e.Kind, e.What, v.Style.Strong
	}
	return e.Kind, e.What, plainStyle
}

// apart says in which way the sequence is mistaken, empty if it is not.
func (v *timeline) apart(s *sim.Snapshot) (mistakes, string) {
	wrong := mistakes{
		brake:    s.BrakeClosed && s.Engagement == 0 || !s.BrakeClosed && s.Engagement == 1,
		position: math.Abs(s.PositionMM-s.LoadMM) > v.positionSlack(),
		torque:   math.Abs(s.TorqueNM-s.MotorTorqueNM) > v.torqueSlack(),
	}
	var parts []string
	if wrong.brake {
		parts = append(parts, "the brake reads "+openOrClosed(s.BrakeClosed)+" and is "+openOrClosed(!s.BrakeClosed))
	}
	if wrong.position {
		parts = append(parts, fmt.Sprintf("the load reads %.2f mm and is at %.2f mm", s.PositionMM, s.LoadMM))
	}
	if wrong.torque {
		parts = append(parts, fmt.Sprintf("the torque reads %+.2f N·m and is %+.2f N·m", s.TorqueNM, s.MotorTorqueNM))
	}
	return wrong, strings.Join(parts, "; ")
}

// positionSlack is the difference that is no mistake: noise and rounding of the
// encoder, a few times over, and a tenth of a millimetre, because what is read is a
// tick old.
func (v *timeline) positionSlack() float64 {
	r := &v.ready.Rig
	perDeg := plant.Derive(r).MMPerRad * radPerDeg
	return 0.1 + perDeg*(5*r.Encoder.NoiseDeg+360/r.Encoder.IncrementsPerTurn)
}

// torqueSlack is a tenth of the load's torque, or the noise of the current a few
// times over.
func (v *timeline) torqueSlack() float64 {
	r := &v.ready.Rig
	return max(0.1*plant.Derive(r).LoadTorqueNM, 5*r.Drive.CurrentNoiseRMSA*r.Motor.TorqueConstant)
}

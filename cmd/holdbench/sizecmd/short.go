package sizecmd

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/sizing"
)

// shortRows is how many lines the short page may have: a screen of 24 with a line for the prompt.
const shortRows = 23

// shortLines are the figures of the short page, by ID.
func shortLines() []string {
	return []string{
		"load_torque_nm", "test_position_mm", "required_test_torque_nm", "maximum_brake_nm", "deciding_factor",
		"required_down_nm", "required_up_nm", "press_down_nm", "press_up_nm", "ceiling_nm", "window_deg", "dwell_s", "deadline_s",
	}
}

// shortText is the sizing on one screen: what was found first, then the figures of the test.
func (v *sizePage) shortText() string {
	var figures []*sizing.Line
	for _, id := range shortLines() {
		if l, ok := v.result.Line(id); ok {
			figures = append(figures, &l)
		}
	}
	v.Line(v.cut(v.show(page.CleanLine(v.result.Rig)+", sequence "+page.CleanLine(v.ready.Sequence.Name)+v.setText()), v.Width))
	const others = 5 // title, two empty lines, two of the caution
	v.found(shortRows - len(figures) - others)
	v.Line()
	for _, l := range figures {
		v.shortFigure(l)
	}
	v.Line()
	v.Line("A simulation proves no machine safe; nobody stays under a raised load.")
	v.Line(v.Style.Faint.Render("Formulas, sources, values to set and further margins: without --short."))
	return v.String()
}

// cut is a text that ends with a mark where it is too long for a width.
func (v *sizePage) cut(text string, width int) string {
	if v.ASCII {
		return ansi.Truncate(text, width, "...")
	}
	return ansi.Truncate(text, width, "…")
}

// setText counts what is set on the command line.
func (v *sizePage) setText() string {
	switch n := len(v.ready.Scenario.Set); n {
	case 0:
		return ""
	case 1:
		return ", 1 value set"
	default:
		return fmt.Sprintf(", %d values set", n)
	}
}

type mark struct {
	style lipgloss.Style
	sign  string
	text  string
}

// found are what was found, one line each and the first rank first, within a number of lines.
func (v *sizePage) found(rows int) {
	marks := v.marks()
	if len(marks) == 0 {
		v.Line(v.Style.Good.Render(v.Signs().Good), " bounds are consistent; no margin is below its limit")
		return
	}
	shown := marks
	if len(marks) > rows {
		shown = marks[:rows-1]
	}
	spare := rows - len(marks)
	for _, m := range shown {
		spare = v.markLines(m, spare)
	}
	if rest := len(marks) - len(shown); rest > 0 {
		v.Line(v.Style.Warning.Render(fmt.Sprintf("! and %d more, see without --short", rest)))
	}
}

// markLines is one thing that was found, on a second line as well where one is to spare.
func (v *sizePage) markLines(m mark, spare int) (left int) {
	lines := page.Wrap(v.show(m.text), v.Width-page.Cells(m.sign))
	if len(lines) < 2 || spare < 1 {
		v.Line(m.style.Render(m.sign), v.cut(v.show(m.text), v.Width-page.Cells(m.sign)))
		return spare
	}
	v.Line(m.style.Render(m.sign), lines[0])
	v.Line(strings.Repeat(" ", page.Cells(m.sign)), v.cut(strings.Join(lines[1:], " "), v.Width-page.Cells(m.sign)))
	return spare - 1
}

// marks are all that was found, the first rank first.
func (v *sizePage) marks() []mark {
	r, bad := v.result, v.Signs().Bad
	var marks []mark
	for _, text := range r.Findings {
		marks = append(marks, mark{v.Style.Bad, bad + " finding  ", text})
	}
	for _, text := range r.Crossed {
		marks = append(marks, mark{v.Style.Bad, bad + " crossed  ", text})
	}
	for _, text := range r.Thin {
		marks = append(marks, mark{v.Style.Warning, "! check    ", text})
	}
	if len(r.Unfit) > 0 {
		marks = append(marks, mark{v.Style.Warning, bad + " set now  ", "unsuitable: " + strings.ReplaceAll(strings.Join(r.Unfit, ", "), "sequence.", "")})
	}
	return marks
}

// shortFigure is a figure on one line, with its present value if that is unsuitable, else its margin.
func (v *sizePage) shortFigure(l *sizing.Line) {
	head := page.Pad(v.show(l.Name), 22) + page.PadLeft(page.Figure(l.Value), 9) + " " + page.Pad(v.show(l.Unit), 4)
	text := ""
	switch {
	case l.Set != nil && !l.Set.Fits:
		text = fmt.Sprintf("%s now %s", v.Signs().Bad, page.Figure(l.Set.Value))
	case l.Margin != nil:
		text = fmt.Sprintf("%s to %s", roomText(l.Margin.Relative), strings.TrimSpace(page.Figure(l.Margin.Bound)+" "+l.Unit))
	case l.ID == "deciding_factor":
		text, _, _ = strings.Cut(l.Formula, ":")
	}
	v.Line(strings.TrimRight(head+" "+v.cut(v.show(text), v.Width-page.Cells(head)-1), " "))
}

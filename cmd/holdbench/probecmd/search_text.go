package probecmd

import (
	"strings"

	"holdbench/cmd/holdbench/internal/page"
)

// print shows the thresholds, a table for each fault.
func (s *search) print(v *sheet) {
	v.Section("mildest undetected severity")
	v.Prose(s.sums())
	if len(s.thresholds) == 0 {
		return
	}
	v.Prose(thresholdNote)
	for _, g := range s.groups() {
		v.Line()
		g.print(v)
	}
}

const roomCells = 6 // of the bar that shows the place on the scale

func (g *thresholdGroup) print(v *sheet) {
	v.hang(v.Style.Strong.Render(g.fault)+"  ", g.words())
	rows := []thresholdColumns{thresholdHeads()}
	state := page.Cells("state")
	for _, e := range g.thresholds {
		rows, state = append(rows, columnsOf(e)), max(state, page.Cells(stateWord(e.State)))
	}
	lines := g.lines(v, rows)
	state = min(state, page.Narrow-page.Cells(lines[0])-thresholdMargin)
	head := ""
	if v.Width >= page.Wide {
		head = "class, broken obligations"
	}
	faint := v.Style.Faint.Render
	printThreshold(v, "  ", faint("state"), state, faint(lines[0]), faint(head))
	for i, e := range g.thresholds {
		what := ""
		if v.Width >= page.Wide { // on narrow screens the signs must do
			what = strings.Join(append([]string{string(e.Class)}, e.Broken...), ", ")
		}
		printThreshold(v, v.sign(&e.Outcome)+" ", stateWord(e.State), state, lines[i+1], what)
	}
	e := g.mildest()
	v.Put(page.Paragraph(v.Plain(stateWord(e.State)+": "+outcomeWords(&e.Outcome)), "    ", v.Width))
	v.command(&e.Cell, "    ")
}

// thresholdMargin is what stands beside the state and the figures: a margin, a sign, gaps.
const thresholdMargin = 6

// lines lays the columns out; all lines are equally long.
func (g *thresholdGroup) lines(v *sheet, rows []thresholdColumns) []string {
	var widths [4]int
	for _, r := range rows {
		for i, text := range []string{r.Wrong, r.Fine, r.Room, r.Times} {
			widths[i] = max(widths[i], page.Cells(text))
		}
	}
	lines := make([]string, len(rows))
	for i, r := range rows {
		bar := strings.Repeat(" ", roomCells)
		if i > 0 {
			bar = v.Bar(g.thresholds[i-1].Share, roomCells)
		}
		lines[i] = strings.Join([]string{page.Pad(r.Wrong, widths[0]), page.Pad(r.Fine, widths[1]), bar + page.PadLeft(r.Room, widths[2]+1), page.PadLeft(r.Times, widths[3])}, "  ")
	}
	return lines
}

// printThreshold prints a state and its figures; where the name is too long they go below it.
func printThreshold(v *sheet, sign, name string, state int, figures, what string) {
	head := "  " + sign + page.Pad(name, state) + "  "
	if page.Cells(name) > state {
		v.Line("  ", sign, name)
		head = strings.Repeat(" ", thresholdMargin+state)
	}
	if what == "" {
		v.Line(head, figures)
		return
	}
	v.hang(head+figures+"  ", what)
}

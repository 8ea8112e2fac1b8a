package probecmd

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

// sheet is what the pages of a probe are written on.
type sheet struct {
	page.Sheet
	full int // columns of the screen; prose keeps to fewer
	plan *plan
}

func newSheet(s *page.Screen, p *plan) *sheet {
	prose := *s
	prose.Width = min(s.Width, page.Wide)
	return &sheet{Sheet: page.NewSheet(&prose), full: s.Width, plan: p}
}

// heading is what was probed.
func (v *sheet) heading(r *report) {
	v.unsound(r.plan)
	v.Line(v.Style.Strong.Render("probe of " + page.CleanLine(r.found.Scenario)))
	v.Line(v.Style.Faint.Render(r.documents()))
	v.Prose(r.extent())
	if r.nominal.Sound() {
		v.Prose(nominalWords(r.nominal))
	}
	if r.nominal.Untold {
		v.Prose(timedWords)
	}
	if r.options.Pairs {
		v.Prose(planWords(r.found.Plan))
	}
}

// command prints the command of a cell.
func (v *sheet) command(c *probe.Cell, margin string) {
	v.Put(page.BreakCommand(v.plan.commandParts(c), margin, v.Width))
}

// hang prints text that goes on behind a head.
func (v *sheet) hang(head, text string) {
	margin := strings.Repeat(" ", page.Cells(head))
	v.Put(head + strings.TrimPrefix(page.Paragraph(v.Plain(text), margin, v.Width), margin))
}

// names prints as many names as fit on two lines and counts the rest.
func (v *sheet) names(head string, names []string) {
	room := v.Width - page.Cells(head)
	for shown := min(len(names), v.Width); ; shown-- { // more never fit
		text := strings.Join(names[:shown], ", ")
		if shown < len(names) {
			text += fmt.Sprintf(" and %d more", len(names)-shown)
		}
		if shown == 1 || len(page.Wrap(text, room)) <= 2 {
			v.hang(v.Style.Faint.Render(head), text)
			return
		}
	}
}

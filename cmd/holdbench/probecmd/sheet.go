package probecmd

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"

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
	v.Line(v.Style.Strong.Render("probe of " + page.CleanLine(r.found.Scenario)))
	v.Line(v.Style.Faint.Render(r.documents()))
	v.Prose(r.extent())
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

// tone is the colour that goes with a sign.
func (v *sheet) tone(kind probe.Kind, excused bool) lipgloss.Style {
	switch {
	case kind == probe.Fine:
		return v.Style.Faint
	case excused:
		return v.Style.Plant
	case kind == probe.FalseAlarm:
		return v.Style.Warning
	}
	return v.Style.Bad
}

// sign is the coloured sign of an outcome.
func (v *sheet) sign(o *probe.Outcome) string {
	sign := lookOf(o.Kind).signFor(o.Excused())
	if v.ASCII && o.Kind == probe.Fine {
		sign = "."
	}
	return v.tone(o.Kind, o.Excused()).Render(sign)
}

// legend explains the signs.
func (v *sheet) legend(blank string) {
	for _, l := range kindLooks() {
		sign := v.sign(&probe.Outcome{Kind: l.kind})
		v.hang(fmt.Sprintf("%s  %s ", sign, page.Pad(string(l.kind), len(probe.FalseAlarm))), l.what)
	}
	v.hang(v.tone(probe.Missed, true).Render(excusedSigns())+"  ", excusedWhat)
	v.hang("blank      ", blank)
}

package screens

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim/training"
)

// Draw draws the part; nothing while one looks.
func (b *Blind) Draw(a page.Area) {
	switch b.part {
	case blindLooks:
		return
	case blindOpens, blindDraws:
		in := b.frame(a, "find a fault unseen")
		b.drawOpening(in)
	case blindReveals:
		in := b.frame(a, fmt.Sprintf("riddle %d: the answer", b.riddle.Seed))
		drawPassages(in, -b.scroll, b.revelation())
	default:
		title := "what is the cause?"
		if b.part == blindRemedy {
			title = "what is the remedy?"
		}
		b.drawChoices(b.frame(a, title))
	}
}

func (b *Blind) drawOpening(a page.Area) {
	y := drawPassages(a, 0, []passage{
		{page.Plain, 0, fmt.Sprintf("A fault is drawn on rig %s with sequence %s. What only the plant knows is hidden. Look at the run, run it again, "+
			"change values, lay the nominal run behind it; then name the cause and the remedy. Three more runs are free, each one beyond costs a point.",
			b.c.Rig.Rig, b.c.Program.Name())}, {},
		{page.Caution, 0, "! " + caution.Whole}, {},
		{page.Plain, 0, "The same seed draws the same fault for everybody."},
	})
	x := a.Text(0, y+1, page.Strong, "seed ")
	b.seed.draw(a.Sub(x, y+1, 20, 1), b.part == blindOpens)
	switch {
	case b.part == blindDraws:
		a.Text(0, y+3, page.Faint, "drawing …")
	case b.wrong != "":
		a.Wrap(0, y+3, page.Bad, "✗ "+b.wrong)
	}
}

func (b *Blind) drawChoices(a page.Area) {
	list, at := b.choices()
	y := 0
	for i, c := range list {
		role, sign := page.Plain, "  "
		if i == *at {
			role, sign = page.Chosen, "› "
		}
		a.Text(0, y, role, sign+c.Name)
		y++
		y += a.Sub(4, 0, a.W()-4, a.H()).Wrap(0, y, page.Faint, c.Text)
	}
}

// revelation is the answer: what it was, what the answer was worth, and what gave it away.
func (b *Blind) revelation() []passage {
	r := b.riddle
	when := "from the start"
	if r.When.State != "" {
		when = fmt.Sprintf("%v after state %s was entered", r.When.After, r.When.State)
	}
	list := []passage{
		{page.Fault, 0, "▲ " + r.Fault.Name + ", " + when}, {page.Plain, 2, r.Fault.What},
		{page.Faint, 2, setText(r)}, {},
	}
	list = append(list, b.points()...)
	list = append(list, passage{page.Heading, 0, "what gave it away"})
	for i, c := range r.Clues {
		if i == mostClues || c.Follows {
			break
		}
		list = append(list, passage{page.Plain, 2, c.Says})
	}
	return append(list, passage{page.Faint, 2, r.Fault.DetectedBy}, passage{}, passage{page.Caution, 0, "! " + caution.Whole})
}

// mostClues are enough: what comes later follows from the first.
const mostClues = 4

func (b *Blind) points() []passage {
	if b.score == nil {
		return []passage{{page.Strong, 0, "given up: no points"}, {}}
	}
	s := b.score
	return []passage{
		{page.Strong, 0, fmt.Sprintf("%d of %d points", s.Total, training.MostPoints)},
		{verdictRole(s.Cause), 2, fmt.Sprintf("cause %d: %s", s.Cause, s.CauseSays)},
		{verdictRole(s.Remedy), 2, fmt.Sprintf("remedy %d: %s", s.Remedy, s.RemedySays)},
		{page.Plain, 2, fmt.Sprintf("looks −%d: %s", s.Probes, s.ProbesSays)}, {},
	}
}

func verdictRole(points int) page.Role {
	if points > 0 {
		return page.Good
	}
	return page.Bad
}

// setText is what the fault changed.
func setText(r *training.Riddle) string {
	var parts []string
	for _, f := range r.Case.Scenario.Faults {
		for _, key := range slices.Sorted(maps.Keys(f.Set)) {
			parts = append(parts, key+" = "+f.Set[key])
		}
	}
	return strings.Join(parts, ", ")
}

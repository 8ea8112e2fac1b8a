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

// Draw draws the part; nothing while the run is examined.
func (r *riddleScreen) Draw(a page.Area) {
	switch r.part {
	case riddleLooks:
		return
	case riddleOpens, riddleDraws:
		in := r.frame(a, "Find the fault")
		r.drawOpening(in)
	case riddleReveals:
		in := r.frame(a, fmt.Sprintf("riddle %d: the answer", r.riddle.Seed))
		drawPassages(in, -r.scroll, r.revelation())
	default:
		title := "what is the cause?"
		if r.part == riddleRemedy {
			title = "what is the remedy?"
		}
		r.drawChoices(r.frame(a, title))
	}
}

func (r *riddleScreen) drawOpening(a page.Area) {
	y := drawPassages(a, 0, []passage{
		{page.Plain, 0, fmt.Sprintf("A fault is drawn at random for rig %s with %s. The truth is hidden. Examine the run, run it again, "+
			"change values, show the nominal run behind it; then name the cause and the remedy. Three further runs are free, each one after that costs a point.",
			r.c.Rig.Rig, r.c.Sequence.Title())}, {},
		{page.Caution, 0, "! " + caution.Whole}, {},
		{page.Plain, 0, "The same seed draws the same fault for everybody."},
	})
	x := a.Text(0, y+1, page.Strong, "seed ")
	r.seed.draw(a.Sub(x, y+1, 20, 1), r.part == riddleOpens)
	switch {
	case r.part == riddleDraws:
		a.Text(0, y+3, page.Faint, "drawing a fault …")
	case r.wrong != "":
		a.Wrap(0, y+3, page.Bad, "✗ "+r.wrong)
	}
}

func (r *riddleScreen) drawChoices(a page.Area) {
	list, at := r.choices()
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

// revelation is the answer: the fault, the points, and the clues.
func (r *riddleScreen) revelation() []passage {
	answer := r.riddle
	when := "from the start"
	if answer.When.State != "" {
		when = fmt.Sprintf("%v after state %s was entered", answer.When.After, answer.When.State)
	}
	list := []passage{
		{page.Fault, 0, "▲ " + answer.Fault.Name + ", " + when}, {page.Plain, 2, answer.Fault.What},
		{page.Faint, 2, setText(answer)}, {},
	}
	list = append(list, r.points()...)
	list = append(list, passage{page.Heading, 0, "the clues"})
	for i, c := range answer.Clues {
		if i == mostClues || c.AfterDivergence {
			break
		}
		list = append(list, passage{page.Plain, 2, c.Text})
	}
	return append(list, passage{page.Faint, 2, answer.Fault.DetectedBy}, passage{}, passage{page.Caution, 0, "! " + caution.Whole})
}

// mostClues are enough: what comes later follows from the first.
const mostClues = 4

func (r *riddleScreen) points() []passage {
	if r.score == nil {
		return []passage{{page.Strong, 0, "aborted: no points"}, {}}
	}
	s := r.score
	return []passage{
		{page.Strong, 0, fmt.Sprintf("%d of %d points", s.Total, training.MaxPoints)},
		{verdictRole(s.Cause), 2, fmt.Sprintf("cause %d: %s", s.Cause, s.CauseText)},
		{verdictRole(s.Remedy), 2, fmt.Sprintf("remedy %d: %s", s.Remedy, s.RemedyText)},
		{page.Plain, 2, fmt.Sprintf("looks −%d: %s", s.LookPenalty, s.LooksText)}, {},
	}
}

func verdictRole(points int) page.Role {
	if points > 0 {
		return page.Good
	}
	return page.Bad
}

// setText is what the fault sets.
func setText(r *training.Riddle) string {
	var parts []string
	for _, f := range r.Case.Scenario.Faults {
		for _, key := range slices.Sorted(maps.Keys(f.Set)) {
			parts = append(parts, key+" = "+f.Set[key])
		}
	}
	return strings.Join(parts, ", ")
}

package screens

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/sim/catalogue"
	"holdbench/sim/training"
)

// Draw draws the part; nothing while the run is examined.
func (r *riddleScreen) Draw(a page.Area) {
	switch r.part {
	case riddleLooks, riddleShows:
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
			title = "what is the remedy for " + r.riddle.Causes[r.cause].Name + "?"
		}
		r.drawChoices(r.frame(a, title))
	}
}

func (r *riddleScreen) drawOpening(a page.Area) {
	y := drawPassages(a, 0, []passage{
		{page.Plain, 0, fmt.Sprintf("A fault is drawn at random for rig %s with %s. The truth is hidden. Examine the run, run it again, "+
			"change values, show the nominal run behind it; then name the cause and the remedy. %d looks are free, each one after that costs a point: a look is a run with other values, or the nominal run, once, behind it or compared with it.",
			r.c.Rig.Rig, r.c.Sequence.Title(), training.FreeLooks)}, {},
		{page.Caution, 0, "! " + caution.Whole}, {},
	})
	for i, row := range training.Levels() {
		role, sign := page.Plain, "  "
		if i == r.level {
			role, sign = page.Chosen, "› "
		}
		x := a.Text(0, y, role, fmt.Sprintf("%s%-7s", sign, row.Level))
		y += max(1, a.Sub(x+1, 0, a.W()-x-1, a.H()).Wrap(0, y, page.Plain, row.Text))
	}
	x := a.Text(0, y+1, page.Strong, "seed ")
	r.seed.draw(a.Sub(x, y+1, 20, 1), r.part == riddleOpens)
	switch {
	case r.part == riddleDraws:
		a.Text(0, y+2, page.Faint, "drawing a fault …")
		a.Wrap(0, y+3, page.Caution, r.wrong)
	case r.wrong != "":
		a.Wrap(0, y+2, page.Bad, "✗ "+r.wrong)
	default:
		a.Wrap(0, y+2, page.Faint, "The same level and seed draw the same fault for everybody.")
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

// revelation is the answer: the faults, the points, how they are to be seen, and what speaks against the other causes.
func (r *riddleScreen) revelation() []passage {
	answer := r.riddle
	var list []passage
	for _, f := range answer.Truth {
		when := "from the start"
		if f.When.State != "" {
			when = fmt.Sprintf("%s after state %s was entered", spanText(f.When.After), f.When.State)
		}
		list = append(list, passage{page.Fault, 0, "▲ " + f.Entry.Name + ", " + when}, passage{page.Plain, 2, f.Entry.What})
	}
	list = append(list, passage{page.Faint, 2, setText(answer)}, passage{})
	list = append(list, r.points()...)
	if r.kept.text != "" {
		list = append(list, r.kept, passage{})
	}
	list = append(list, r.seen()...)
	list = append(list, passage{}, passage{page.Heading, 0, "the wrong causes, each with the key that runs it"})
	for i, c := range r.wrongCauses() {
		name := fmt.Sprintf("%d  %s", i+1, c.Name)
		if i == 0 && r.score != nil && r.riddle.Causes[r.cause].Case != nil {
			name += ", your answer"
		}
		list = append(list, passage{page.Strong, 2, name}, passage{page.Plain, 5, c.Why})
	}
	list = append(list, passage{}, passage{page.Heading, 0, "who found it"})
	for _, text := range answer.FoundText() {
		list = append(list, passage{page.Plain, 2, text})
	}
	list = append(list, passage{}, passage{page.Heading, 0, "what can find it"}, passage{page.Faint, 2, answer.Truth.DetectedBy()})
	return append(list, passage{}, passage{page.Caution, 0, "! " + caution.Whole})
}

// spanText is a time with a space before its unit.
func spanText(d time.Duration) string {
	if d < time.Second {
		return strconv.FormatFloat(float64(d)/float64(time.Millisecond), 'g', 4, 64) + " ms"
	}
	return strconv.FormatFloat(d.Seconds(), 'g', 4, 64) + " s"
}

// seen is by which signals the faults are to be seen.
func (r *riddleScreen) seen() []passage {
	answer := r.riddle
	list := []passage{
		{page.Heading, 0, "the clues"},
		{page.Plain, 2, answer.Visible.Text("in the nominal run", "in this run")},
	}
	for i := range answer.Beyond {
		list = append(list, passage{page.Plain, 2, answer.Beyond[i].Text("with "+answer.Truth[i].Entry.Name+" alone", "in this run")})
	}
	for i, c := range answer.Clues {
		if i == mostClues || c.AfterDivergence {
			break
		}
		if c.Signal != answer.Visible.Signal {
			list = append(list, passage{page.Plain, 2, c.Text})
		}
	}
	return list
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
		{verdictRole(s.Cause), 2, fmt.Sprintf("cause, %d of %d points. %s", s.Cause, training.CausePoints, s.CauseText)},
		{verdictRole(s.Remedy), 2, fmt.Sprintf("remedy, %d of %d points. %s", s.Remedy, training.RemedyPoints, r.remedyText())},
		{page.Plain, 2, fmt.Sprintf("looks −%d: %s", s.LookPenalty, s.LooksText)}, {},
	}
}

// remedyText says of a wrong remedy what it is for, and which one is right.
func (r *riddleScreen) remedyText() string {
	named, right := &r.riddle.Remedies[r.remedy], r.riddle.Truth.Remedy()
	if named.Name == right {
		return r.score.RemedyText
	}
	text := "Wrong: " + named.Name
	if causes := causesOf(named.Name); len(causes) > 0 {
		text += " is for " + strings.Join(causes, ", ")
	}
	text += ". Right is " + right
	if i := slices.IndexFunc(r.riddle.Remedies, func(c training.Choice) bool { return c.Name == right }); i >= 0 {
		text += ": " + r.riddle.Remedies[i].Text
	}
	return text
}

// causesOf are the faults of the catalogue that a remedy is for; none for a pair of remedies.
func causesOf(remedy string) []string {
	var list []string
	for _, f := range catalogue.Entries() {
		if f.Remedy == remedy {
			list = append(list, f.Name)
		}
	}
	return list
}

func verdictRole(points int) page.Role {
	if points > 0 {
		return page.Good
	}
	return page.Bad
}

// setText is what the faults set, and the wrong data, each beside the nominal value. A signal and a button
// that a fault sets have none.
func setText(r *training.Riddle) string {
	nominal := presentValues(r.Nominal)
	var parts []string
	add := func(set map[string]string) {
		for _, key := range slices.Sorted(maps.Keys(set)) {
			part, usual := key+" = "+set[key], nominal[key]
			if f, ok := plant.FindField(key); ok {
				usual = nominal[f.Key]
			}
			if usual != "" {
				part += " (nominal " + usual + ")"
			}
			parts = append(parts, part)
		}
	}
	for _, f := range r.Case.Scenario.Faults {
		add(f.Set)
	}
	add(r.Data)
	return strings.Join(parts, ", ")
}

package checkcmd

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/mutation"
)

// mutateText is the page of a mutation test: the numbers of each kind, the share that was noticed,
// and the survivors.
func mutateText(s *page.Screen, t *trial, atLeast float64) string {
	var b strings.Builder
	scenarioCount := 0
	if t.suite != nil {
		scenarioCount = t.suite.Len()
	}
	b.WriteString(s.Style.Strong.Render(page.CleanLine(t.logic.About().Name)) + "\n")
	fmt.Fprintf(&b, "%s, %s\n\n", page.Count(len(t.outcomes), "mutant", "mutants"), page.Count(scenarioCount, "scenario", "scenarios"))
	by, all := mutation.Tally(t.outcomes)
	b.WriteString(countTable(by, all).Text(s, ""))
	b.WriteString("\n" + shareText(&all, atLeast) + "\n")
	b.WriteString(t.survivors(s))
	return b.String()
}

// countTable has a row for each kind of mistake that there is, and the sum.
func countTable(by []mutation.Count, all mutation.Count) *page.Table {
	t := &page.Table{Head: []string{"made", "refused", "noticed", "equivalent", "survived", "mistake"}}
	all.Operator = "all"
	for _, c := range append(by, all) {
		if c.Made == 0 && c.Operator != "all" {
			continue
		}
		var row []string
		for i, n := range []int{c.Made, c.Refused, c.Detected, c.Equivalent, c.Survived} {
			row = append(row, page.PadLeft(strconv.Itoa(n), page.Cells(t.Head[i])))
		}
		t.Add(append(row, string(c.Operator))...)
	}
	return t
}

func shareText(all *mutation.Count, atLeast float64) string {
	if all.Relevant() == 0 {
		return "no mutant counts"
	}
	// Cut and not rounded, so that no share looks like one that is enough.
	percent := math.Floor(1000*all.DetectedShare()) / 10
	return fmt.Sprintf("noticed: %d of %d, %.1f %%; required: at least %g %%", all.Detected, all.Relevant(), percent, atLeast)
}

// survivors are the mutants that no scenario noticed, state by state.
func (t *trial) survivors(s *page.Screen) string {
	var b strings.Builder
	state := "\n"
	for i := range t.outcomes {
		o := &t.outcomes[i]
		if o.Status != mutation.Survived {
			continue
		}
		if o.Mutant.State != state {
			state = o.Mutant.State
			heading := state
			if heading == "" {
				heading = "any state"
			}
			b.WriteString("\n" + s.Style.Strong.Render(page.CleanLine(heading)) + "\n")
		}
		b.WriteString(survivor(s, t, o))
	}
	return b.String()
}

// survivor is a mutant with its place and what would notice it. The name of a mutant of a program has
// the change already.
func survivor(s *page.Screen, t *trial, o *mutation.Outcome) string {
	m := o.Mutant
	text := s.Style.Bad.Render("  "+s.Signs().Bad+" ") + page.CleanLine(m.ID) + "\n"
	place, missing := fmt.Sprintf("%s:%d: ", t.file, t.line(m)), page.CleanLine(o.Missing)
	if t.program != nil {
		return s.Plain(text + page.Paragraph(place+missing, "      ", s.Width))
	}
	change := page.CleanLine(m.Was) + " → " + page.CleanLine(m.Now)
	if m.Now == "" {
		change = "without " + page.CleanLine(m.Was)
	}
	text += page.Paragraph(place+change, "      ", s.Width)
	return s.Plain(text + page.Paragraph(missing, "      ", s.Width))
}

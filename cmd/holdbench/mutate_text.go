package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"holdbench/sim/mutation"
)

// mutateText is what came of the mutants for people: how many of each kind, the share
// that was noticed, and what was not.
func mutateText(s *screen, t *trial, atLeast float64) string {
	var b strings.Builder
	scenarioCount := 0
	if t.suite != nil {
		scenarioCount = t.suite.Len()
	}
	b.WriteString(s.style.strong.Render(cleanLine(t.document.Sequence)) + "\n")
	fmt.Fprintf(&b, "%s, %s\n\n", count(len(t.outcomes), "mutant", "mutants"), count(scenarioCount, "scenario", "scenarios"))
	by, all := mutation.Tally(t.outcomes)
	b.WriteString(countTable(by, all).text(s, ""))
	b.WriteString("\n" + shareText(&all, atLeast) + "\n")
	b.WriteString(t.survivors(s))
	return b.String()
}

// countTable has a row for each kind of mistake that there is, and the sum.
func countTable(by []mutation.Count, all mutation.Count) *table {
	t := &table{head: []string{"made", "refused", "noticed", "equivalent", "survived", "mistake"}}
	all.Operator = "all"
	for _, c := range append(by, all) {
		if c.Made == 0 && c.Operator != "all" {
			continue
		}
		var row []string
		for i, n := range []int{c.Made, c.Refused, c.Noticed, c.Equivalent, c.Survived} {
			row = append(row, padLeft(strconv.Itoa(n), cells(t.head[i])))
		}
		t.add(append(row, string(c.Operator))...)
	}
	return t
}

func shareText(all *mutation.Count, atLeast float64) string {
	if all.Countable() == 0 {
		return "there is no mistake that counts"
	}
	// Cut and not rounded, so that no share looks like one that is enough.
	percent := math.Floor(1000*all.Share()) / 10
	return fmt.Sprintf("noticed: %d of %d, %.1f %%; wanted: at least %g %%", all.Noticed, all.Countable(), percent, atLeast)
}

// survivors are the mistakes that nobody noticed, state by state.
func (t *trial) survivors(s *screen) string {
	var b strings.Builder
	state := "\n"
	for i := range t.outcomes {
		o := &t.outcomes[i]
		if o.Fate != mutation.Survived {
			continue
		}
		if o.Mutant.State != state {
			state = o.Mutant.State
			heading := state
			if heading == "" {
				heading = "any state"
			}
			b.WriteString("\n" + s.style.strong.Render(cleanLine(heading)) + "\n")
		}
		b.WriteString(s.survivor(t, o))
	}
	return b.String()
}

func (s *screen) survivor(t *trial, o *mutation.Outcome) string {
	m := o.Mutant
	change := cleanLine(m.Was) + " → " + cleanLine(m.Now)
	if m.Now == "" {
		change = "without " + cleanLine(m.Was)
	}
	text := s.style.bad.Render("  "+s.glyphs().bad+" ") + cleanLine(m.ID) + "\n"
	text += paragraph(fmt.Sprintf("%s:%d: %s", t.file, t.line(m.Path), change), "      ", s.width)
	return s.plain(text + paragraph(cleanLine(o.Missing), "      ", s.width))
}

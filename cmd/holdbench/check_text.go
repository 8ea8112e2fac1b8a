package main

import (
	"fmt"
	"strings"

	"holdbench/sim"
)

// checkText is a check for people: a line a scenario, group by group, and the sum.
func checkText(s *screen, items []*item) string {
	var b strings.Builder
	group := ""
	widest := 0
	for _, i := range items {
		widest = max(widest, min(cells(cleanLine(i.name)), s.width/2))
	}
	for _, i := range items {
		if i.group != group {
			if group != "" {
				b.WriteString("\n")
			}
			group = i.group
			b.WriteString(s.style.strong.Render(cleanLine(group)) + "\n")
		}
		b.WriteString(s.checkLine(i, widest))
	}
	b.WriteString(s.checkSum(items))
	return b.String()
}

// checkLine is one scenario, with what differed below it.
func (s *screen) checkLine(i *item, nameWidth int) string {
	g := s.glyphs()
	name := pad(cleanLine(i.name), nameWidth)
	switch i.word() {
	case "not run":
		return s.style.faint.Render("  - not run  "+name) + "\n"
	case "unusable":
		return s.style.bad.Render("  "+g.bad+" unusable ") + strings.TrimRight(name, " ") +
			indent("\n"+clean(i.err.Error()), "      ") + "\n"
	}
	r := i.result
	line := name + "  " + pad(string(r.Class), 11) + "  " + padLeft(seconds(r.DurationS), 10) + "\n"
	if r.Met() {
		return s.style.good.Render("  "+g.good+" ok       ") + line
	}
	var b strings.Builder
	b.WriteString(s.style.bad.Render("  "+g.bad+" DIFFERS  ") + line)
	for _, e := range r.Expectations {
		if !e.Met {
			b.WriteString(paragraph(s.plain(differs(e)), "      ", s.width))
		}
	}
	for _, o := range r.Obligations {
		if !o.Kept && !metObligations(r) {
			b.WriteString(paragraph(s.plain(o.Name+": "+clean(o.Detail)), "      ", s.width))
		}
	}
	return b.String()
}

func metObligations(r *sim.Result) bool {
	for _, e := range r.Expectations {
		if e.Name == "obligations" {
			return e.Met
		}
	}
	return true
}

// differs says what was wanted and what came.
func differs(e sim.Expectation) string {
	return fmt.Sprintf("%s: wanted %s, got %s", e.Name, orNothing(cleanLine(e.Want)), orNothing(cleanLine(e.Got)))
}

// checkSum counts by outcome and by class.
func (s *screen) checkSum(items []*item) string {
	words, classes := map[string]int{}, map[sim.Class]int{}
	for _, i := range items {
		words[i.word()]++
		if i.result != nil {
			classes[i.result.Class]++
		}
	}
	text := fmt.Sprintf("\n%s: %d as expected", count(len(items), "scenario", "scenarios"), words["ok"])
	for _, w := range []struct{ word, text string }{{"DIFFERS", "other than expected"}, {"unusable", "unusable"}, {"not run", "not run"}} {
		if n := words[w.word]; n > 0 {
			text += fmt.Sprintf(", %d %s", n, w.text)
		}
	}
	var parts []string
	for _, c := range sim.Classes() {
		if n := classes[c]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, c))
		}
	}
	text += "\n"
	if len(parts) > 0 {
		text += "by class: " + strings.Join(parts, ", ") + "\n"
	}
	return text
}

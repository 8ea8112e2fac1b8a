package checkcmd

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// checkText is the page of a check: a line a scenario, group by group, and the sum.
func checkText(s *page.Screen, items []*item) string {
	var b strings.Builder
	causes := unusableCauses(items)
	group := ""
	widest := 0
	for _, i := range items {
		widest = max(widest, min(page.Cells(page.CleanLine(i.name)), s.Width-besideName))
	}
	for _, i := range items {
		if i.group != group {
			if group != "" {
				b.WriteString("\n")
			}
			group = i.group
			b.WriteString(s.Style.Strong.Render(page.CleanLine(group)) + "\n")
		}
		b.WriteString(checkLine(s, i, widest, causes != nil))
	}
	b.WriteString(causesText(s, "unusable, by cause", causes))
	b.WriteString(causesText(s, "warnings of those that differ", foreignCauses(items)))
	b.WriteString(checkSum(s, items))
	return b.String()
}

// besideName is what a line has ahead of a name, and behind it: state, class and duration.
const (
	aheadOfName = 13
	besideName  = aheadOfName + 25
)

// checkLine is one scenario, with what differed below it. What stands behind a name that is too long goes
// below it. Why it is unusable stands below it too, unless that is told for all.
func checkLine(s *page.Screen, i *item, nameWidth int, toldForAll bool) string {
	g := s.Signs()
	name := page.Pad(page.CleanLine(i.name), nameWidth)
	switch i.word() {
	case "not run":
		return s.Style.Faint.Render("  - not run  "+name) + "\n"
	case "unusable":
		line := s.Style.Bad.Render("  "+g.Bad+" unusable ") + strings.TrimRight(name, " ")
		if toldForAll {
			return line + "\n"
		}
		why := page.Clean(i.err.Error())
		if !strings.Contains(why, "\n") { // otherwise it shows a line of the document, which stays whole
			return line + "\n" + page.Paragraph(why, "      ", s.Width)
		}
		return line + indent("\n"+why, "      ") + "\n"
	}
	r := i.result
	if page.Cells(name) > nameWidth {
		name += "\n" + strings.Repeat(" ", aheadOfName+nameWidth)
	}
	line := name + "  " + page.Pad(string(r.Class), 11) + "  " + page.PadLeft(page.Seconds(r.DurationS), 10) + "\n"
	stopped := ""
	if r.ControllerStopped != nil { // ahead of what follows from it
		stopped = page.Paragraph(s.Plain(stopLine(r)), "      ", s.Width)
	}
	beside := besideText(s, r)
	if r.Met() {
		return s.Style.Good.Render("  "+g.Good+" ok       ") + line + stopped + beside
	}
	var b strings.Builder
	b.WriteString(s.Style.Bad.Render("  "+g.Bad+" DIFFERS  ") + line + stopped)
	for _, e := range r.Expectations {
		if !e.Met {
			b.WriteString(page.Paragraph(s.Plain(differs(e)), "      ", s.Width))
		}
	}
	for _, o := range r.Obligations {
		if !o.Kept && !metObligations(r) {
			b.WriteString(page.Paragraph(s.Plain(o.Name+": "+page.Clean(o.Detail)), "      ", s.Width))
		}
	}
	b.WriteString(beside)
	return b.String()
}

// besideText is what stands below a run whether it is as expected or not: faults that changed nothing, and
// expectations that were not applied.
func besideText(s *page.Screen, r *sim.Result) string {
	var b strings.Builder
	for _, line := range remarks(r) {
		b.WriteString(page.Paragraph(s.Plain(line), "      ", s.Width))
	}
	return b.String()
}

// remarks are those on a run that change nothing in whether it is as expected.
func remarks(r *sim.Result) []string {
	var list []string
	for _, text := range append(r.WithoutEffect(), r.NotAppliedText()) {
		if text != "" {
			list = append(list, page.CleanLine(text))
		}
	}
	return list
}

func metObligations(r *sim.Result) bool {
	for _, e := range r.Expectations {
		if e.Name == "obligations" {
			return e.Met
		}
	}
	return true
}

// stopLine is where the controller stopped by itself; empty if it did not.
func stopLine(r *sim.Result) string {
	if r.ControllerStopped == nil {
		return ""
	}
	return page.CleanLine(r.ControllerStopped.String())
}

// differs is what was expected and what came.
func differs(e sim.Expectation) string {
	return fmt.Sprintf("%s: expected %s, got %s", e.Name, page.OrNothing(page.CleanLine(e.Want)), page.OrNothing(page.CleanLine(e.Got)))
}

// checkSum counts by outcome and by class.
func checkSum(s *page.Screen, items []*item) string {
	words, classes := map[string]int{}, map[sim.Class]int{}
	var stops sim.StopCount
	notApplied, without := 0, 0
	for _, i := range items {
		words[i.word()]++
		if i.result != nil {
			classes[i.result.Class]++
			stops.Add(i.result.ControllerStopped)
			notApplied += len(i.result.NotApplied)
			without += len(i.result.WithoutEffect())
		}
	}
	text := fmt.Sprintf("%s: %d as expected", page.Count(len(items), "scenario", "scenarios"), words["ok"])
	for _, w := range []struct{ word, text string }{{"DIFFERS", "other than expected"}, {"unusable", "unusable"}, {"not run", "not run"}} {
		if n := words[w.word]; n > 0 {
			text += fmt.Sprintf(", %d %s", n, w.text)
		}
	}
	if notApplied > 0 {
		text += "; " + page.Count(notApplied, "expectation", "expectations") + " not applied"
	}
	if without > 0 {
		text += "; " + page.Count(without, "fault", "faults") + " without effect"
	}
	var parts []string
	for _, c := range sim.Classes() {
		if n := classes[c]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, c))
		}
	}
	text = "\n" + page.Paragraph(text, "", s.Width)
	if len(parts) > 0 {
		text += "by class: " + strings.Join(parts, ", ") + "\n"
	}
	if stops.Runs > 0 {
		text += page.Paragraph(s.Plain(page.CleanLine(stops.Text("of "+page.Count(ran(items), "run", "runs")))), "", s.Width)
	}
	return text
}

// contentsText is a paragraph for each folder: what was seen, taken and left out.
func contentsText(s *page.Screen, folders []scenarios.Contents) string {
	var b strings.Builder
	for i := range folders {
		b.WriteString(page.Paragraph(s.Plain(page.CleanLine(folders[i].String())), "", s.Width))
	}
	return b.String()
}

// indent moves all lines but the first to the right, for messages of several lines.
func indent(text, by string) string { return strings.ReplaceAll(text, "\n", "\n"+by) }

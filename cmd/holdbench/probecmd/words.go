package probecmd

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// tried are the states in which a cell was tried.
func tried(m *probe.Results) []string {
	var list []string
	for _, s := range m.States {
		if slices.ContainsFunc(m.Outcomes, func(o probe.Outcome) bool { return o.State == s }) {
			list = append(list, s)
		}
	}
	return list
}

// findingWords is what the cells of a finding have in common.
func findingWords(m *probe.Results, f *probe.Finding) string {
	parts := []string{page.Count(len(f.Cells), "cell", "cells"), "class " + string(f.Class)}
	if f.Cause != "" {
		parts = append(parts, "cause "+page.CleanLine(f.Cause))
	}
	if len(f.Broken) > 0 {
		parts = append(parts, "breaks "+strings.Join(f.Broken, " and "))
	}
	if stop := m.Outcomes[f.Cells[0]].ControllerStopped; stop != nil {
		parts = append(parts, page.CleanLine(stop.String()))
	}
	deepest := 0.0
	for _, i := range f.Cells {
		deepest = max(deepest, m.Outcomes[i].LoadDropMM)
	}
	if f.Kind == probe.Missed || slices.Contains(f.Broken, sim.NoDrop) {
		parts = append(parts, fmt.Sprintf("load drop up to %s mm", page.Figure(deepest)))
	}
	return strings.Join(parts, ", ")
}

// outcomeWords describes the outcome of a cell.
func outcomeWords(o *probe.Outcome) string {
	text := endWords(o.End) + " in " + page.CleanLine(o.EndedIn)
	if o.Cause != "" {
		text += " (" + page.CleanLine(o.Cause) + ")"
	}
	text += ", " + string(o.Class)
	if len(o.Broken) > 0 {
		text += ", breaks " + strings.Join(o.Broken, " and ")
	}
	if slices.Contains(o.Broken, sim.NoDrop) {
		text += fmt.Sprintf(", load drop %s mm", page.Figure(o.LoadDropMM))
	}
	if o.ControllerStopped != nil {
		text += "; " + page.CleanLine(o.ControllerStopped.String())
	}
	switch {
	case o.Late:
		text += "; not detectable in time"
	case o.Unpreventable:
		text += "; not preventable"
	case o.Accepted != "":
		text += "; accepted by name"
	}
	return text
}

func endWords(end string) string {
	if end == "none" {
		return "no end"
	}
	return end
}

// sumWords counts the cells by kind.
func sumWords(m *probe.Results) string {
	n := probe.Count(m.Outcomes)
	return page.Count(len(m.Outcomes), "cell", "cells") + countWords(": ", n.Open) +
		countWords("; not detectable or not preventable: ", n.Excused) + countWords("; accepted by name: ", n.Accepted)
}

// stopWords count the cells in which the controller stopped by itself; empty if there are none.
func stopWords(m *probe.Results) string {
	n := probe.Stops(m.Outcomes)
	return page.CleanLine(n.Text("of " + page.Count(len(m.Outcomes), "cell", "cells")))
}

// againWords say what it costs that a controller cannot be copied; empty where it can be.
func againWords(times float64) string {
	if times <= 0 {
		return ""
	}
	return fmt.Sprintf("the controller cannot be copied: every cell was run from its beginning, %.3g times the simulated time that copies would take", times)
}

// countWords are the numbers of each kind behind a lead, empty if there are none.
func countWords(lead string, counts map[probe.Kind]int) string {
	var parts []string
	for _, k := range probe.Kinds() {
		if n := counts[k]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, k))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return lead + strings.Join(parts, ", ")
}

// stateWords names the whole run among the states.
func stateWords(states []string) []string {
	words := make([]string, len(states))
	for i, s := range states {
		words[i] = stateWord(s)
	}
	return words
}

func stateWord(state string) string {
	if state == "" {
		return "the whole run"
	}
	return page.CleanLine(state)
}

// momentWords is the moment and the severity.
func momentWords(c *probe.Cell) string {
	if c.Severity == "" {
		return c.Moment
	}
	return fmt.Sprintf("%s, %s %s", c.Moment, c.Severity, page.Figure(c.Number))
}

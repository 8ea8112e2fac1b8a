package probecmd

import (
	"fmt"
	"slices"
	"time"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/sim/probe"
)

// report is the result of a probe.
type report struct {
	*plan
	found  *probe.Results
	known  int     // cells, as far as was found out
	search *search // nil unless thresholds were searched for
	took   time.Duration
	stale  problem.List // entries of --accept that no longer apply
}

// documents names what was probed.
func (r *report) documents() string {
	text := fmt.Sprintf("rig %s, sequence %s, seed %d", page.CleanLine(r.found.Rig), page.CleanLine(r.found.Sequence), r.ready.Seed)
	if n := len(r.ready.Scenario.Faults); n > 0 {
		text += fmt.Sprintf(", with the %s of the scenario", page.Count(n, "fault", "faults"))
	}
	return text
}

// extent is how much was tried.
func (r *report) extent() string {
	m := r.found
	text := fmt.Sprintf("%s: %s in %s", page.Count(len(m.Outcomes), "cell", "cells"),
		page.Count(len(m.Faults), "fault", "faults"), page.Count(len(tried(m)), "state", "states"))
	if !m.Complete {
		text += fmt.Sprintf("; interrupted, at least %d planned", r.known)
	}
	return text
}

// gap is names of what was not tried for one reason.
type gap struct {
	why   string
	names []string
}

// gaps are what was not tried, reason by reason.
func (r *report) gaps() []gap {
	var gaps []gap
	m := r.found
	if len(m.NotApplicable) > 0 {
		gaps = append(gaps, gap{"faults that do not apply to this rig and sequence", m.NotApplicable})
	}
	unreached := slices.DeleteFunc(slices.Clone(m.Unreached), func(s string) bool {
		return len(r.options.States) > 0 && !slices.Contains(r.options.States, s)
	})
	if len(unreached) == 0 {
		return gaps
	}
	why := "states that no fault or pair of faults leads to (an operator, a parameter or another scenario may)"
	switch {
	case r.options.Pairs:
		why = "states that the run without faults does not enter"
	case len(r.options.Through) > 0:
		why = "states that were not reached; without --through more routes are tried"
	}
	return append(gaps, gap{why, stateWords(unreached)})
}

// dangerous is the number of cells that need a review.
func (r *report) dangerous() int {
	n := 0
	for i := range r.found.Outcomes {
		if r.found.Outcomes[i].Dangerous() {
			n++
		}
	}
	return n
}

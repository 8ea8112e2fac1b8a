package probecmd

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim/catalogue"
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
	text := fmt.Sprintf("rig %s, %s, seed %d", page.CleanLine(r.found.Rig), page.CleanLine(sequence.Titled(r.found.Sequence)), r.ready.Seed)
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
	other, roles := r.notApplicable()
	if len(other) > 0 {
		gaps = append(gaps, gap{"faults that do not apply to this rig and sequence", other})
	}
	if len(roles) > 0 {
		gaps = append(gaps, gap{"faults of the data of the sequence, which gives no parameter the role that they need, see holdbench list roles", roles})
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

// notApplicable are the faults that do not fit, and apart from them those that would if the sequence gave
// parameters their roles, each with these.
func (r *report) notApplicable() (other, roles []string) {
	for _, name := range r.found.NotApplicable {
		f, err := catalogue.Find(name)
		var missing []string
		if err == nil && f.Fits(&r.ready.Rig) {
			_, missing = f.SettingsOn(&r.ready.Rig, r.ready.Sequence)
		}
		if len(missing) == 0 {
			other = append(other, name)
			continue
		}
		slices.Sort(missing)
		roles = append(roles, name+" ("+strings.Join(slices.Compact(missing), ", ")+")")
	}
	return other, roles
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

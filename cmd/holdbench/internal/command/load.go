package command

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
)

// ReportWarnings prints the warnings of a document to standard error.
func (a *App) ReportWarnings(warnings problem.List) {
	for _, d := range warnings {
		_, _ = fmt.Fprintln(a.Stderr, page.Clean(d.Error()))
	}
}

// LoadCase loads a scenario and prints its warnings to standard error.
func (a *App) LoadCase(reference string, o scenarios.Overrides) (*sim.Case, error) {
	ready, warnings, err := scenarios.LoadCase(reference, o)
	if err != nil {
		return nil, err
	}
	for _, d := range warnings {
		_, _ = fmt.Fprintln(a.Stderr, page.Clean(d.Error()))
	}
	return ready, nil
}

// RunUntil runs a case to its end unless the context ends first.
func RunUntil(ctx context.Context, ready *sim.Case, trace sim.Tracer) (*sim.Result, error) {
	result, err := sim.RunUntil(ctx, ready, trace)
	if errors.Is(err, context.Canceled) {
		return nil, Interrupted("interrupted before %s had ended", ready.Scenario.Scenario)
	}
	return result, err
}

// TellProblems writes warnings about a rig and its settings to standard error, and gives the
// error its place.
func (a *App) TellProblems(reference string, set map[string]string, warnings problem.List, err error) error {
	for _, p := range placed(reference, set, warnings) {
		_, _ = fmt.Fprintln(a.Stderr, page.Clean(p.Error()))
	}
	return placed(reference, set, problem.Of(err)).OrNil()
}

// placed adds to each problem the flag or the document that caused it.
func placed(reference string, set map[string]string, found problem.List) problem.List {
	found = slices.Clone(found)
	for i := range found {
		found[i].File = reference
		for key, text := range set {
			if found[i].Path == sim.SetPath(key) {
				found[i].File = "--set " + key + "=" + text
			}
		}
	}
	return found
}

package command

import (
	"context"
	"errors"
	"fmt"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
)

// TellDoubts says on standard error what is doubtful about a document.
func (a *App) TellDoubts(doubts problem.List) {
	for _, d := range doubts {
		_, _ = fmt.Fprintln(a.Stderr, page.Clean(d.Error()))
	}
}

// LoadCase loads a scenario and says on standard error what is doubtful about it.
func (a *App) LoadCase(reference string, o scenarios.Overrides) (*sim.Case, error) {
	ready, doubts, err := scenarios.LoadCase(reference, o)
	if err != nil {
		return nil, err
	}
	for _, d := range doubts {
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

// TellProblems puts problems with a rig and its settings into words; doubts of them go to
// standard error.
func (a *App) TellProblems(reference string, set map[string]string, problems []sim.Problem) error {
	var found []error
	for _, p := range problems {
		place := reference
		for _, key := range page.SortedKeys(set) {
			if p.Path == sim.SetPath(key) {
				place = "--set " + key + "=" + set[key]
			}
		}
		if p.Warning {
			_, _ = fmt.Fprintln(a.Stderr, page.Clean(place+": warning: "+p.Message))
			continue
		}
		found = append(found, errors.New(place+": "+p.Message))
	}
	return errors.Join(found...)
}

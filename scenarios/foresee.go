package scenarios

import (
	"context"

	"holdbench/plant/problem"
	"holdbench/sim"
)

// Foresee runs a scenario once and says what it names that does not happen, see [sim.Foresee]. Of a document that
// makes no case it says nothing: [Vet] does.
func Foresee(ctx context.Context, reference string, reach Reach) (problem.List, error) {
	c, _, err := LoadCase(reference, Overrides{Reach: reach})
	if err != nil {
		return nil, nil //nolint:nilerr // Vet has said it
	}
	found, err := sim.Foresee(ctx, c)
	if err != nil {
		return nil, err
	}
	return placedInScenario(reference, found), nil
}

// placedInScenario sets the lines of problems with a scenario.
func placedInScenario(reference string, found problem.List) problem.List {
	if len(found) == 0 {
		return nil
	}
	name, text, err := find(ScenarioKind, reference, "")
	if err != nil {
		return found
	}
	src, err := read(name, text)
	if err != nil {
		return found
	}
	return src.located("$", found)
}

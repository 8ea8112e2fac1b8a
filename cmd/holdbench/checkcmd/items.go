package checkcmd

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// item is one scenario of a check and its result.
type item struct {
	name, group string
	ready       *sim.Case
	result      *sim.Result
	sources     []sim.Document // that it was read from, as far as it came
	took        time.Duration  // by the clock
	err         error          // document or run cannot be used
	foreign     problem.List   // warnings of a scenario that runs with another sequence than its own
}

// word is the result of an item.
func (i *item) word() string {
	switch {
	case i.err != nil:
		return "unusable"
	case i.result == nil:
		return "not run"
	case i.result.Met():
		return "ok"
	}
	return "DIFFERS"
}

// load makes an item of every scenario below the paths, group by group in the order
// in which they were named. What cannot be used stays in the list with its error; once
// interrupted, only the names of the rest are taken down. What was seen in folders comes back beside it.
func load(ctx context.Context, paths []string, workers int, o scenarios.Overrides) ([]*item, []scenarios.Contents) {
	var items []*item
	wanted, folders := command.WantedBelow(ctx, paths, o.Reach)
	for _, w := range wanted {
		items = append(items, &item{name: w.Reference, group: groupOf(w), err: w.Err})
	}
	read := func(n int) (item, bool) {
		i := *items[n]
		if i.err == nil {
			var warnings problem.List
			i.ready, i.sources, warnings, i.err = scenarios.LoadCaseFrom(i.name, o)
			if o.Sequence != "" {
				i.foreign = ofScenario(warnings, i.name)
			}
		}
		return i, true
	}
	// Whoever runs the items meets the end of the context again.
	_ = fanout.InOrder(ctx, len(items), workers, read, func(n int, i item) { *items[n] = i })
	return byGroup(items), folders
}

// refuseRead refuses a report under the name of a document of one of the items.
func refuseRead(a *command.App, items []*item) error {
	for _, i := range items {
		if err := a.RefuseRead(i.sources); err != nil {
			return err
		}
	}
	return nil
}

// ofScenario are the warnings that stand in the scenario itself.
func ofScenario(warnings problem.List, name string) problem.List {
	var list problem.List
	for _, w := range warnings {
		if strings.HasPrefix(w.File, "builtin:library/") || w.File == name {
			list = append(list, w)
		}
	}
	return list
}

// unusableGroup is the group of what is neither built in nor a file.
const unusableGroup = "not found"

// groupOf is the group of a built-in scenario, or the folder of a file.
func groupOf(w command.Wanted) string {
	if w.Group != "" {
		return w.Group
	}
	if _, err := os.Stat(w.Reference); w.Err != nil || err != nil {
		return unusableGroup
	}
	return filepath.ToSlash(filepath.Dir(w.Reference))
}

// byGroup brings the items of a group together and leaves their order otherwise.
func byGroup(items []*item) []*item {
	place := map[string]int{}
	for _, i := range items {
		if _, ok := place[i.group]; !ok {
			place[i.group] = len(place)
		}
	}
	slices.SortStableFunc(items, func(x, y *item) int { return place[x.group] - place[y.group] })
	return items
}

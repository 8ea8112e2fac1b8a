package command

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

// Wanted is a scenario that the command line names.
type Wanted struct {
	Reference string
	Group     string // of a built-in one; empty for a file
	Err       error  // why the path cannot be used
}

// WantedBelow are the scenarios below the paths, or all built-in ones without a path, each once and in
// the order in which they were named. What was seen in folders comes back beside them. Once the context ends,
// documents are no longer looked into.
func WantedBelow(ctx context.Context, paths []string, reach scenarios.Reach) ([]Wanted, []scenarios.Contents) {
	if len(paths) == 0 {
		paths = scenarioGroups()
	}
	groups := map[string]string{}
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		groups[e.Name] = e.Group
	}
	var list []Wanted
	var folders []scenarios.Contents
	seen := map[string]bool{}
	for _, path := range paths {
		references, contents, err := scenarios.Expand(ctx, []string{path}, reach)
		if err != nil {
			list = append(list, Wanted{Reference: path, Err: err})
			continue
		}
		folders = append(folders, contents...)
		for i := range contents {
			for _, link := range contents[i].Outside {
				list = append(list, Wanted{Reference: link, Err: scenarios.RefuseOutside(link)})
			}
		}
		for _, reference := range references {
			if !seen[reference] {
				seen[reference] = true
				list = append(list, Wanted{Reference: reference, Group: groups[reference]})
			}
		}
	}
	return list, folders
}

// TellContents prints to standard error what was seen, taken and left out in folders.
func (a *App) TellContents(folders []scenarios.Contents) {
	for i := range folders {
		_, _ = fmt.Fprintln(a.Stderr, page.CleanLine(folders[i].String()))
	}
}

// CompleteWanted completes groups and names of built-in scenarios, and files.
func CompleteWanted(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return append(scenarioGroups(), scenarios.Names(scenarios.ScenarioKind)...), cobra.ShellCompDirectiveDefault
}

// scenarioGroups are the groups of the built-in scenarios.
func scenarioGroups() []string {
	var list []string
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		if len(list) == 0 || list[len(list)-1] != e.Group {
			list = append(list, e.Group)
		}
	}
	return list
}

package main

import (
	"holdbench/cmd/holdbench/checkcmd"
	"holdbench/cmd/holdbench/diffcmd"
	"holdbench/cmd/holdbench/evaluatecmd"
	"holdbench/cmd/holdbench/identifycmd"
	"holdbench/cmd/holdbench/lifecmd"
	"holdbench/cmd/holdbench/probecmd"
	"holdbench/cmd/holdbench/runcmd"
	"holdbench/cmd/holdbench/schemacmd"
	"holdbench/cmd/holdbench/scorecmd"
	"holdbench/cmd/holdbench/showcmd"
	"holdbench/cmd/holdbench/sizecmd"
	"holdbench/cmd/holdbench/sweepcmd"
	"holdbench/cmd/holdbench/trendcmd"
)

// outputs is the table of what commands print as JSON.
func outputs() []schemacmd.Output {
	return []schemacmd.Output{
		{Name: "run", About: "the result of a run: run --json, and each line of check --json and attach --json", Lines: []any{runcmd.JSON()}},
		{Name: "diff", About: "two runs compared: diff --json", Lines: []any{diffcmd.JSON()}},
		{Name: "mutant", About: "a mutant and what noticed it: each line of check --mutate --json", Lines: []any{checkcmd.MutantJSON()}},
		{Name: "probe", About: "a line of probe --json: the probe, then each cell, at last the number of cells", Lines: probecmd.Lines()},
		{Name: "sweep", About: "the result of a sweep: sweep --json and merge --json", Lines: []any{sweepcmd.JSON()}},
		{Name: "sweep-line", About: "a line of a sweep that is kept: the sweep, then each run, at last the number of runs", Lines: sweepcmd.Lines()},
		{Name: "life", About: "simulated histories of a machine: life --json", Lines: []any{lifecmd.JSON()}},
		{Name: "size", About: "the values of a brake test: size --json", Lines: []any{sizecmd.JSON()}},
		{Name: "evaluate", About: "a recorded test, judged again: evaluate --json", Lines: []any{evaluatecmd.JSON()}},
		{Name: "identify", About: "values of a rig from recordings of its axis: identify --json", Lines: []any{identifycmd.JSON()}},
		{Name: "trend", About: "figures of many tests over months: trend --json", Lines: []any{trendcmd.JSON()}},
		{Name: "score", About: "what the players of riddles mix up: score --json", Lines: []any{scorecmd.JSON()}},
		{Name: "list", About: "what is built in, and the terms of documents: list --json", Lines: []any{showcmd.ListJSON()}},
	}
}

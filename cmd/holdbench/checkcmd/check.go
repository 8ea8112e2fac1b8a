// Package checkcmd has the command check: scenarios held against what they expect, and with
// --mutate the suite itself, held against small mistakes in a sequence.
package checkcmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

type checkFlags struct {
	json, tap, ascii bool
	watch            bool
	junit            string
	workers          int
	outside          command.OutsideFlags
	set              command.OverrideFlags // that alone
	mutate           mutateFlags
}

// New is the command check.
func New(a *command.App) *cobra.Command {
	f := &checkFlags{}
	c := &cobra.Command{
		Use:   "check [PATH…]",
		Short: "Run scenarios and compare each with its expectations",
		Long: page.Prose(`Runs all scenarios below the paths, or all built-in ones, and reports the deviations from their
expectations. A PATH is the name of a scenario, a group of built-in scenarios, a file or a folder. Exit code 1
if an expectation is not met, 2 if a document cannot be used, 3 if interrupted.`,
			`--watch stays, and runs again the scenarios that are read from a file that has changed: scenario, rig, sequence,
program or binding. New scenarios in a folder are found. A document that cannot be used is reported, and run once it
can. An interrupt ends it, with exit code 3 whatever the results.`,
			`A line of --json ends in the version of the program and the documents that the run was read from, each with
the SHA-256 of its bytes; it has simulated time alone, so that the same documents give the same bytes. --junit has
the time by the clock, as build servers expect, and the simulated time and the class of each scenario as properties.`,
			`--mutate tests the suite itself: the sequence is copied with one small mistake at a time (a mutant), and
the scenarios that use the sequence should notice. Reported are the mutants that no scenario notices, each with
the scenario that is missing. Exit code 1 if less than --at-least percent are noticed. --states tries the mistakes
in some states only; any stands for the transitions under any. --equivalents, --at-least and --states are for
--mutate only. A program in Structured Text is tried on all scenarios that are as expected
with it.`,
			`--sequence runs the scenarios with another sequence in place of their own. What they expect of its states
(path, took, outputs) does not count then. A scenario that needs a state or a parameter which this sequence has not
is unusable; where several are, each cause stands once, with the number of scenarios.`,
			`--set gives every scenario another value, in place of its own: a program that presses in one direction is
checked with --set judge.directions=down.`),
		Example: `  holdbench check
  holdbench check brake signals
  holdbench check --json lining-worn-thin
  holdbench check --junit report.xml
  holdbench check --watch my-scenarios
  holdbench check --sequence reference healthy
  holdbench check --sequence down-only --set judge.directions=down brake
  holdbench check --mutate --sequence hasty`,
		ValidArgsFunction: command.CompleteWanted,
		RunE: func(c *cobra.Command, args []string) error {
			if err := f.validateWatch(c); err != nil {
				return err
			}
			if f.mutate.on {
				return mutate(a, c, args, f)
			}
			if f.watch {
				return watchPaths(a, c, args, f)
			}
			return checkPaths(a, c, args, f)
		},
	}
	c.Flags().BoolVar(&f.json, "json", false, "print JSON lines, one object for each run")
	c.Flags().BoolVar(&f.tap, "tap", false, "print the Test Anything Protocol, version 14")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().StringVar(&f.junit, "junit", "", "write a JUnit report to `FILE`; - is standard output")
	c.Flags().BoolVar(&f.watch, "watch", false, "check again what changes, until interrupted")
	c.Flags().IntVar(&f.workers, "workers", runtime.NumCPU(), "number of parallel runs")
	c.Flags().StringArrayVar(&f.set.Set, "set", nil, "set a value in every scenario, `KEY=VALUE`")
	f.outside.Add(c)
	f.mutate.add(c)
	command.Complete(c, "set", command.CompleteSettings)
	command.Complete(c, "junit", command.CompleteFiles("xml"))
	command.Complete(c, "workers", cobra.NoFileCompletions)
	return c
}

// overrides are those of a check.
func (f *checkFlags) overrides(c *cobra.Command) (scenarios.Overrides, error) {
	o, err := f.set.Read(c)
	if c.Flags().Changed("sequence") {
		o.Sequence = f.mutate.sequence
	}
	return o, err
}

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

func (f *checkFlags) validate(c *cobra.Command) error {
	if err := f.mutate.validate(c); err != nil {
		return err
	}
	switch {
	case f.workers < 1:
		return command.WrongUse(c, "--workers is %d; must be at least 1", f.workers)
	case f.json && f.tap:
		return command.WrongUse(c, "--json and --tap both use standard output; must be one of them")
	case files.IsStdout(f.junit) && (f.json || f.tap):
		return command.WrongUse(c, "--junit %s and another flag both use standard output; must be one of them", f.junit)
	case c.Flags().Changed("junit") && f.junit == "":
		return command.WrongUse(c, "--junit is empty; must be a file, or - for standard output")
	}
	return nil
}

func checkPaths(a *command.App, c *cobra.Command, paths []string, f *checkFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, err := f.overrides(c)
	if err != nil {
		return err
	}
	end, err := f.outside.Open(a, c, f.workers, a.Stderr, &overrides)
	if err != nil {
		return err
	}
	defer end()
	replaced, err := command.NewReplacement(&overrides)
	if err != nil {
		return err
	}
	report, err := openReport(f.junit, a.Stdout)
	if err != nil {
		return err
	}
	started := time.Now()
	items := load(c.Context(), paths, f.workers, overrides)
	if err := replaced.Err(); err != nil && c.Context().Err() == nil {
		report.abandon()
		return err
	}
	if f.json || files.IsStdout(f.junit) {
		reportUnusable(a, items)
	}
	runErr := runItems(c.Context(), a, items, f)
	if runErr != nil && !errors.Is(runErr, context.Canceled) {
		return errors.Join(runErr, report.write(items))
	}
	outErr := errors.Join(printCheck(a, items, f), report.write(items))
	_, _ = fmt.Fprintf(a.Stderr, "%d of %s in %.2f s with %s\n", ran(items), page.Count(len(items), "scenario", "scenarios"),
		time.Since(started).Seconds(), page.Count(f.workers, "worker", "workers"))
	reportNotRun(a, items)
	if outErr != nil {
		return outErr
	}
	return checkExit(items, runErr)
}

// checkExit is the exit code of a check; an interruption has precedence over a document that
// cannot be used, and that over a difference.
func checkExit(items []*item, runErr error) error {
	has := func(word string) bool {
		return slices.ContainsFunc(items, func(i *item) bool { return i.word() == word })
	}
	switch {
	case runErr != nil, has("not run"):
		return command.Exit(command.ExitInterrupted)
	case has("unusable"):
		return command.Exit(command.ExitWrong)
	case has("DIFFERS"):
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// load makes an item of every scenario below the paths, group by group in the order
// in which they were named. What cannot be used stays in the list with its error; once
// interrupted, only the names of the rest are taken down.
func load(ctx context.Context, paths []string, workers int, o scenarios.Overrides) []*item {
	var items []*item
	for _, w := range command.WantedBelow(paths) {
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
	return byGroup(items)
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

// reportUnusable prints to standard error what standard output has no place for.
func reportUnusable(a *command.App, items []*item) {
	for _, i := range items {
		if i.err != nil {
			_, _ = fmt.Fprintln(a.Stderr, "holdbench: "+page.Clean(i.err.Error()))
		}
	}
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

// runItems runs what can be run. JSON and TAP lines go out as the results come, in
// the order of the items. The error is that of the context.
func runItems(ctx context.Context, a *command.App, items []*item, f *checkFlags) error {
	var cases []*sim.Case
	var places []int
	for n, i := range items {
		if i.ready != nil {
			cases, places = append(cases, i.ready), append(places, n)
		}
	}
	if f.json {
		return runStreaming(ctx, a, cases, places, items, f.workers)
	}
	bar, done := a.Progress("running", 0), 0
	defer bar.Done()
	return runAll(ctx, cases, f.workers, func(n int, o outcome) {
		items[places[n]].take(o)
		done++
		bar.At(done, len(cases))
	})
}

// outcome is a run with the time that it took by the clock.
type outcome struct {
	result *sim.Result
	err    error
	took   time.Duration
}

func (i *item) take(o outcome) { i.result, i.err, i.took = o.result, o.err, o.took }

// runAll runs cases on a number of workers and hands over each outcome in the order of the cases. The
// error is that of the context.
func runAll(ctx context.Context, cases []*sim.Case, workers int, done func(n int, o outcome)) error {
	return fanout.InOrder(ctx, len(cases), workers, func(n int) (outcome, bool) {
		begun := time.Now()
		r, err := sim.RunUntil(ctx, cases[n], nil)
		return outcome{r, err, time.Since(begun)}, r != nil || ctx.Err() == nil
	}, done)
}

// runStreaming writes each result as soon as it is there.
func runStreaming(ctx context.Context, a *command.App, cases []*sim.Case, places []int, items []*item, workers int) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var writeErr error
	err := runAll(ctx, cases, workers, func(n int, o outcome) {
		i, r := items[places[n]], o.result
		i.take(o)
		if o.err != nil {
			reportUnusable(a, []*item{i})
			return
		}
		if writeErr == nil {
			r.CheckDrop()
			if writeErr = files.WriteJSON(a.Stdout, command.NewRecord(i.ready, r)); writeErr != nil {
				cancel() // output is closed: the rest is not run
			}
		}
	})
	if writeErr != nil {
		return files.CannotPrint(writeErr)
	}
	return err
}

// printCheck prints what was not printed while it ran.
func printCheck(a *command.App, items []*item, f *checkFlags) error {
	if f.json || files.IsStdout(f.junit) {
		return nil
	}
	return a.Printed(func(w io.Writer) error {
		if f.tap {
			return writeTAP(w, items)
		}
		_, err := io.WriteString(w, checkText(a.Screen(f.ascii), items))
		return err
	})
}

func ran(items []*item) int {
	n := 0
	for _, i := range items {
		if i.result != nil {
			n++
		}
	}
	return n
}

// reportNotRun lists what was not run because of an interruption.
func reportNotRun(a *command.App, items []*item) {
	var names []string
	for _, i := range items {
		if i.word() == "not run" {
			names = append(names, page.CleanLine(i.name))
		}
	}
	if len(names) == 0 {
		return
	}
	_, _ = fmt.Fprintf(a.Stderr, "interrupted; not run:\n")
	for _, name := range names {
		_, _ = fmt.Fprintln(a.Stderr, "  "+name)
	}
}

// Package checkcmd has the command check: scenarios held against what they expect, and with
// --mutate the suite itself, held against small mistakes in a sequence.
package checkcmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

type checkFlags struct {
	json, tap, ascii bool
	watch            bool
	junit            string
	workers          int
	outside          command.OutsideFlags
	set              command.OverrideFlags // that alone
	mutate           mutateFlags
	given            command.Given // what they change in every run
}

// New is the command check.
func New(a *command.App) *cobra.Command {
	f := &checkFlags{}
	c := &cobra.Command{
		Use:   "check [PATH…]",
		Short: "Run scenarios and compare each with its expectations",
		Long: page.Prose(`Runs all scenarios below the paths, or all built-in ones, and reports the deviations from their
expectations. A PATH is the name of a scenario, a group of built-in scenarios, a file or a folder. Exit code 1
if an expectation is not met, 2 if a document cannot be used, 3 if interrupted. Of a folder every .yaml and .yml is
looked at; what is no scenario is left out, counted and named.`,
			`A fault that never begins is a deviation, too, with what ended the run before: such a scenario proves nothing. A
fault that begins and changes nothing, as its value is the present one, as another fault sets the same or as no scan
falls into its time, is a remark below its scenario.`,
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
			`--sequence runs the scenarios with another sequence in place of their own. What they expect of states or
outputs (path, took, outputs) that this sequence has not is not applied, and reported as such. A scenario that needs a state or a parameter which this sequence has not
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
	f.add(c)
	a.AddReach(c)
	return c
}

func (f *checkFlags) add(c *cobra.Command) {
	c.Flags().BoolVar(&f.json, "json", false, "print JSON lines, one object for each run")
	c.Flags().BoolVar(&f.tap, "tap", false, "print the Test Anything Protocol, version 14")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().StringVar(&f.junit, "junit", "", "write a JUnit report to `FILE`; - is standard output")
	c.Flags().BoolVar(&f.watch, "watch", false, "check again what changes, until interrupted")
	command.AddWorkers(c, &f.workers)
	c.Flags().StringArrayVar(&f.set.Set, "set", nil, "set a value in every scenario, `KEY=VALUE`")
	f.outside.Add(c)
	f.mutate.add(c)
	command.Complete(c, "set", command.CompleteSettings)
	command.Complete(c, "junit", command.CompleteFiles("xml"))
	command.Complete(c, "workers", cobra.NoFileCompletions)
}

// overrides are those of a check.
func (f *checkFlags) overrides(c *cobra.Command) (scenarios.Overrides, error) {
	o, err := f.set.Read(c)
	f.given = command.NewGiven(o, nil)
	if c.Flags().Changed("sequence") {
		o.Sequence = f.mutate.sequence
	}
	return o, err
}

func (f *checkFlags) validate(c *cobra.Command) error {
	if err := f.mutate.validate(c); err != nil {
		return err
	}
	switch {
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
	items, folders := load(c.Context(), paths, f.workers, overrides)
	report.folders = folders
	if err := refuseRead(a, items); err != nil {
		report.abandon()
		return err
	}
	if err := replaced.Err(); err != nil && c.Context().Err() == nil {
		report.abandon()
		return err
	}
	if f.json || files.IsStdout(f.junit) {
		a.TellContents(folders)
		reportUnusable(a, items)
	}
	runErr := runItems(c.Context(), a, items, f)
	if runErr != nil && !errors.Is(runErr, context.Canceled) {
		return errors.Join(runErr, report.write(items))
	}
	outErr := errors.Join(printCheck(a, items, folders, f), report.write(items))
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

// printCheck prints what was not printed while it ran.
func printCheck(a *command.App, items []*item, folders []scenarios.Contents, f *checkFlags) error {
	if f.json || files.IsStdout(f.junit) {
		return nil
	}
	return a.Printed(func(w io.Writer) error {
		if f.tap {
			return writeTAP(w, items, folders)
		}
		_, err := io.WriteString(w, checkText(a.Screen(f.ascii), items)+contentsText(a.Screen(f.ascii), folders))
		return err
	})
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

// reportUnusable prints to standard error what standard output has no place for.
func reportUnusable(a *command.App, items []*item) {
	for _, i := range items {
		if i.err != nil {
			_, _ = fmt.Fprintln(a.Stderr, "holdbench: "+page.Clean(i.err.Error()))
		}
	}
}

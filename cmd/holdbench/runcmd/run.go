// Package runcmd has the command run: one run over time, as an object or as a trace.
package runcmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

type runFlags struct {
	overrides command.OverrideFlags
	faults    []string
	json      bool
	ascii     bool
	notes     bool
	trace     string
}

// New is the command run.
func New(a *command.App) *cobra.Command {
	f := &runFlags{}
	c := &cobra.Command{
		Use:   "run SCENARIO",
		Short: "Run one scenario and show what happened",
		Long: page.Prose(`Runs one scenario, built in or from a file, and shows it over time: what the sequence
did, what the judge said, and what the plant knows. Exit code 1 if anything came
other than the scenario expects.

With --fault, which may stand more than once, a fault of the catalogue is added:
NAME[=NUMBER][@STATE[+TIME]] says which, how bad, and when: a state is entered, and a
time after that. Without a number it is as bad as usual, without a state it is there from the start. What the
scenario expects is then not looked at, only the obligations and that each fault
came. See holdbench list faults and holdbench show fault NAME.`),
		Example: `  holdbench run lining-worn-thin
  holdbench run healthy-down --set judge.dwell=2s --set judge.window_deg=0.5
  holdbench run healthy-down --trace healthy-down.csv
  holdbench run healthy-down --json
  holdbench run healthy-down --fault lining-worn
  holdbench run healthy-down --fault lining-worn=0.5@press_down+120ms`,
		Args:              command.OneArgument("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return runScenario(a, c, args[0], f) },
	}
	f.overrides.Add(c)
	c.Flags().StringArrayVar(&f.faults, "fault", nil, faultUsage)
	command.Complete(c, "fault", completeFaults)
	c.Flags().BoolVar(&f.json, "json", false, "one object with everything, on one line")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().BoolVar(&f.notes, "notes", false, "say below each state what it is for")
	c.Flags().StringVar(&f.trace, "trace", "", "every scan, `FILE` ends in .csv; - is stdout")
	command.Complete(c, "trace", command.CompleteFiles("csv"))
	return c
}

// runScenario runs one scenario and shows it as the flags say.
func runScenario(a *command.App, c *cobra.Command, reference string, f *runFlags) error {
	overrides, err := f.readFlags(c)
	if err != nil {
		return err
	}
	faults, err := namedFaults(c, f.faults)
	if err != nil {
		return err
	}
	ready, err := a.LoadCase(reference, overrides)
	if err != nil {
		return err
	}
	if ready, err = withFaults(ready, faults); err != nil {
		return err
	}
	result, tape, err := runCase(a, c.Context(), ready, f.trace)
	if err != nil {
		return err
	}
	if err := showRun(a, ready, result, tape, faults, f); err != nil {
		return err
	}
	if !result.Met() {
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// Plain runs one scenario with other values and shows its page.
func Plain(a *command.App, c *cobra.Command, reference string, overrides command.OverrideFlags, ascii bool) error {
	return runScenario(a, c, reference, &runFlags{ascii: ascii, overrides: overrides})
}

// readFlags refuses flags that do not go together before anything runs.
func (f *runFlags) readFlags(c *cobra.Command) (scenarios.Overrides, error) {
	switch ext := filepath.Ext(f.trace); {
	case c.Flags().Changed("trace") && f.trace == "":
		return scenarios.Overrides{}, command.WrongUse(c, "--trace is empty; must be a file ending in .csv, or - for standard output")
	case f.json && f.notes:
		return scenarios.Overrides{}, command.WrongUse(c, "--notes is for the page and --json leaves it out; must be one of them")
	case files.IsStdout(f.trace) && f.json:
		return scenarios.Overrides{}, command.WrongUse(c, "--json and --trace %s both want standard output; must be one of them", f.trace)
	case f.trace != "" && !files.IsDevice(f.trace) && !strings.EqualFold(ext, ".csv"):
		return scenarios.Overrides{}, command.WrongUse(c, "--trace is %q, which ends in %q; must end in .csv", f.trace, ext)
	}
	return f.overrides.Read(c)
}

// showRun shows a run in the way that the flags ask for.
func showRun(a *command.App, ready *sim.Case, result *sim.Result, tape *tape, faults []catalogue.Selection, f *runFlags) error {
	switch {
	case files.IsStdout(f.trace):
		_, _ = fmt.Fprintln(a.Stderr, outcomeLine(result)+obligationsOnly(faults))
		return nil
	case f.json:
		return a.Printed(func(w io.Writer) error { return files.WriteJSON(w, result) })
	}
	view := &timeline{Sheet: page.NewSheet(a.Screen(f.ascii)), notes: f.notes, ready: ready, result: result, tape: tape, faults: faults}
	return a.Printed(func(w io.Writer) error {
		_, err := io.WriteString(w, view.text())
		return err
	})
}

// obligationsOnly says what was asked of a run with named faults, empty for another one.
func obligationsOnly(faults []catalogue.Selection) string {
	if len(faults) == 0 {
		return ""
	}
	return " (with --fault the obligations alone are looked at)"
}

// outcomeLine is a run in one line.
func outcomeLine(r *sim.Result) string {
	word := "as expected"
	if !r.Met() {
		word = "NOT as expected"
	}
	return fmt.Sprintf("%s: end %s, verdict %s, class %s; %s", page.CleanLine(r.Scenario), r.End, r.Verdict, r.Class, word)
}

// runCase runs a case, keeps what the strips need and writes the trace, if there is
// one to write.
func runCase(a *command.App, ctx context.Context, ready *sim.Case, tracePath string) (*sim.Result, *tape, error) {
	recorder := &tape{}
	if tracePath == "" {
		result, err := command.RunUntil(ctx, ready, recorder)
		return result, recorder, err
	}
	out, err := files.Create(tracePath, a.Stdout)
	if err != nil {
		return nil, nil, err
	}
	csv, err := sim.NewCSVTrace(out)
	if err == nil {
		var result *sim.Result
		if result, err = command.RunUntil(ctx, ready, both{recorder, csv}); err == nil {
			return result, recorder, out.Close()
		}
	}
	out.Abandon()
	if errors.Is(err, context.Canceled) {
		return nil, nil, fmt.Errorf("no trace in %s: %w", tracePath, err)
	}
	return nil, nil, files.CannotWrite(tracePath, err)
}

// both is two tracers as one.
type both struct{ first, second sim.Tracer }

// Row hands the row on.
func (b both) Row(r *sim.Row) error { return errors.Join(b.first.Row(r), b.second.Row(r)) }

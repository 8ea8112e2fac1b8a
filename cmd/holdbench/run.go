package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

type runFlags struct {
	overrides overrideFlags
	faults    []string
	json      bool
	ascii     bool
	notes     bool
	trace     string
}

func (a *app) runCommand() *cobra.Command {
	f := &runFlags{}
	c := &cobra.Command{
		Use:   "run SCENARIO",
		Short: "Run one scenario and show what happened",
		Long: prose(`Runs one scenario, built in or from a file, and shows it over time: what the sequence
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
		Args:              oneArgument("SCENARIO"),
		ValidArgsFunction: firstOnly(completeNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return a.runScenario(c, args[0], f) },
	}
	f.overrides.add(c)
	c.Flags().StringArrayVar(&f.faults, "fault", nil, faultUsage)
	complete(c, "fault", completeFaults)
	c.Flags().BoolVar(&f.json, "json", false, "one object with everything, on one line")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().BoolVar(&f.notes, "notes", false, "say below each state what it is for")
	c.Flags().StringVar(&f.trace, "trace", "", "every scan, `FILE` ends in .csv; - is stdout")
	complete(c, "trace", completeFiles("csv"))
	return c
}

// runScenario runs one scenario and shows it as the flags say.
func (a *app) runScenario(c *cobra.Command, reference string, f *runFlags) error {
	overrides, err := f.readFlags(c)
	if err != nil {
		return err
	}
	faults, err := namedFaults(c, f.faults)
	if err != nil {
		return err
	}
	ready, err := a.loadCase(reference, overrides)
	if err != nil {
		return err
	}
	if ready, err = withFaults(ready, faults); err != nil {
		return err
	}
	result, tape, err := a.runCase(c.Context(), ready, f.trace)
	if err != nil {
		return err
	}
	if err := a.showRun(ready, result, tape, faults, f); err != nil {
		return err
	}
	if !result.Met() {
		return exit(exitBroken)
	}
	return nil
}

// readFlags refuses flags that do not go together before anything runs.
func (f *runFlags) readFlags(c *cobra.Command) (scenarios.Overrides, error) {
	switch ext := filepath.Ext(f.trace); {
	case c.Flags().Changed("trace") && f.trace == "":
		return scenarios.Overrides{}, usage(c, "--trace is empty; must be a file ending in .csv, or - for standard output")
	case f.json && f.notes:
		return scenarios.Overrides{}, usage(c, "--notes is for the page and --json leaves it out; must be one of them")
	case isStdout(f.trace) && f.json:
		return scenarios.Overrides{}, usage(c, "--json and --trace %s both want standard output; must be one of them", f.trace)
	case f.trace != "" && !isDevice(f.trace) && !strings.EqualFold(ext, ".csv"):
		return scenarios.Overrides{}, usage(c, "--trace is %q, which ends in %q; must end in .csv", f.trace, ext)
	}
	return f.overrides.read(c)
}

// showRun shows a run in the way that the flags ask for.
func (a *app) showRun(ready *sim.Case, result *sim.Result, tape *tape, faults []catalogue.Selection, f *runFlags) error {
	switch {
	case isStdout(f.trace):
		_, _ = fmt.Fprintln(a.stderr, outcomeLine(result)+obligationsOnly(faults))
		return nil
	case f.json:
		return a.printed(func(w io.Writer) error { return writeJSON(w, result) })
	}
	view := &timeline{screen: a.screen(f.ascii), notes: f.notes, ready: ready, result: result, tape: tape, faults: faults}
	return a.printed(func(w io.Writer) error {
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
	return fmt.Sprintf("%s: end %s, verdict %s, class %s; %s", cleanLine(r.Scenario), r.End, r.Verdict, r.Class, word)
}

// loadCase loads a scenario and says on standard error what is doubtful about it.
func (a *app) loadCase(reference string, o scenarios.Overrides) (*sim.Case, error) {
	ready, doubts, err := scenarios.LoadCase(reference, o)
	if err != nil {
		return nil, err
	}
	for _, d := range doubts {
		_, _ = fmt.Fprintln(a.stderr, clean(d.Error()))
	}
	return ready, nil
}

// runCase runs a case, keeps what the strips need and writes the trace, if there is
// one to write.
func (a *app) runCase(ctx context.Context, ready *sim.Case, tracePath string) (*sim.Result, *tape, error) {
	recorder := &tape{}
	if tracePath == "" {
		result, err := runUntil(ctx, ready, recorder)
		return result, recorder, err
	}
	out, err := openTarget(tracePath, a.stdout)
	if err != nil {
		return nil, nil, err
	}
	csv, err := sim.NewCSVTrace(out)
	if err == nil {
		var result *sim.Result
		if result, err = runUntil(ctx, ready, both{recorder, csv}); err == nil {
			return result, recorder, out.close()
		}
	}
	out.abandon()
	if errors.Is(err, context.Canceled) {
		return nil, nil, fmt.Errorf("no trace in %s: %w", tracePath, err)
	}
	return nil, nil, cannotWrite(tracePath, err)
}

// runUntil runs a case to its end unless the context ends first.
func runUntil(ctx context.Context, ready *sim.Case, trace sim.Tracer) (*sim.Result, error) {
	result, err := sim.RunUntil(ctx, ready, trace)
	if errors.Is(err, context.Canceled) {
		return nil, interrupted("interrupted before %s had ended", ready.Scenario.Scenario)
	}
	return result, err
}

// both is two tracers as one.
type both struct{ first, second sim.Tracer }

// Row hands the row on.
func (b both) Row(r *sim.Row) error { return errors.Join(b.first.Row(r), b.second.Row(r)) }

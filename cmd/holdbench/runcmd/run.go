// Package runcmd has the command run: one run over time, as an object or as a trace.
package runcmd

import (
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
	plot      string
	against   againstFlags
}

// New is the command run.
func New(a *command.App) *cobra.Command {
	f := &runFlags{}
	c := &cobra.Command{
		Use:   "run SCENARIO",
		Short: "Run one scenario and show its timeline",
		Long: page.Prose(`Runs one scenario, built in or from a file, and shows its timeline: the states of the sequence, the messages
of the judge, and the true state of the plant. Exit code 1 if the outcome differs from what the scenario
expects.`,
			`--fault, which is repeatable, adds a fault of the catalogue: NAME[=NUMBER][@STATE[+TIME]] is its name, its
severity, and its moment: a state is entered, and a time after that. Without a number the severity is the
usual one; without a state the fault is present from the start. The scenario's own expectations do not apply
then: checked are the obligations, and that each fault occurred. See holdbench list faults and holdbench show
fault NAME.`,
			`A fault that never begins is a deviation, and one that changes nothing a remark; fault_records of --json has the times
of each, and whether it acted.`,
			`--trace writes state, inputs and outputs of the sequence and true values, one row a functional scan. The names of
the columns end in their units, but for speed, which is in mm/s of the load; a rig without a second brake has no
values in its columns. The ending of FILE is the form: .csv (RFC 4180), .vcd (value change dump,
IEEE 1364) for viewers of signals, or .parquet for tables of data. In a .vcd a word is its place in the list of words that a
comment has, and truth, inputs and outputs are scopes. In a .csv a text that a spreadsheet would read as a formula has
an apostrophe ahead of it.`,
			`--plot draws position, load drop, movement in the window of the judge, torque and current over time, with the
states, the limits and what happened. It ends in .svg or .png.`,
			`--against compares the run with a recording of the real axis: mean, root mean square and largest of the difference
of each signal, in the text, in --json, and laid over the curves of --plot. Time is as recorded, in seconds from the
start of the run; --align shifts it: best to where the signals correlate best, ask to the first request to the
judge, brake to the first closing of the brake. `+command.RecordingHelp(),
			`The object of --json ends in the version of the program and the documents that the run was read from, each with the
SHA-256 of its bytes; settings and faults are those of the command line. duration_s is simulated time; the time that the computer took is not in it, so that the
same documents give the same bytes.`),
		Example: `  holdbench run lining-worn-thin
  holdbench run healthy-down --set judge.dwell=2s --set judge.window_deg=0.5
  holdbench run healthy-down --trace healthy-down.csv
  holdbench run healthy-down --seed 2 --against healthy-down.csv --simulated
  holdbench run healthy-down --trace healthy-down.vcd
  holdbench run lining-worn-thin --plot lining-worn-thin.svg
  holdbench run healthy-down --json
  holdbench run healthy-down --fault lining-worn
  holdbench run healthy-down --fault lining-worn=0.5@press_down+120ms`,
		Args:              command.OneArgument("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return runScenario(a, c, args[0], f) },
	}
	f.overrides.Add(c)
	a.AddReach(c)
	f.overrides.Outside.Add(c)
	c.Flags().StringArrayVar(&f.faults, "fault", nil, command.FaultUsage)
	command.Complete(c, "fault", command.CompleteFaults)
	f.against.add(c)
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON object on one line")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().BoolVar(&f.notes, "notes", false, "print the purpose of each state")
	c.Flags().StringVar(&f.trace, "trace", "", "write scans to `FILE` .csv, .vcd, .parquet or -")
	c.Flags().StringVar(&f.plot, "plot", "", "draw the run over time to `FILE` .svg or .png")
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
	command.Complete(c, "trace", command.CompleteFiles("csv", "vcd", "parquet"))
	return c
}

// runScenario runs one scenario and shows it according to the flags.
func runScenario(a *command.App, c *cobra.Command, reference string, f *runFlags) error {
	overrides, err := f.readFlags(c)
	if err != nil {
		return err
	}
	faults, err := command.ReadFaults(c, f.faults)
	if err != nil {
		return err
	}
	end, err := f.overrides.Outside.Open(a, c, 1, a.Stderr, &overrides)
	if err != nil {
		return err
	}
	defer end()
	return runWith(a, c, reference, overrides, faults, f)
}

// runWith runs one scenario with what the flags put in place of its own.
func runWith(a *command.App, c *cobra.Command, reference string, overrides scenarios.Overrides, faults []catalogue.Selection, f *runFlags) error {
	ready, err := a.LoadCase(reference, overrides)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		if ready, err = command.WithFaults(ready, faults); err != nil {
			return err
		}
	}
	compared, err := newAgainst(c.Context(), a, &f.against, ready)
	if err != nil {
		return err
	}
	opened, err := openOutputs(a, f)
	if err != nil {
		return err
	}
	result, trace, err := opened.runCase(c.Context(), ready, compared, f.draws())
	if err == nil {
		err = compared.aligned()
	}
	if err == nil {
		err = compared.apart()
	}
	if err != nil {
		opened.abandon()
		return err
	}
	other := overrides.Rig != "" || overrides.Sequence != "" || overrides.Outside != nil || len(overrides.Set) > 0
	view := &timeline{other: other, given: command.NewGiven(overrides, f.faults), Sheet: page.NewSheet(a.Screen(f.ascii)), notes: f.notes, ready: ready, result: result, trace: trace, faults: faults, against: compared}
	if opened.plot != nil {
		err = writePlot(opened.plot, view)
	}
	if err := errors.Join(err, showRun(a, view, f)); err != nil {
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

// Attached runs one scenario with a controller that is attached, and shows its page or its object.
func Attached(a *command.App, c *cobra.Command, reference string, overrides scenarios.Overrides, json, ascii bool) error {
	return runWith(a, c, reference, overrides, nil, &runFlags{json: json, ascii: ascii})
}

// readFlags refuses flags that exclude each other before anything runs.
func (f *runFlags) readFlags(c *cobra.Command) (scenarios.Overrides, error) {
	_, known := formatOf(f.trace)
	endings := strings.Join(traceEndings(), ", ")
	switch {
	case c.Flags().Changed("trace") && f.trace == "":
		return scenarios.Overrides{}, command.WrongUse(c, "--trace is empty; must be a file ending in %s, or - for standard output", endings)
	case f.json && f.notes:
		return scenarios.Overrides{}, command.WrongUse(c, "--notes is for the page and not for --json; must be one of them")
	case files.IsStdout(f.trace) && f.json:
		return scenarios.Overrides{}, command.WrongUse(c, "--json and --trace %s both use standard output; must be one of them", f.trace)
	case f.trace != "" && !known:
		return scenarios.Overrides{}, command.WrongUse(c, "--trace is %q, which ends in %q; must end in one of %s", f.trace, filepath.Ext(f.trace), endings)
	}
	if err := f.against.read(c); err != nil {
		return scenarios.Overrides{}, err
	}
	if err := f.readPlot(c); err != nil {
		return scenarios.Overrides{}, err
	}
	return f.overrides.Read(c)
}

// readPlot refuses a plot that cannot be written.
func (f *runFlags) readPlot(c *cobra.Command) error {
	switch {
	case c.Flags().Changed("plot") && f.plot == "":
		return command.WrongUse(c, "--plot is empty; must be a file ending in .svg or .png, or - for standard output")
	case f.plot == "":
		return nil
	case !isPicture(f.plot):
		return command.WrongUse(c, "--plot is %q, which ends in %q; must end in .svg or .png", f.plot, filepath.Ext(f.plot))
	case files.IsStdout(f.plot) && (f.json || files.IsStdout(f.trace)):
		return command.WrongUse(c, "--plot %s and another flag both use standard output; must be one of them", f.plot)
	case files.SameFile(f.plot, f.trace):
		return command.WrongUse(c, "--plot and --trace are the same file %s; must be two", f.plot)
	}
	return nil
}

// showRun shows a run according to the flags.
func showRun(a *command.App, view *timeline, f *runFlags) error {
	switch {
	case files.IsStdout(f.trace), files.IsStdout(f.plot):
		_, _ = fmt.Fprintln(a.Stderr, outcomeLine(view.result)+obligationsOnly(view.faults))
		return nil
	case f.json:
		view.result.CheckDrop()
		return a.Printed(func(w io.Writer) error {
			return files.WriteJSON(w, Record{command.NewRecord(view.ready, view.result, view.given), view.against.record()})
		})
	}
	return a.Printed(func(w io.Writer) error {
		_, err := io.WriteString(w, view.text())
		return err
	})
}

// obligationsOnly notes what applies to a run with added faults, empty for another run.
func obligationsOnly(faults []catalogue.Selection) string {
	if len(faults) == 0 {
		return ""
	}
	return " (with --fault only the obligations apply)"
}

// draws is whether the page with its strips or a plot is wanted.
func (f *runFlags) draws() bool {
	return f.plot != "" || !f.json && !files.IsStdout(f.trace)
}

// outcomeLine is a run in one line.
func outcomeLine(r *sim.Result) string {
	word := "as expected"
	if !r.Met() {
		word = "NOT as expected"
	}
	parts := append([]string{fmt.Sprintf("end %s, verdict %s, class %s", r.End, r.Verdict, r.Class)}, command.Harm(r)...)
	return page.CleanLine(r.Scenario) + ": " + strings.Join(append(parts, word), "; ")
}

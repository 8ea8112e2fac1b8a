// Package lifecmd has the command life: months of production with the brake of a rig.
package lifecmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/life"
)

type lifeFlags struct {
	valuesOf  string                // scenario
	overrides command.OverrideFlags // set, sequence and seed alone
	plan      life.Plan

	span, interval, shift, cycle, window, service     string
	decline, failureEvery, failureTo, intervals, b10d string

	workers     int
	json, ascii bool
	csv, tests  string
	keep        command.KeepFlags
}

// New is the command life.
func New(a *command.App) *cobra.Command {
	f := &lifeFlags{plan: life.Default(0)}
	c := &cobra.Command{
		Use:   "life RIG",
		Short: "Months of production: wear, tests, exposure",
		Long: page.Prose(`Simulates months of production with the brake of a rig, many times: shifts, emergency stops by
the drive, power failures that wear and heat the brake, tests in idle windows or, if none comes in time, in production time, and a
lining that degrades slowly or fails suddenly. The result is the exposure, which is the time with
insufficient brake torque until it is detected, and its dependence on the test interval; the time with a
brake that misses the drop limit at a power failure, which no test detects; nuisance failures; lost
production; and how much earlier a trend of wind-up, slip or stopping distance would have warned.`,
			`An emergency stop is that of the safety side: SS1 with the rig's stop time, in which the drive brings
the axis to rest and the brakes close, then STO. At a power failure the brakes stop the moving load alone.
Both are runs of the plant with the wear and the temperature of that moment. A test is drawn from complete runs of rig and sequence that are made first, with brakes from no torque to new;
with --whole-runs every test is a complete run of its own, which takes longer.`,
			`--keep FILE keeps each history as soon as it is complete; the same command goes on behind them. --shard I/N
simulates one part of N, on any machine, and holdbench merge combines their files. Each part makes the runs from which
tests are drawn itself, and intervals are compared once all histories are there.`,
			`Times are written as 30s, 10m, 8h, 3d, 26w. Exit code 2 if a flag or a document cannot be used,
3 if interrupted; the histories that were complete are shown.`),
		Example: `  holdbench life pane-hoist
  holdbench life pane-hoist --shifts 2 --windows 2 --interval 24h --histories 50
  holdbench life kiln-gate --failure-every never --decline 0.5%/day
  holdbench life tilt-arm --failure-every 1000h --failure-to 0..0.3
  holdbench life tilt-arm --whole-runs --histories 2 --span 2w --intervals none
  holdbench life twin-lift --cycle 5s --b10d 60e6 --csv histories.csv`,
		Args:              command.OneArgument("RIG"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.RigKind)),
		RunE:              func(c *cobra.Command, args []string) error { return runStudy(a, c, args, f) },
	}
	f.add(c)
	a.AddReach(c)
	c.SetUsageTemplate(strings.ReplaceAll(c.UsageTemplate(), ".LocalFlags.FlagUsages", ".LocalFlags.FlagUsagesWrapped 80"))
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func (f *lifeFlags) add(c *cobra.Command) {
	flags, p := c.Flags(), &f.plan
	flags.SortFlags = false
	flags.StringVar(&f.span, "span", life.Text(p.Span), "the simulated `TIME` of each history")
	flags.StringVar(&f.interval, "interval", "", "the `TIME` that a proof lasts; default: the rig's")
	flags.StringVar(&f.intervals, "intervals", "", "intervals to compare, `TIMES` with commas, or none")
	flags.IntVar(&p.ShiftsPerDay, "shifts", p.ShiftsPerDay, "shifts a day")
	flags.StringVar(&f.shift, "shift", life.Text(p.Shift), "the `TIME` that a shift lasts")
	flags.IntVar(&p.DaysPerWeek, "days", p.DaysPerWeek, "days of production a week")
	flags.IntVar(&p.DaysPerYear, "days-a-year", 0, "days of production a year, for n_op; 0: 52 weeks")
	flags.StringVar(&f.cycle, "cycle", life.Text(p.Cycle), "the `TIME` of a cycle of the machine")
	flags.IntVar(&p.WindowsPerShift, "windows", p.WindowsPerShift, "idle windows a shift, the first at its beginning")
	flags.StringVar(&f.window, "window", life.Text(p.Window), "the `TIME` that a window lasts")
	flags.Float64Var(&p.StopsPerShift, "stops", p.StopsPerShift, "mean `NUMBER` of emergency stops a shift")
	flags.Float64Var(&p.PowerFailuresPerYear, "power-failures", p.PowerFailuresPerYear, "mean `NUMBER` of power failures a year, at full speed")
	flags.Float64Var(&p.AccessesPerShift, "accesses", 0, "`NUMBER` of accesses by guard a shift, as demands")
	flags.StringVar(&f.decline, "decline", "0", "loss of rated torque, a `RATE` as 0.1%/day, 1%/stop")
	flags.StringVar(&f.failureEvery, "failure-every", wordOnce, "mean `TIME` to a sudden failure; once, never")
	flags.StringVar(&f.failureTo, "failure-to", "0.1..0.5", "rated torque that is left after it, `LOW..HIGH`")
	flags.StringVar(&f.service, "service", life.Text(p.Service), "the `TIME` of the service after a failed test")
	flags.IntVar(&p.Histories, "histories", p.Histories, "number of simulated histories")
	flags.IntVar(&p.RunsPerEntry, "runs", p.RunsPerEntry, "runs of each brake from which tests are drawn")
	flags.BoolVar(&p.WholeRuns, "whole-runs", false, "make every test a complete run of its own")
	flags.StringVar(&f.b10d, "b10d", "", "B10d of the brake, a `NUMBER` of operations")
	flags.StringVar(&f.valuesOf, "values-of", "", "take the values that a `SCENARIO` sets, as from size; other flags precede")
	flags.StringArrayVar(&f.overrides.Set, "set", nil, "a value by `KEY=VALUE`, as judge.dwell=2s")
	f.overrides.SequenceFlag(c)
	f.overrides.Outside.Add(c)
	flags.Uint64Var(&f.overrides.Seed, "seed", 1, "`seed` of the random draws, from 1")
	command.AddWorkers(c, &f.workers)
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	flags.BoolVar(&f.json, "json", false, "print one JSON object on one line")
	flags.StringVar(&f.csv, "csv", "", "write one row a history to `FILE`; - is stdout")
	flags.StringVar(&f.tests, "tests", "", "write one row a test to `FILE`; - is stdout")
	f.keep.Add(c, "histories")
	f.complete(c)
	for _, b := range []struct {
		name      string
		low, high float64
	}{
		{"shifts", 1, 24}, {"days", 1, 7}, {"days-a-year", 0, 366}, {"windows", 0, 1000}, {"stops", 0, 1000},
		{"power-failures", 0, 100_000}, {"accesses", 0, 10_000}, {"histories", 1, 100_000}, {"runs", 1, 10_000},
	} {
		command.Bound(c, b.name, b.low, b.high)
	}
}

func (f *lifeFlags) complete(c *cobra.Command) {
	for _, name := range []string{
		"span", "interval", "intervals", "shifts", "shift", "days", "days-a-year", "cycle", "windows", "window", "stops", "power-failures", "accesses",
		"decline", "failure-to", "service", "histories", "runs", "b10d", "seed", "workers",
	} {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
	command.Complete(c, "failure-every", cobra.FixedCompletions([]string{wordOnce, wordNever}, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "values-of", command.CompleteNames(scenarios.ScenarioKind))
	command.Complete(c, "set", command.CompleteSettings)
	command.Complete(c, "csv", command.CompleteFiles("csv"))
	command.Complete(c, "tests", command.CompleteFiles("csv"))
}

// session is a study on its way, with its outputs.
type session struct {
	app   *command.App
	flags *lifeFlags
	study *life.Study
	b10d  float64 // 0 if it was not given
	files files.Outputs[[]life.Record]
	kept  *journalOfLife // nil without --keep
	again string         // the command that continues it

	took time.Duration
}

func runStudy(a *command.App, c *cobra.Command, args []string, f *lifeFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, end, err := f.overrides.Open(a, c, f.workers)
	if err != nil {
		return err
	}
	defer end()
	l, err := newSession(a, c, args[0], overrides, f)
	if err != nil {
		return err
	}
	l.again = command.Resumption(c, args)
	if err := choosePart(c, &f.keep, l.study); err != nil {
		return err
	}
	if l.files, err = files.OpenOutputs(a.Stdout, files.Output[[]life.Record]{Path: f.csv, Write: writeHistories}, files.Output[[]life.Record]{Path: f.tests, Write: writeTests}); err != nil {
		return err
	}
	if l.kept, err = openJournal(a, &f.keep, l.study); err != nil {
		l.files.Abandon()
		return err
	}
	err = errors.Join(l.work(c.Context()), l.kept.end())
	stopped := errors.Is(err, context.Canceled)
	if err != nil && !stopped {
		l.files.Abandon()
		return err
	}
	if len(l.study.Records) == 0 {
		l.files.Abandon()
		return command.Interrupted("interrupted before a history was complete; nothing to show")
	}
	if err := errors.Join(l.print(), l.files.Write(l.study.Records)); err != nil {
		return err
	}
	l.reportTime(stopped)
	if stopped {
		return command.Exit(command.ExitInterrupted)
	}
	return nil
}

// newSession reads what is to be simulated, and reports all that is wrong with the flags at once.
func newSession(a *command.App, c *cobra.Command, reference string, overrides scenarios.Overrides, f *lifeFlags) (*session, error) {
	values, err := f.valuesTaken(c, a.Reach)
	if err != nil {
		return nil, err
	}
	rig, warnings, err := scenarios.LoadRig(reference)
	if err != nil {
		return nil, err
	}
	a.TellWarnings(warnings)
	b10d, err := f.read(c, rig.Judge.Interval)
	if err != nil {
		return nil, err
	}
	overrides.Sequence = scenarios.SequenceFor(rig, overrides.Sequence)
	logic, warnings, err := scenarios.LoadLogic(overrides.Sequence, a.Reach)
	if err != nil {
		return nil, err
	}
	a.TellWarnings(warnings)
	if overrides.Outside != nil {
		if logic, _, err = overrides.Outside(logic, rig); err != nil {
			return nil, err
		}
	}
	if c.Flags().Changed("interval") {
		if mistakes := f.plan.Check(); len(mistakes) > 0 {
			return nil, planProblems(c, mistakes)
		}
		if err := setInterval(c, overrides.Set, logic.About(), f.plan.Interval); err != nil {
			return nil, err
		}
	}
	for key, value := range overrides.Set { // the flags take precedence over --values-of
		values[oneName(key)] = value
	}
	overrides.Set = values
	ready, warnings, err := scenarios.CaseOfRig(sim.Scenario{Scenario: "life", Seed: 1, Set: overrides.Set}, reference, rig, logic)
	if err := a.TellProblems(reference, overrides, warnings, err); err != nil {
		return nil, err
	}
	ready.Sources = append(f.valuesSource(), scenarios.Sources(reference, overrides.Sequence, a.Reach)...)
	if err := sameInterval(c, ready); err != nil {
		return nil, err
	}
	f.plan.Interval = ready.Rig.Judge.Interval // --set may have set it
	if mistakes := f.plan.Check(); len(mistakes) > 0 {
		return nil, planProblems(c, mistakes)
	}
	study, err := life.NewStudy(ready, f.plan)
	if err != nil {
		return nil, err
	}
	study.ShownAlone = f.tests == ""
	return &session{app: a, flags: f, study: study, b10d: b10d}, nil
}

// valuesTaken are what the scenario of --values-of sets.
func (f *lifeFlags) valuesTaken(c *cobra.Command, reach scenarios.Reach) (map[string]string, error) {
	if f.valuesOf == "" {
		if c.Flags().Changed("values-of") {
			return nil, command.WrongUse(c, "--values-of is empty; must be a built-in scenario or a file")
		}
		return map[string]string{}, nil
	}
	of, _, err := scenarios.LoadCase(f.valuesOf, scenarios.Overrides{Reach: reach})
	if err != nil {
		return nil, err
	}
	set := map[string]string{}
	for key, value := range of.Scenario.Set {
		set[oneName(key)] = value
	}
	return set, nil
}

// valuesSource is the document of --values-of, none without it.
func (f *lifeFlags) valuesSource() []sim.Document {
	if f.valuesOf == "" {
		return nil
	}
	place, text, err := scenarios.Text(scenarios.ScenarioKind, f.valuesOf)
	if err != nil {
		return nil // it was read a moment ago
	}
	return []sim.Document{sim.NewDocument(string(scenarios.ScenarioKind), place, text)}
}

// work runs the tests to draw from, simulates the histories and compares the intervals.
func (l *session) work(ctx context.Context) error {
	started := time.Now()
	defer func() { l.took = time.Since(started) }()
	for _, part := range []struct {
		doing string
		do    func(context.Context, int, life.Progress) error
	}{
		{"testing brakes, run", l.study.Measure},
		{"simulating, history", l.simulate},
		{"comparing intervals, history", l.study.Compare},
	} {
		bar := l.app.Progress(part.doing, 0)
		err := part.do(ctx, l.flags.workers, bar.At)
		bar.Done()
		if err != nil {
			return err
		}
	}
	return nil
}

// simulate simulates the histories. Of a part the intervals are not compared: that takes all histories, and little
// time.
func (l *session) simulate(ctx context.Context, workers int, p life.Progress) error {
	if l.study.Part.Of > 1 {
		l.study.Plan.Intervals = nil
	}
	if err := l.study.Simulate(ctx, workers, p); err != nil {
		return err
	}
	return l.kept.finish(len(l.study.Records))
}

// print shows the study, unless a file has standard output.
func (l *session) print() error {
	if files.IsStdout(l.flags.csv) || files.IsStdout(l.flags.tests) {
		return nil
	}
	return l.app.Printed(func(w io.Writer) error {
		if l.flags.json {
			o, err := l.object()
			if err != nil {
				return err
			}
			return files.WriteJSON(w, o)
		}
		_, err := io.WriteString(w, l.page(l.app.Screen(l.flags.ascii)).text())
		return err
	})
}

// reportTime prints the time taken and what is missing to standard error: the output that is
// compared does not contain it.
func (l *session) reportTime(stopped bool) {
	done, all := len(l.study.Records), l.study.Histories()
	_, _ = fmt.Fprintf(l.app.Stderr, "%s in %.2f s with %s\n", page.Count(done, "history", "histories"), l.took.Seconds(), page.Count(l.flags.workers, "worker", "workers"))
	switch {
	case stopped && done < all:
		_, _ = fmt.Fprintf(l.app.Stderr, "interrupted after %d of %s; no intervals were compared\n", done, page.Count(all, "history", "histories"))
		if l.kept != nil {
			_, _ = fmt.Fprintf(l.app.Stderr, "they are kept in %s; to continue:\n  %s\n", page.CleanLine(l.flags.keep.File), l.again)
		}
	case stopped:
		_, _ = fmt.Fprintf(l.app.Stderr, "interrupted after %d of %s\n", len(l.study.Compared), page.Count(len(l.study.Plan.Intervals), "interval", "intervals"))
	}
}

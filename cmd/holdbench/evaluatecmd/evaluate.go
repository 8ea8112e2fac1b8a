// Package evaluatecmd has the command evaluate: a recorded test of a real brake, judged again.
package evaluatecmd

import (
	"context"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/evaluate"
)

type evaluateFlags struct {
	overrides   command.OverrideFlags // set and rig alone
	reading     command.RecordingFlags
	date        string
	maxGap      time.Duration
	phases      int
	plot        string
	scenario    string
	json, ascii bool
}

// evaluated is a recording with all that it is judged by.
type evaluated struct {
	ready    *sim.Case // the rig with what is set on the command line
	recorded *recording.Recording
	result   *evaluate.Evaluation
	beside   *evaluate.Beside // nil if there is none
	alone    string           // why there is none
	settings []string         // of --set
	doubts   []string         // about the recording
}

// New is the command evaluate.
func New(a *command.App) *cobra.Command {
	f := &evaluateFlags{}
	c := &cobra.Command{
		Use:   "evaluate FILE",
		Short: "Judge a recorded test of a real brake again",
		Long: page.Prose(`Reads a recorded brake test of a real axis (FILE.csv) and judges it again with the judge of a rig: its
requirement, window, dwell, deadline and directions, at its own scan, each signal held at its last sample. For
each direction it prints the verdict with the margins in torque, movement and time, and at which window, dwell
or requirement it changes; then figures that can be followed over months, and what the signals show
of the obligations of a run. Beside it is laid a simulated run of the same test, aligned by the closing of the brake.`,
			`Required are a position (position_mm, position_deg or angle_rad), a current or a torque (judge_current_amp_a,
current_amp_a, current_rms_a, torque_nm), and the feedback brake_closed or the command brake. The command ask and
required_current_a are used if they are there. What is not recorded is assumed, and the page says so: as required
current what size gives for the rig. The phase of
the real scan is unknown: the test is judged at several, and the worst verdict counts. A gap in position or
current that is longer than --max-gap ends a check without a verdict.`,
			command.RecordingHelp(),
			`This is a second look by a model of a judge. The verdict of the certified safety function is the one that
counts. Exit code 0 if the brake was proven and no obligation was seen to be broken; 1 if not, or if the proof is
not to be relied on: by a requirement below that of holdbench size, against the bare test torque, by a value of --set
that makes the judge or its requirement weaker than that of the rig, by a position
that could not have shown a movement, by a position or a time that the speed, the inertia or the brake of the rig
contradicts, or by samples that are too far apart (five safety scans, whatever --max-gap
accepts) or too few in the dwell (less than five); 2 if the recording cannot be used.`),
		Example: `  holdbench evaluate measured.csv --rig pane-hoist
  holdbench evaluate measured.csv --rig pane-hoist --set judge.window_deg=0.5
  holdbench evaluate measured.csv --rig pane-hoist --date 2026-11-28
  holdbench evaluate measured.csv --rig pane-hoist --plot measured.svg
  holdbench evaluate measured.csv --rig pane-hoist --scenario lining-worn-thin
  holdbench evaluate measured.csv --rig pane-hoist --json`,
		Args:              command.OneArgument("FILE"),
		ValidArgsFunction: command.FirstOnly(command.CompleteFiles("csv")),
		RunE:              func(c *cobra.Command, args []string) error { return evaluateFile(a, c, args[0], f) },
	}
	f.add(c)
	a.AddReach(c)
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func (f *evaluateFlags) add(c *cobra.Command) {
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.overrides.Rig, "rig", "", "the rig of the axis, `NAME or FILE`; required")
	flags.StringArrayVar(&f.overrides.Set, "set", nil, "another value of the rig, `KEY=VALUE` as judge.dwell=2s")
	flags.StringVar(&f.scenario, "scenario", "", "the run that is laid beside it, `NAME or FILE`; without it the test of the rig without a fault")
	flags.StringVar(&f.date, "date", "", "`DATE` of the test, as 2026-11-28 or 2026-11-28T06:30:00; without it that of date-time stamps in the file")
	flags.DurationVar(&f.maxGap, "max-gap", 0, "longest `TIME` without a sample of position or current in a check; without it five safety scans")
	flags.IntVar(&f.phases, "phases", 0, "at how many phases within a safety scan the test is judged, a `NUMBER`; without it 8")
	command.BoundTime(c, "max-gap", 0, time.Hour)
	command.Bound(c, "phases", 1, evaluate.MaxPhases)
	flags.StringVar(&f.plot, "plot", "", "draw the test over time to `FILE` .svg or .png")
	flags.BoolVar(&f.json, "json", false, "print one JSON object on one line")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	f.reading.Add(c)
	command.Complete(c, "rig", command.CompleteNames(scenarios.RigKind))
	command.Complete(c, "scenario", command.CompleteNames(scenarios.ScenarioKind))
	command.Complete(c, "set", command.CompleteSettings)
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
	for _, name := range []string{"date", "max-gap", "phases"} {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
}

// validate refuses flags that mean nothing.
func (f *evaluateFlags) validate(c *cobra.Command) error {
	ending := strings.ToLower(filepath.Ext(f.plot))
	switch {
	case f.overrides.Rig == "":
		return command.WrongUse(c, "--rig is missing; must be the rig of the axis, a built-in name or a file")
	case c.Flags().Changed("max-gap") && f.maxGap <= 0:
		return command.WrongUse(c, "--max-gap is %v; must be a time above 0, such as 40ms", f.maxGap)
	case c.Flags().Changed("plot") && !files.IsDevice(f.plot) && ending != ".svg" && ending != ".png":
		return command.WrongUse(c, "--plot is %q, which ends in %q; must end in .svg or .png", f.plot, filepath.Ext(f.plot))
	case files.IsStdout(f.plot) && f.json:
		return command.WrongUse(c, "--plot %s and --json both use standard output; must be one of them", f.plot)
	}
	if f.date == "" {
		return nil
	}
	for _, layout := range []string{time.DateOnly, "2006-01-02T15:04:05", time.RFC3339} {
		if _, err := time.Parse(layout, f.date); err == nil {
			return nil
		}
	}
	return command.WrongUse(c, "--date is %q; must be a date such as 2026-11-28, or with a time, 2026-11-28T06:30:00", f.date)
}

func evaluateFile(a *command.App, c *cobra.Command, path string, f *evaluateFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	z := &evaluated{settings: command.NewGiven(overrides, nil).Settings}
	if z.ready, err = a.LoadRigCase(overrides); err != nil {
		return err
	}
	if err := z.read(a, c, path, f); err != nil {
		return err
	}
	if err := z.judge(c.Context(), path, overrides, f); err != nil {
		return err
	}
	if err := z.simulate(c.Context(), a, overrides, f); err != nil {
		return err
	}
	if err := z.show(a, f); err != nil {
		return err
	}
	if !z.result.OK() {
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// judge judges the recording with the rig and what is set, and compares that with the rig itself.
func (z *evaluated) judge(ctx context.Context, path string, given scenarios.Overrides, f *evaluateFlags) error {
	o := evaluate.Options{MaxGap: f.maxGap, Phases: f.phases, Date: f.date}
	var err error
	if len(given.Set) > 0 {
		if o.Own, _, err = scenarios.LoadRig(given.Rig); err != nil {
			return err
		}
	}
	if z.result, err = command.EvaluateRecording(ctx, &z.ready.Rig, z.recorded, o); err != nil {
		return command.Unusable(path, err)
	}
	return nil
}

// read reads the recording, and says what is not plausible in it.
func (z *evaluated) read(a *command.App, c *cobra.Command, path string, f *evaluateFlags) error {
	options, err := f.reading.Read(c)
	if err != nil {
		return err
	}
	if z.recorded, err = command.ReadRecording(c.Context(), path, options); err != nil {
		return err
	}
	if z.doubts, err = f.reading.Doubts(c.Context(), a, z.recorded, &z.ready.Rig); err != nil {
		return err
	}
	z.recorded.Source = filepath.Base(path)
	return nil
}

// simulate lays a run beside the recording: that of the scenario that is named, else the test of the rig without
// a fault.
func (z *evaluated) simulate(ctx context.Context, a *command.App, o scenarios.Overrides, f *evaluateFlags) error {
	if f.scenario != "" {
		var err error
		if z.ready, err = a.LoadCase(f.scenario, o); err != nil {
			return err
		}
	}
	var err error
	if z.beside, err = z.result.Run(ctx, z.ready, z.recorded); err != nil {
		z.alone = err.Error()
	}
	return ctx.Err()
}

// show writes the picture, and prints what was found in the format of the flags.
func (z *evaluated) show(a *command.App, f *evaluateFlags) error {
	return command.ShowPlotted(a, z, &command.Plotted[*evaluated]{
		Plot: files.Output[*evaluated]{Path: f.plot, Write: f.draw}, JSON: f.json, Object: func() any { return z.object() },
		Text: func() string {
			v := &evaluationPage{Sheet: page.NewSheet(a.Screen(f.ascii)), evaluated: z}
			return v.text()
		},
	})
}

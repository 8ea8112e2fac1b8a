// Package diffcmd has the command diff: two runs compared.
package diffcmd

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/compare"
)

type diffFlags struct {
	overrides        command.OverrideFlags
	faults           []string
	align            string
	at               time.Duration
	plot             string
	nominal          bool
	all, json, ascii bool
}

// New is the command diff.
func New(a *command.App) *cobra.Command {
	f := &diffFlags{}
	c := &cobra.Command{
		Use:   "diff A [B]",
		Short: "Compare two runs",
		Long: page.Prose(`Runs two scenarios, built in or from files, and compares run B with run A: the first difference in a signal that
the sequence reads or sets, and the first one of the true state; where the paths of states part and join again;
what came of both; and all values at one moment. Differences are B − A. With one scenario, B is the same scenario with what
the flags put in place: --set, --rig, --sequence, --seed, --fault, or --nominal, which leaves out its faults. With two
scenarios the flags change B.`,
			`--align says which moments belong together: time, the same time since the start; state:NAME, the first entry of a
state; event:TEXT, the first event of a kind or with a text in it; #2 behind it is the second one. Differences of
signals are sought from that moment on. --at is a time of A; without it the values are those of the first difference.`,
			compare.ToleranceText()+` With another seed, or aligned at other times, the noise of the sensors is another one: then what the
sequence keeps and sets may differ by the noise of the inputs of its unit, and all but positions, angles and times by
2 % of their range in the run. How far a brake slips is then another figure, and is reported.`,
			`Exit code 0 if nothing differs; 1 if something does; 2 wrong use or a bad document.`),
		Example: `  holdbench diff healthy-down lining-worn-thin
  holdbench diff lining-worn-thin --nominal
  holdbench diff healthy-down --set judge.dwell=2s
  holdbench diff healthy-down --fault lining-worn --align state:press_down
  holdbench diff healthy-down --seed 2
  holdbench diff healthy-down lining-worn-thin --at 3.5s --all
  holdbench diff healthy-down lining-worn-thin --plot difference.svg
  holdbench diff healthy-down lining-worn-thin --json`,
		Args:              oneOrTwo,
		ValidArgsFunction: completeScenarios,
		RunE:              func(c *cobra.Command, args []string) error { return diff(a, c, args, f) },
	}
	f.add(c)
	a.AddReach(c)
	return c
}

func (f *diffFlags) add(c *cobra.Command) {
	f.overrides.Add(c)
	flags := c.Flags()
	flags.StringArrayVar(&f.faults, "fault", nil, command.FaultUsage)
	flags.BoolVar(&f.nominal, "nominal", false, "leave out the faults of B")
	flags.StringVar(&f.align, "align", string(compare.AtTime), "align at a `MOMENT`")
	flags.DurationVar(&f.at, "at", 0, "print the values at a `TIME` of A")
	command.BoundTime(c, "at", 0, 24*time.Hour)
	flags.BoolVar(&f.all, "all", false, "print the values that do not differ, too")
	flags.StringVar(&f.plot, "plot", "", "draw both runs over time to `FILE` .svg or .png")
	flags.BoolVar(&f.json, "json", false, "print one JSON object on one line")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	command.Complete(c, "fault", command.CompleteFaults)
	command.Complete(c, "align", completeAlign)
	command.Complete(c, "at", cobra.NoFileCompletions)
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
}

func oneOrTwo(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return command.WrongUse(c, "A is missing: %s", c.UseLine())
	case len(args) > 2:
		return command.WrongUse(c, "%s takes two scenarios at most; found %d: %s", c.CommandPath(), len(args), strings.Join(args, " "))
	}
	return nil
}

func completeScenarios(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(args) > 1 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return command.CompleteNames(scenarios.ScenarioKind)(c, args, word)
}

// completeAlign completes the kinds of moments, and states behind state: and kinds of events behind event:.
func completeAlign(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	const more = cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	by, _, named := strings.Cut(word, ":")
	list := []cobra.Completion{string(compare.AtTime)}
	switch {
	case named && by == string(compare.AtEvent):
		list = nil
		for _, kind := range sim.EventKinds() {
			list = append(list, by+":"+kind)
		}
	case named && by == string(compare.AtState):
		list = nil
		if d := command.SequenceInQuestion(c, args); d != nil {
			for _, s := range d.States {
				list = append(list, by+":"+s.Name)
			}
		}
	default:
		list = append(list, string(compare.AtState)+":", string(compare.AtEvent)+":")
		return list, more
	}
	return list, cobra.ShellCompDirectiveNoFileComp
}

// given are the flags as they were read.
type given struct {
	overrides scenarios.Overrides
	faults    []catalogue.Selection
	align     compare.Alignment
	at        *float64 // s, nil for the first difference
}

// read refuses flags that mean nothing before anything runs.
func (f *diffFlags) read(c *cobra.Command, args []string) (*given, error) {
	ending := strings.ToLower(filepath.Ext(f.plot))
	changed := f.overrides.Given(c) || len(f.faults) > 0 || f.nominal
	switch {
	case len(args) == 1 && !changed:
		return nil, command.WrongUse(c, "B is missing; must be a second scenario, --nominal, or what B has otherwise: --set, --rig, --sequence, --seed or --fault")
	case f.nominal && len(f.faults) > 0:
		return nil, command.WrongUse(c, "--nominal leaves out the faults of B and --fault adds one; must be one of them")
	case c.Flags().Changed("plot") && !files.IsDevice(f.plot) && ending != ".svg" && ending != ".png":
		return nil, command.WrongUse(c, "--plot is %q, which ends in %q; must end in .svg or .png", f.plot, filepath.Ext(f.plot))
	case files.IsStdout(f.plot) && f.json:
		return nil, command.WrongUse(c, "--plot %s and --json both use standard output; must be one of them", f.plot)
	}
	g := &given{}
	var err error
	if g.align, err = compare.ParseAlignment(f.align); err != nil {
		return nil, command.WrongUse(c, "--align: %v", err)
	}
	if g.overrides, err = f.overrides.Read(c); err != nil {
		return nil, err
	}
	if g.faults, err = command.ReadFaults(c, f.faults); err != nil {
		return nil, err
	}
	if c.Flags().Changed("at") {
		at := f.at.Seconds()
		g.at = &at
	}
	return g, nil
}

func diff(a *command.App, c *cobra.Command, args []string, f *diffFlags) error {
	g, err := f.read(c, args)
	if err != nil {
		return err
	}
	one, other, err := load(a, args, g, f.nominal)
	if err != nil {
		return err
	}
	d, err := compared(c.Context(), one, other, g)
	if err != nil {
		return err
	}
	d.given, d.nominal = command.NewGiven(g.overrides, f.faults), f.nominal
	if err := d.show(a, f); err != nil {
		return err
	}
	if !d.Same() {
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// load loads both cases: A as it is, B with what the flags put in place.
func load(a *command.App, args []string, g *given, nominal bool) (one, other *sim.Case, err error) {
	if one, err = a.LoadCase(args[0], scenarios.Overrides{Reach: g.overrides.Reach}); err != nil {
		return nil, nil, err
	}
	if other, err = a.LoadCase(args[len(args)-1], g.overrides); err != nil {
		return nil, nil, err
	}
	if nominal {
		other = other.Nominal()
	}
	if len(g.faults) > 0 {
		other, err = command.WithFaults(other, g.faults)
	}
	return one, other, err
}

// difference is a comparison with what the page says of it.
type difference struct {
	*compare.Comparison
	given   command.Given // what B has otherwise
	nominal bool
	at      *float64 // s of A, at which values are wanted; nil if nothing differs and none is
}

// compared runs both cases and compares them.
func compared(ctx context.Context, one, other *sim.Case, g *given) (*difference, error) {
	a, err := compare.Record(ctx, one)
	if err != nil {
		return nil, err
	}
	b, err := compare.Record(ctx, other)
	if err != nil {
		return nil, err
	}
	c, err := compare.Of(a, b, g.align)
	if err != nil {
		return nil, fmt.Errorf("--align %s: %w", g.align, err)
	}
	d := &difference{Comparison: c, at: g.at}
	if g.at != nil {
		return d, d.within(*g.at)
	}
	if first := c.First(); first != nil {
		d.at = &first.AtAS
	}
	return d, nil
}

// within refuses a moment that one of the runs does not have.
func (d *difference) within(atAS float64) error {
	from, to := max(0, -d.ShiftS()), min(d.A.EndS(), d.B.EndS()-d.ShiftS())
	if atAS < from || atAS > to {
		return fmt.Errorf("--at %s is not in both runs; must be from %s to %s of A", page.Seconds(atAS), page.Seconds(from), page.Seconds(to))
	}
	return nil
}

// show writes the picture, and prints the comparison in the format of the flags.
func (d *difference) show(a *command.App, f *diffFlags) error {
	write := func(w io.Writer, d *difference) error {
		if strings.EqualFold(filepath.Ext(f.plot), ".png") {
			return d.picture().PNG(w)
		}
		return d.picture().SVG(w)
	}
	return command.ShowPlotted(a, d, &command.Plotted[*difference]{
		Plot: files.Output[*difference]{Path: f.plot, Write: write}, JSON: f.json, Object: func() any { return d.object() },
		Text: func() string {
			v := &differencePage{Sheet: page.NewSheet(a.Screen(f.ascii)), difference: d, all: f.all}
			return v.text()
		},
	})
}

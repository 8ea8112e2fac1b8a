package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/runcmd"
	"holdbench/cmd/holdbench/terminal"
	"holdbench/cmd/holdbench/terminal/progress"
	"holdbench/cmd/holdbench/terminal/screens"
	"holdbench/scenarios"
)

// bareFlags are the flags of the program without a command.
type bareFlags struct {
	overrides command.OverrideFlags
	attach    command.AttachFlags
	scenario  string
	ascii     bool
	theme     string
	player    string
	results   string
	large     bool
	serve     string
	follow    string

	serveTruth bool
	hideTruth  bool
}

func (f *bareFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.scenario, "scenario", "", "begin with `NAME or FILE`")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().BoolVar(&f.large, "large", false, "draw in block letters, for a projector")
	c.Flags().StringVar(&f.serve, "serve", "", "show the run to followers at a local `ADDRESS`")
	c.Flags().BoolVar(&f.serveTruth, "serve-truth", false, "show followers the truth of riddles; no results")
	c.Flags().StringVar(&f.follow, "follow", "", "follow the bench at a local `ADDRESS`, read-only")
	c.Flags().BoolVar(&f.hideTruth, "hide-truth", false, "follow without the truth")
	c.Flags().StringVar(&f.theme, "theme", "auto", "`THEME`: auto, dark or light")
	c.Flags().StringVar(&f.player, "player", "", "`NAME` in the results of riddles")
	c.Flags().StringVar(&f.results, "results", "", "append the results of riddles to `FILE`")
	f.overrides.Add(c)
	f.overrides.Outside.Add(c)
	f.attach.Add(c)
	command.Complete(c, "player", cobra.NoFileCompletions)
	command.Complete(c, "results", command.CompleteFiles("jsonl"))
	command.Complete(c, "scenario", command.CompleteNames(scenarios.ScenarioKind))
	command.Complete(c, "serve", cobra.NoFileCompletions)
	command.Complete(c, "follow", cobra.NoFileCompletions)
	command.Complete(c, "theme", cobra.FixedCompletions([]string{"auto", "dark", "light"}, cobra.ShellCompDirectiveNoFileComp))
}

// bare is the program without a command: the bench on a terminal, or else the run that the bench
// would begin with.
func bare(a *command.App, c *cobra.Command, f *bareFlags) error {
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	theme, err := f.background(a, c)
	if err != nil {
		return err
	}
	if c.Flags().Changed("follow") {
		return f.followBench(a, c, theme)
	}
	if f.hideTruth {
		return command.WrongUse(c, "--hide-truth is for --follow; on the bench, h hides the truth")
	}
	if err := f.checkServeTruth(c); err != nil {
		return err
	}
	f.scenario = cmp.Or(f.scenario, command.Demo)
	in, out, why := bothTerminal(a)
	if why != "" {
		if c.Flags().Changed("attach") {
			return command.WrongUse(c, "--attach is for the bench, and %s; must be holdbench attach there", why)
		}
		_, _ = fmt.Fprintf(a.Stderr, "%s, so this is the plain run of %s; on a terminal the bench opens. More: holdbench --help\n", why, f.scenario)
		return runcmd.Plain(a, c, f.scenario, f.overrides, f.ascii)
	}
	const benchRuns = 2 // that go on at once: the run shown, and one beside it
	attached, err := f.attach.Open(a, c, &f.overrides.Outside, benchRuns, &overrides)
	if err != nil {
		return err
	}
	defer attached.End()
	if c.Flags().Changed("attach") {
		_, _ = io.WriteString(a.Stderr, caution.Attached)
	}
	first, warnings, err := scenarios.LoadCase(f.scenario, overrides) // before the screen is taken, so that errors can be read and copied
	if err != nil {
		return err
	}
	server, err := f.serving(a, c)
	if err != nil {
		return err
	}
	if server != nil {
		defer server.Close()
	}
	err = openBench(c.Context(), terminal.Options{
		Serve: server, Truth: f.serveTruth,
		In: in, Out: out, Reference: f.scenario, Overrides: overrides, Case: first, Warnings: screens.Warnings(warnings), Folder: ".",
		Progress: progress.File(a.Env), Results: cmp.Or(f.results, progress.ResultsFile(a.Env)), Player: f.player, ASCII: f.ascii, Large: f.large, Colours: terminal.Colours{Number: a.Colours(), Theme: theme}, Waiting: attached.Waiting, RealTime: attached.RealTime, End: attached.End,
	})
	if attached.Report != nil {
		_, _ = fmt.Fprintln(a.Stderr, attached.Report())
	}
	return err
}

// background is the theme that was given, or that of the terminal as far as it states it.
func (f *bareFlags) background(a *command.App, c *cobra.Command) (terminal.Theme, error) {
	theme, ok := terminal.ThemeNamed(f.theme, a.Env("COLORFGBG"))
	if !ok {
		return theme, command.WrongUse(c, "--theme is %q; must be auto, dark or light", f.theme)
	}
	return theme, nil
}

func openBench(ctx context.Context, o terminal.Options) error {
	err := terminal.Run(ctx, o)
	if errors.Is(err, context.Canceled) {
		return command.Interrupted("interrupted; changes that were not kept as a scenario are lost")
	}
	return err
}

// bothTerminal gives standard input and output if the bench can open on them, or the reason why it
// cannot.
func bothTerminal(a *command.App) (in, out *os.File, why string) {
	in, out = asTerminal(a.Stdin), asTerminal(a.Stdout)
	switch {
	case out == nil:
		return nil, nil, "standard output is no terminal"
	case in == nil:
		return nil, nil, "standard input is no terminal"
	case a.Dumb():
		return nil, nil, "the terminal is dumb (TERM)"
	}
	return in, out, ""
}

// asTerminal is the file behind a stream, nil if it is no terminal.
func asTerminal(stream any) *os.File {
	if f, ok := stream.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return f
	}
	return nil
}

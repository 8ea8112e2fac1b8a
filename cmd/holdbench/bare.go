package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"holdbench/cmd/holdbench/terminal"
	"holdbench/cmd/holdbench/terminal/screens"
	"holdbench/scenarios"
)

// demo is the scenario that the program shows when nobody asks for another.
const demo = "healthy-down-and-up"

// bareFlags are the flags of the program without a command.
type bareFlags struct {
	overrides overrideFlags
	scenario  string
	ascii     bool
}

func (f *bareFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.scenario, "scenario", "", "begin with `NAME or FILE`")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	f.overrides.add(c)
	complete(c, "scenario", completeNames(scenarios.ScenarioKind))
}

// bare is the program without a command: the bench on a terminal, and where there is
// none the run that it would begin with.
func (a *app) bare(c *cobra.Command, f *bareFlags) error {
	overrides, err := f.overrides.read(c)
	if err != nil {
		return err
	}
	f.scenario = cmp.Or(f.scenario, demo)
	in, out, why := a.bothTerminal()
	if why != "" {
		_, _ = fmt.Fprintf(a.stderr, "%s, so this is the plain run of %s; on a terminal the bench opens. More: holdbench --help\n", why, f.scenario)
		return a.runScenario(c, f.scenario, &runFlags{ascii: f.ascii, overrides: f.overrides})
	}
	first, doubts, err := scenarios.LoadCase(f.scenario, overrides) // before the screen is taken, so that errors can be read and copied
	if err != nil {
		return err
	}
	return openBench(c.Context(), terminal.Options{
		In: in, Out: out, Reference: f.scenario, Overrides: overrides, Case: first, Doubts: screens.Doubts(doubts), Folder: ".",
		ASCII: f.ascii, Profile: a.profile(),
	})
}

func openBench(ctx context.Context, o terminal.Options) error {
	err := terminal.Run(ctx, o)
	if errors.Is(err, context.Canceled) {
		return interrupted("interrupted; what was not kept as a scenario is gone")
	}
	return err
}

// bothTerminal gives standard input and output if the bench can open on them, or says
// why it cannot.
func (a *app) bothTerminal() (in, out *os.File, why string) {
	in, out = asTerminal(a.stdin), asTerminal(a.stdout)
	switch {
	case out == nil:
		return nil, nil, "standard output is no terminal"
	case in == nil:
		return nil, nil, "standard input is no terminal"
	case a.dumb():
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

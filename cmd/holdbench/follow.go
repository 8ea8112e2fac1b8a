package main

import (
	"errors"
	"fmt"

	"context"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/cmd/holdbench/terminal"
	"holdbench/cmd/holdbench/terminal/follow"
)

// serving serves the bench to followers if it is to; nil if not.
func (f *bareFlags) serving(a *command.App, c *cobra.Command) (*follow.Server, error) {
	if !c.Flags().Changed("serve") {
		return nil, nil //nolint:nilnil // none is no error
	}
	server, err := follow.Serve(c.Context(), f.serve)
	if err != nil {
		return nil, command.WrongUse(c, "--serve %v", err)
	}
	_, _ = fmt.Fprintf(a.Stderr, "followers: holdbench --follow %s\n", server.Address())
	return server, nil
}

// checkServeTruth wants followers for the truth, and no results of riddles whose truth can be followed.
func (f *bareFlags) checkServeTruth(c *cobra.Command) error {
	switch {
	case !f.serveTruth:
		return nil
	case !c.Flags().Changed("serve"):
		return command.WrongUse(c, "--serve-truth is for followers; must be with --serve ADDRESS")
	case c.Flags().Changed("results"):
		return command.WrongUse(c, "--serve-truth shows the truth of riddles, whose results --results would keep; must be one of them")
	}
	return nil
}

// followBench is the follower of a bench, which needs nothing else that a bench has.
func (f *bareFlags) followBench(a *command.App, c *cobra.Command, theme terminal.Theme) error {
	for _, name := range []string{"scenario", "set", "rig", "sequence", "seed", "attach", "serve", "serve-truth"} {
		if c.Flags().Changed(name) {
			return command.WrongUse(c, "--follow shows the run of another bench and --%s is for a bench; must be one of them", name)
		}
	}
	in, out, why := bothTerminal(a)
	if why != "" {
		return command.WrongUse(c, "--follow needs a terminal, and %s", why)
	}
	ended, err := follow.Run(c.Context(), follow.Options{
		In: in, Out: out, Address: f.follow, HideTruth: f.hideTruth, Large: f.large, ASCII: f.ascii,
		Colours: terminal.Colours{Number: a.Colours(), Theme: theme},
	})
	switch {
	case errors.Is(err, context.Canceled):
		return command.Interrupted("interrupted")
	case err != nil:
		return fmt.Errorf("--follow %w", err)
	case ended != "":
		_, _ = fmt.Fprintln(a.Stderr, page.CleanLine(ended))
	}
	return nil
}

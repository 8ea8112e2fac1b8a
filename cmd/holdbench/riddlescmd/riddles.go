// Package riddlescmd has the command riddles: a sheet of riddles for a class, and its answers.
package riddlescmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim/training"
)

// mostRiddles bounds a sheet: each takes about a second to draw.
const mostRiddles = 100

type riddlesFlags struct {
	level, out, answers string
	number              int
	seed                uint64
}

// New is the command riddles.
func New(a *command.App) *cobra.Command {
	f := &riddlesFlags{}
	c := &cobra.Command{
		Use:   "riddles [SCENARIO]",
		Short: "Print a sheet of riddles for a class, and the answers apart",
		Long: page.Prose(`Draws riddles on the rig and the sequence of a scenario, without its faults, and prints a sheet that says how to
open each on the bench, with room for what is found. Everybody who gives the same level and seed there has the same
riddle. No fault is on the sheet twice until the level has no other: seeds that would repeat one are left out. The answers are written to a file of their own: the cause, its moment, the remedy, the proof that it can be seen,
and what speaks against each wrong cause.`, levelsText()),
		Example: `  holdbench riddles --number 2 --seed 101 --answers answers.txt
  holdbench riddles healthy-down --level mild --number 1`,
		Args:              atMostOne,
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return riddles(a, c, args, f) },
	}
	flags := c.Flags()
	flags.StringVar(&f.level, "level", string(training.One), "`LEVEL` of the riddles")
	flags.IntVar(&f.number, "number", 10, "`NUMBER` of riddles")
	flags.Uint64Var(&f.seed, "seed", 0, "first seed `NUMBER`, if not one drawn anew")
	flags.StringVarP(&f.out, "out", "o", "", "write the sheet to `FILE` .html or .txt")
	flags.StringVar(&f.answers, "answers", "", "write the answers to `FILE` .html or .txt")
	command.Bound(c, "number", 1, mostRiddles)
	var levels []string
	for _, row := range training.Levels() {
		levels = append(levels, string(row.Level))
	}
	command.Complete(c, "level", cobra.FixedCompletions(levels, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "number", cobra.NoFileCompletions)
	command.Complete(c, "seed", cobra.NoFileCompletions)
	command.Complete(c, "out", command.CompleteFiles("html", "txt"))
	command.Complete(c, "answers", command.CompleteFiles("html", "txt"))
	a.AddReach(c)
	return c
}

func levelsText() string {
	var list []string
	for _, row := range training.Levels() {
		list = append(list, fmt.Sprintf("%s: %s", row.Level, row.Text))
	}
	return "Levels. " + strings.Join(list, " ")
}

func atMostOne(c *cobra.Command, args []string) error {
	if len(args) > 1 {
		return command.WrongUse(c, "%s takes one scenario at most; found %d: %s", c.CommandPath(), len(args), strings.Join(args, " "))
	}
	return nil
}

func riddles(a *command.App, c *cobra.Command, args []string, f *riddlesFlags) error {
	level, err := training.ParseLevel(f.level)
	if err != nil {
		return command.WrongUse(c, "--level: %w", err)
	}
	for _, o := range []struct{ flag, file string }{{"out", f.out}, {"answers", f.answers}} {
		if o.file != "" && !isHTML(o.file) && strings.ToLower(filepath.Ext(o.file)) != ".txt" {
			return command.WrongUse(c, "--%s is %q; must end in .html or .txt", o.flag, o.file)
		}
	}
	if !c.Flags().Changed("seed") {
		f.seed = rand.N[uint64](1_000_000) // of six digits, which can be passed on
	}
	reference := command.Demo
	if len(args) > 0 {
		reference = args[0]
	}
	outputs, err := files.OpenOutputs(a.Stdout,
		files.Output[*sheet]{Path: f.out, Write: func(w io.Writer, s *sheet) error { return s.write(w, isHTML(f.out)) }},
		files.Output[*sheet]{Path: f.answers, Write: func(w io.Writer, s *sheet) error { return s.writeAnswers(w, isHTML(f.answers)) }})
	if err != nil {
		return err
	}
	s := &sheet{Reference: reference, Level: level}
	if err := s.draw(c.Context(), a, f.seed, f.number); err != nil {
		outputs.Abandon()
		return err
	}
	if err := outputs.Write(s); err != nil || f.out != "" {
		return err
	}
	return a.Printed(func(w io.Writer) error { return s.write(w, false) })
}

// isHTML is whether a file is to be a page, by its ending.
func isHTML(file string) bool { return strings.ToLower(filepath.Ext(file)) == ".html" }

// draw draws the riddles.
func (s *sheet) draw(ctx context.Context, a *command.App, seed uint64, number int) error {
	c, err := a.LoadCase(s.Reference, scenarios.Overrides{})
	if err != nil {
		return err
	}
	s.Rig, s.Sequence = c.Rig.Rig, c.Sequence.Title()
	bar := a.Progress("riddle", 0)
	defer bar.Done()
	series, err := training.NewSeries(c, s.Level, nil)
	if err != nil {
		return err
	}
	for i := range number {
		bar.At(i, number)
		r, err := series.Next(ctx, seed)
		switch {
		case errors.Is(err, context.Canceled):
			return command.Interrupted("interrupted while riddles were drawn; nothing is written")
		case err != nil:
			return err
		}
		s.Riddles, seed = append(s.Riddles, r), r.Seed+1
	}
	return nil
}

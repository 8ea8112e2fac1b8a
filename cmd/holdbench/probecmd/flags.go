package probecmd

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/catalogue"
)

// probeFlags are the flags of the command.
type probeFlags struct {
	overrides               command.OverrideFlags
	faults, states, through []string
	workers                 int
	json, ascii, anyway     bool
	worst, pairs            bool
	keep                    command.KeepFlags
	baseline, csv, html     string
	accept                  string
	renamed                 []string
}

func (f *probeFlags) add(c *cobra.Command) {
	f.overrides.Add(c)
	f.overrides.Outside.Add(c)
	flags := c.Flags()
	flags.StringArrayVar(&f.faults, "fault", nil, "only the fault `NAME`; repeatable")
	flags.StringArrayVar(&f.states, "state", nil, "only in the state `NAME`; repeatable")
	flags.StringArrayVar(&f.through, "through", nil, "reach states through fault `NAME` only; repeatable")
	flags.BoolVar(&f.pairs, "pairs", false, "try two faults at once, by pairwise covering")
	flags.BoolVar(&f.anyway, "anyway", false, "probe a run that does not end without a fault")
	flags.BoolVar(&f.worst, "worst", false, "search for the mildest undetected severity")
	command.AddWorkers(c, &f.workers)
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	flags.BoolVar(&f.json, "json", false, "print JSON lines: the probe, then each cell")
	flags.StringVar(&f.csv, "csv", "", "write one row a cell to `FILE`; - is stdout")
	flags.StringVar(&f.html, "html", "", "write a page for a browser to `FILE`; - is stdout")
	f.keep.Add(c, "cells")
	flags.StringVar(&f.baseline, "baseline", "", "show the changes since the probe in `FILE`")
	flags.StringVar(&f.accept, "accept", "", "accept the outcomes that `FILE` names")
	flags.StringSliceVar(&f.renamed, "renamed", nil, "states by another name in --baseline: `OLD=NEW`,…")
	command.Complete(c, "fault", cobra.FixedCompletions(catalogue.Names(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "through", cobra.FixedCompletions(catalogue.Names(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "state", completeStates)
	command.Complete(c, "accept", completeAccepted)
	command.Complete(c, "renamed", cobra.NoFileCompletions)
	command.Complete(c, "workers", cobra.NoFileCompletions)
	command.Complete(c, "csv", command.CompleteFiles("csv"))
	command.Complete(c, "html", command.CompleteFiles("html"))
}

// atMostOne accepts one word or none.
func atMostOne(what string) cobra.PositionalArgs {
	one := command.OneArgument(what)
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return one(c, args)
	}
}

// completeStates completes the states of the sequence.
func completeStates(c *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []string
	if d := command.SequenceInQuestion(c, args); d != nil {
		for _, s := range d.States {
			names = append(names, s.Name)
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// completeAccepted completes the built-in documents of accepted outcomes, and files.
func completeAccepted(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return scenarios.AcceptedNames(), cobra.ShellCompDirectiveDefault
}

// validate refuses what is wrong whatever the scenario.
func (f *probeFlags) validate(c *cobra.Command) error {
	for _, name := range []string{"baseline", "csv", "html", "accept"} {
		if flag := c.Flags().Lookup(name); flag.Changed && flag.Value.String() == "" {
			return command.WrongUse(c, "--%s is empty; must be a file", name)
		}
	}
	for _, given := range []struct {
		flag  string
		names []string
	}{{"fault", f.faults}, {"through", f.through}} {
		for _, name := range given.names {
			if !slices.Contains(catalogue.Names(), name) {
				return command.WrongUse(c, "--%s is %q, which is not in the catalogue; %s", given.flag, name, sequence.Suggest(name, catalogue.Names()))
			}
		}
	}
	for _, pair := range f.renamed {
		if old, name, _ := strings.Cut(pair, "="); old == "" || name == "" {
			return command.WrongUse(c, "--renamed is %q; must be OLD=NEW, or several with commas between them", pair)
		}
	}
	if err := f.keep.Check(c); err != nil {
		return err
	}
	return f.together(c)
}

// together refuses flags that exclude each other.
func (f *probeFlags) together(c *cobra.Command) error {
	switch {
	case f.onStdout() > 1:
		return command.WrongUse(c, "only one of --json, --baseline, --csv - and --html - can use standard output")
	case f.keep.OfPart() && (f.worst || f.baseline != "" || f.accept != ""):
		return command.WrongUse(c, "--worst, --baseline and --accept need all cells; must be without --shard, with --keep and the file that holdbench merge has written")
	case f.pairs && len(f.through) > 0:
		return command.WrongUse(c, "--through leads to further states; --pairs stays in those of the run without faults")
	case f.pairs && f.accept != "":
		return command.WrongUse(c, "--accept is for one fault at a time; must be without --pairs")
	case len(f.renamed) > 0 && f.baseline == "":
		return command.WrongUse(c, "--renamed names states of the probe of --baseline; give --baseline FILE as well")
	case f.pairs && f.worst:
		return command.WrongUse(c, "--worst searches one fault at a time; must be without --pairs")
	case f.worst && f.onStdout() > 0 && f.html == "":
		return command.WrongUse(c, "--worst is shown on the page and in --html; must be with one of them")
	}
	return nil
}

// onStdout is how many flags use standard output.
func (f *probeFlags) onStdout() int {
	n := 0
	for _, used := range []bool{f.json, f.baseline != "", files.IsStdout(f.csv), files.IsStdout(f.html)} {
		if used {
			n++
		}
	}
	return n
}

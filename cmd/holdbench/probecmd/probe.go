// Package probecmd has the command probe: every fault in every state of a sequence.
package probecmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

type probeFlags struct {
	overrides                 command.OverrideFlags
	faults, states, through   []string
	workers                   int
	json, ascii, anew         bool
	worst, pairs              bool
	keep, baseline, csv, html string
}

// New is the command probe.
func New(a *command.App) *cobra.Command {
	f := &probeFlags{}
	c := &cobra.Command{
		Use:   "probe [SCENARIO]",
		Short: "Try every fault in every state of the sequence",
		Long: page.Prose(`Tries each fault of the catalogue in each state that the sequence can be brought into,
at the entry, midway and just before the end of the stay, mild to severe, and ranks what
came of it: proofs for a brake that is not fit, loads that dropped, passes on an old proof,
runs that never end, other broken obligations, false alarms. Each is shown with the command
that runs it again. Without a SCENARIO it probes `+command.Demo+`.`,
			`Exit code 1 if there is something that a sequence could have known or prevented, 2 if
something cannot be used, 3 if interrupted. --keep and --json make files that --baseline
takes; with it the exit code is 1 only if a cell came out worse than before.`,
			`States that the run without faults does not enter are reached through one fault or two;
--through says which may lead there, and saves the time to try all. --worst searches on
from what went wrong: how mild a fault may be, and when it may come. --pairs tries two
faults at once, in the states of the run without faults: not all combinations, but every
two of fault, severity, state and moment.`),
		Example: `  holdbench probe --fault lining-worn --state travel --state press_down
  holdbench probe --fault encoder-frozen --through link-down --html probe.html
  holdbench probe --fault load-heavier --state press_down --worst
  holdbench probe --fault lining-worn --fault encoder-frozen --pairs
  holdbench probe --fault link-down --state clamp --keep old.jsonl
  holdbench probe --fault link-down --state clamp --baseline old.jsonl
  holdbench probe --fault link-down --state clamp --set judge.dwell=2s --csv -`,
		Args:              atMostOne("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return probeScenario(a, c, args, f) },
	}
	f.add(c)
	return c
}

func (f *probeFlags) add(c *cobra.Command) {
	f.overrides.Add(c)
	flags := c.Flags()
	flags.StringArrayVar(&f.faults, "fault", nil, "only the fault `NAME`; can be given again")
	flags.StringArrayVar(&f.states, "state", nil, "only in the state `NAME`; can be given again")
	flags.StringArrayVar(&f.through, "through", nil, "only the fault `NAME` leads to states; repeatable")
	flags.BoolVar(&f.pairs, "pairs", false, "try every two faults at one moment somewhere")
	flags.BoolVar(&f.worst, "worst", false, "search how mild a fault can be and go wrong")
	flags.IntVar(&f.workers, "workers", runtime.NumCPU(), "how many runs go on at once")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	flags.BoolVar(&f.json, "json", false, "one object a line: the probe, then each cell")
	flags.StringVar(&f.csv, "csv", "", "write a line a cell to `FILE`; - is stdout")
	flags.StringVar(&f.html, "html", "", "write a page for a browser to `FILE`; - is stdout")
	flags.StringVar(&f.keep, "keep", "", "keep cells in `FILE` as they come, to go on later")
	flags.BoolVar(&f.anew, "anew", false, "start over what --keep has kept")
	flags.StringVar(&f.baseline, "baseline", "", "show only what changed since the probe in `FILE`")
	command.Complete(c, "fault", cobra.FixedCompletions(catalogue.Names(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "through", cobra.FixedCompletions(catalogue.Names(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "state", completeStates)
	command.Complete(c, "workers", cobra.NoFileCompletions)
	command.Complete(c, "csv", command.CompleteFiles("csv"))
	command.Complete(c, "html", command.CompleteFiles("html"))
}

// atMostOne wants one word or none.
func atMostOne(what string) cobra.PositionalArgs {
	one := command.OneArgument(what)
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return one(c, args)
	}
}

// completeStates completes the states of the sequence that is in question.
func completeStates(c *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []string
	if d := command.SequenceInQuestion(c, args); d != nil {
		for _, s := range d.States {
			names = append(names, s.Name)
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// validate refuses what is wrong whatever the scenario.
func (f *probeFlags) validate(c *cobra.Command) error {
	for _, name := range []string{"keep", "baseline", "csv", "html"} {
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
	if err := f.together(c); err != nil {
		return err
	}
	return f.distinct(c)
}

// together refuses flags that do not go with each other.
func (f *probeFlags) together(c *cobra.Command) error {
	switch {
	case f.workers < 1:
		return command.WrongUse(c, "--workers is %d; must be at least 1", f.workers)
	case f.onStdout() > 1:
		return command.WrongUse(c, "only one of --json, --baseline, --csv - and --html - can have standard output")
	case f.keep != "" && files.IsDevice(f.keep):
		return command.WrongUse(c, "--keep is %s, which cannot be read again; must be a file", f.keep)
	case f.anew && f.keep == "":
		return command.WrongUse(c, "--anew starts over what --keep has kept; give --keep FILE as well")
	case f.pairs && len(f.through) > 0:
		return command.WrongUse(c, "--through leads to further states; --pairs stays in those of the run without faults")
	case f.pairs && f.worst:
		return command.WrongUse(c, "--worst searches one fault at a time; must be without --pairs")
	case f.worst && f.onStdout() > 0 && f.html == "":
		return command.WrongUse(c, "--worst is shown on the page and in --html; must be with one of them")
	}
	return nil
}

// distinct refuses one file for two purposes.
func (f *probeFlags) distinct(c *cobra.Command) error {
	wanted := []struct{ flag, path string }{{"keep", f.keep}, {"baseline", f.baseline}, {"csv", f.csv}, {"html", f.html}}
	for i, one := range wanted {
		for _, other := range wanted[i+1:] {
			if one.path != "" && !files.IsStdout(one.path) && filepath.Clean(one.path) == filepath.Clean(other.path) {
				return command.WrongUse(c, "--%s and --%s are both %s; must be two files", one.flag, other.flag, one.path)
			}
		}
	}
	return nil
}

// onStdout is how many flags want standard output for themselves.
func (f *probeFlags) onStdout() int {
	n := 0
	for _, wants := range []bool{f.json, f.baseline != "", files.IsStdout(f.csv), files.IsStdout(f.html)} {
		if wants {
			n++
		}
	}
	return n
}

// probing is a probe on its way.
type probing struct {
	app     *command.App
	flags   *probeFlags
	command *cobra.Command
	words   []string // of the command line, without flags
	again   *command.Rerun
	ready   *sim.Case
	options probe.Options
	head    probe.Head

	baseline *baseline      // nil without
	journal  *files.Journal // nil without
	files    []probeFile

	found *probe.Results
	known int // cells, as far as was found out

	edges              []probe.Threshold
	sought             bool // edges were searched for, as far as the numbers say
	searchBroke        bool
	searched, toSearch int // one search for a fault in a state

	took, searchTook time.Duration
}

func probeScenario(a *command.App, c *cobra.Command, args []string, f *probeFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	p, err := newProbing(a, c, args, f)
	if err != nil {
		return err
	}
	if err := p.open(); err != nil {
		p.abandon()
		return err
	}
	err = p.work(c.Context())
	stopped := errors.Is(err, context.Canceled)
	if err == nil && len(p.found.Outcomes) == 0 {
		err = errors.New("nothing was tried: the faults that are left come in none of the states that can be reached; must be other, or more, --fault and --state")
	}
	if err == nil {
		err = p.incomparable()
	}
	if err != nil && !stopped {
		p.abandon()
		return err
	}
	outErr := errors.Join(p.print(), p.writeFiles())
	p.tellTime()
	if stopped {
		p.tellInterrupted()
	}
	if outErr != nil {
		return outErr
	}
	return p.exit(stopped)
}

// work does what was asked for.
func (p *probing) work(ctx context.Context) error {
	started := time.Now()
	err := p.run(ctx)
	if p.journal != nil {
		err = errors.Join(err, p.journal.Close())
	}
	p.took = time.Since(started)
	if err != nil || !p.flags.worst {
		return err
	}
	err = p.search(ctx)
	p.searchTook = time.Since(started) - p.took
	return err
}

// newProbing reads what is probed.
func newProbing(a *command.App, c *cobra.Command, args []string, f *probeFlags) (*probing, error) {
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return nil, err
	}
	reference := command.Demo
	if len(args) > 0 {
		reference = args[0]
	}
	ready, err := a.LoadCase(reference, overrides)
	if err != nil {
		return nil, err
	}
	states := stateNames(ready)
	for _, name := range f.states {
		if !slices.Contains(states, name) {
			return nil, command.WrongUse(c, "--state is %q, which sequence %s does not have; %s", name, ready.Program.Name(), sequence.Suggest(name, states))
		}
	}
	p := &probing{app: a, flags: f, command: c, words: args, again: command.NewRerun(reference, &f.overrides), ready: ready}
	p.options = probe.Options{Faults: chosen(catalogue.Names(), f.faults), States: chosen(states, f.states), Workers: f.workers}
	p.options.Through, p.options.Pairs = chosen(catalogue.Names(), f.through), f.pairs
	p.head, err = probe.NewHead(ready, p.options)
	return p, err
}

func stateNames(ready *sim.Case) []string {
	var names []string
	for _, s := range ready.Program.States() {
		names = append(names, s.Name)
	}
	return names
}

// chosen puts names into the order of all, each once, so that the same choice is the
// same probe however it was typed.
func chosen(all, names []string) []string {
	var list []string
	for _, name := range all {
		if slices.Contains(names, name) {
			list = append(list, name)
		}
	}
	return list
}

// run plays the cells and hands each on as it comes.
func (p *probing) run(ctx context.Context) error {
	if err := p.begin(); err != nil {
		return err
	}
	bar := p.app.Progress("probing", len(p.options.Earlier))
	ways := p.app.Progress("looking for ways", 0)
	p.options.Exploring = ways.At
	p.options.Progress = func(done, known int) {
		ways.Done()
		p.known = known
		bar.At(done, known)
	}
	m, err := probe.Run(ctx, p.ready, p.options, p.tell)
	ways.Done()
	bar.Done()
	p.found = m
	if n := len(p.options.Earlier); n > 0 && err != nil && !errors.Is(err, context.Canceled) && (m == nil || len(m.Outcomes) < n) {
		return fmt.Errorf("--keep %s: %w; must be another FILE, or --anew starts it over", p.flags.keep, err) // of what was kept not all was taken
	}
	if err == nil {
		err = p.finish()
	}
	return err
}

// print shows the probe, unless its lines went out as they came or a file has standard
// output.
func (p *probing) print() error {
	if p.flags.onStdout() > 0 && p.baseline == nil {
		return nil
	}
	return p.app.Printed(func(w io.Writer) error {
		s := p.app.ScreenUpTo(p.flags.ascii, page.Widest)
		text := p.page(s).text
		if p.baseline != nil {
			text = p.changes(s).text
		}
		_, err := io.WriteString(w, text())
		return err
	})
}

// tellTime says how long it took, on standard error: nothing that is compared holds it.
func (p *probing) tellTime() {
	for _, part := range []struct {
		n         int
		one, many string
		took      time.Duration
	}{
		{len(p.found.Outcomes) - len(p.options.Earlier), "cell", "cells", p.took},
		{p.searched, "search", "searches", p.searchTook},
	} {
		if part.n > 0 {
			_, _ = fmt.Fprintf(p.app.Stderr, "%s run in %.2f s with %s, %.0f a second\n", page.Count(part.n, part.one, part.many),
				part.took.Seconds(), page.Count(p.flags.workers, "worker", "workers"), float64(part.n)/part.took.Seconds())
		}
	}
}

// tellInterrupted says how to go on.
func (p *probing) tellInterrupted() {
	if p.found.Complete {
		_, _ = fmt.Fprintf(p.app.Stderr, "interrupted after %d of %s for --worst; they begin anew next time\n", p.searched, page.Count(p.toSearch, "search", "searches"))
		return
	}
	if p.known == 0 {
		_, _ = fmt.Fprintln(p.app.Stderr, "interrupted while it looked for ways to further states; no cell was tried yet")
		return
	}
	done := fmt.Sprintf("interrupted after %d of %s known so far", len(p.found.Outcomes), page.Count(p.known, "cell", "cells"))
	if p.journal == nil {
		_, _ = fmt.Fprintf(p.app.Stderr, "%s; with --keep FILE it could go on from here\n", done)
		return
	}
	_, _ = fmt.Fprintf(p.app.Stderr, "%s; they are kept in %s; this goes on with them:\n  %s\n", done, page.CleanLine(p.flags.keep), p.resumption())
}

// exit is the exit code of a probe; an interruption says more than what was found.
func (p *probing) exit(stopped bool) error {
	bad := slices.ContainsFunc(p.found.Outcomes, func(o probe.Outcome) bool { return o.Dangerous() })
	if p.baseline != nil {
		bad = slices.ContainsFunc(p.differences(), probe.Difference.Worse)
	}
	switch {
	case stopped:
		return command.Exit(command.ExitInterrupted)
	case bad:
		return command.Exit(command.ExitBroken)
	}
	return nil
}

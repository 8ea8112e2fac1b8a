// Package probecmd has the command probe: every fault in every state of a sequence.
package probecmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim/probe"
)

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
  holdbench probe --fault link-down --state close_brake --keep old.jsonl
  holdbench probe --fault link-down --state close_brake --baseline old.jsonl
  holdbench probe --fault link-down --state settle --set judge.dwell=2s --csv -`,
		Args:              atMostOne("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return probeScenario(a, c, args, f) },
	}
	f.add(c)
	return c
}

// session is a probe on its way.
type session struct {
	app    *command.App
	flags  *probeFlags
	plan   *plan
	record *recorder
	was    *baseline // nil without --baseline
	files  files.Outputs[*report]
	resume string // the command that goes on with it
}

func probeScenario(a *command.App, c *cobra.Command, args []string, f *probeFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	p, err := newPlan(a, c, args, f)
	if err != nil {
		return err
	}
	s := &session{app: a, flags: f, plan: p, record: &recorder{plan: p}, resume: command.Resumption(c, args)}
	if err := s.open(); err != nil {
		s.files.Abandon()
		return err
	}
	r, err := s.work(c.Context())
	stopped := errors.Is(err, context.Canceled)
	if err == nil {
		err = s.senseless(r)
	}
	if err != nil && !stopped {
		s.files.Abandon()
		return err
	}
	outErr := errors.Join(s.print(r), s.files.Write(r))
	s.tellTime(r)
	if stopped {
		s.tellInterrupted(r)
	}
	if outErr != nil {
		return outErr
	}
	return s.exit(r, stopped)
}

// open opens all that the probe needs before anything runs.
func (s *session) open() error {
	var err error
	if s.flags.baseline != "" {
		if s.was, err = readBaseline(s.flags.baseline, s.flags.pairs); err != nil {
			return err
		}
	}
	if s.files, err = files.OpenOutputs(s.app.Stdout, files.Output[*report]{Path: s.flags.csv, Write: writeCSV}, files.Output[*report]{Path: s.flags.html, Write: writeHTML}); err != nil {
		return err
	}
	if s.flags.json {
		s.record.lines = s.app.Stdout
	}
	if s.flags.keep != "" {
		s.record.journal, s.plan.options.Earlier, err = openJournal(s.flags.keep, s.plan.head, s.flags.anew)
	}
	return err
}

// work runs the cells and searches on from them, if that was asked for.
func (s *session) work(ctx context.Context) (*report, error) {
	r := &report{plan: s.plan}
	started := time.Now()
	err := errors.Join(s.run(ctx, r), s.record.close())
	r.took = time.Since(started)
	if err != nil || !s.flags.worst {
		return r, err
	}
	bar := s.app.Progress("searching", 0)
	defer bar.Done()
	r.search, err = newSearch(ctx, r, bar.At)
	return r, err
}

// run runs the cells and hands each on as it comes.
func (s *session) run(ctx context.Context, r *report) error {
	earlier := len(s.plan.options.Earlier)
	if earlier > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s from %s\n", page.Count(earlier, "cell", "cells"), page.CleanLine(s.flags.keep))
	}
	if err := s.record.begin(); err != nil {
		return err
	}
	bar, ways := s.app.Progress("probing", earlier), s.app.Progress("looking for ways", 0)
	o := s.plan.options
	o.Exploring = ways.At
	o.Progress = func(done, known int) {
		ways.Done()
		r.known = known
		bar.At(done, known)
	}
	var err error
	r.found, err = probe.Run(ctx, s.plan.ready, o, s.record.cell)
	ways.Done()
	bar.Done()
	switch {
	case err == nil:
		return s.record.finish(len(r.found.Outcomes))
	case earlier > 0 && !errors.Is(err, context.Canceled) && (r.found == nil || len(r.found.Outcomes) < earlier): // of what was kept not all was taken
		return fmt.Errorf("--keep %s: %w; must be another FILE, or --anew starts it over", s.flags.keep, err)
	}
	return err
}

// senseless is the error of a probe that says nothing.
func (s *session) senseless(r *report) error {
	switch {
	case len(r.found.Outcomes) == 0:
		return errors.New("nothing was tried: the faults that are left come in none of the states that can be reached; must be other, or more, --fault and --state")
	case s.was != nil:
		return (&comparison{r, s.was}).incomparable()
	}
	return nil
}

// print shows the probe, unless its lines went out as they came or a file has standard
// output.
func (s *session) print(r *report) error {
	if s.flags.onStdout() > 0 && s.was == nil {
		return nil
	}
	return s.app.Printed(func(w io.Writer) error {
		screen := s.app.ScreenUpTo(s.flags.ascii, page.Widest)
		text := newReportPage(screen, r).text
		if s.was != nil {
			text = newChangesPage(screen, &comparison{r, s.was}).text
		}
		_, err := io.WriteString(w, text())
		return err
	})
}

// tellTime says how long it took, on standard error: nothing that is compared holds it.
func (s *session) tellTime(r *report) {
	s.tellSpeed(len(r.found.Outcomes)-len(s.plan.options.Earlier), "cell", "cells", r.took)
	if r.search != nil {
		s.tellSpeed(r.search.done, "search", "searches", r.search.took)
	}
}

func (s *session) tellSpeed(n int, one, many string, took time.Duration) {
	if n > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s run in %.2f s with %s, %.0f a second\n", page.Count(n, one, many),
			took.Seconds(), page.Count(s.flags.workers, "worker", "workers"), float64(n)/took.Seconds())
	}
}

// tellInterrupted says how to go on.
func (s *session) tellInterrupted(r *report) {
	if r.search != nil {
		_, _ = fmt.Fprintf(s.app.Stderr, "interrupted after %d of %s for --worst; they begin anew next time\n", r.search.done, page.Count(r.search.total, "search", "searches"))
		return
	}
	if r.known == 0 {
		_, _ = fmt.Fprintln(s.app.Stderr, "interrupted while it looked for ways to further states; no cell was tried yet")
		return
	}
	done := fmt.Sprintf("interrupted after %d of %s known so far", len(r.found.Outcomes), page.Count(r.known, "cell", "cells"))
	if s.record.journal == nil {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s; with --keep FILE it could go on from here\n", done)
		return
	}
	_, _ = fmt.Fprintf(s.app.Stderr, "%s; they are kept in %s; this goes on with them:\n  %s\n", done, page.CleanLine(s.flags.keep), s.resume)
}

// exit is the exit code of a probe; an interruption says more than what was found.
func (s *session) exit(r *report, stopped bool) error {
	bad := r.dangerous() > 0
	if s.was != nil {
		bad = slices.ContainsFunc((&comparison{r, s.was}).differences(), probe.Difference.Worse)
	}
	switch {
	case stopped:
		return command.Exit(command.ExitInterrupted)
	case bad:
		return command.Exit(command.ExitBroken)
	}
	return nil
}

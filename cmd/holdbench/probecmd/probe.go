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
	"holdbench/sim/journal"
	"holdbench/sim/probe"
)

// New is the command probe.
func New(a *command.App) *cobra.Command {
	f := &probeFlags{}
	c := &cobra.Command{
		Use:   "probe [SCENARIO]",
		Short: "Try every fault in every state of the sequence",
		Long: page.Prose(`Tries each fault of the catalogue in each state that can be reached, at the entry, midway and just
before the end of the stay, from mild to severe, and ranks the outcomes: releases with insufficient torque, load
drops, passes on an old proof, runs that do not end, other broken obligations, false alarms. Each is shown with
the command that repeats it. Without SCENARIO it probes `+command.Demo+`.`,
			`First it says whether the run without a fault is as the scenario expects: ends in a pass, if it names no
other end, and every obligation kept. If that run does not end, nothing is tried, with exit code 2: no cell
would end. --anyway goes on.`,
			`An outcome needs no review if the best reaction of drive and brakes could not have held the load, or if no
signal shows the fault before an obligation is broken. --accept FILE accepts others by name: a YAML document with
entries of fault, state, severity where needed, what may be broken, and the reason; --accept reference takes the
built-in one of the reference. An entry with nothing left to accept is reported with its line.`,
			`Exit code 1 if an outcome is left to review or an entry of --accept no longer applies, 2 if a flag or a
document cannot be used, 3 if interrupted. --keep and --json write files that --baseline reads; --renamed says
which states have another name there. With --baseline the exit code is 1 only if a cell became worse or an entry
no longer applies.`,
			`States that the run without faults does not enter are reached through one fault or two; --through names
them and saves the time to try all. --worst searches from the dangerous cells for the mildest undetected
severity and for the times at which it occurs. --pairs tries two faults at once, in the states of the run
without faults: not all combinations, but every pair of values of fault, severity, state and moment.`),
		Example: `  holdbench probe --fault lining-worn --state travel --state press_down
  holdbench probe --fault encoder-frozen --through link-down --html probe.html
  holdbench probe --fault press-overshoots --state ready --worst
  holdbench probe --fault lining-worn --fault encoder-frozen --pairs
  holdbench probe --fault link-down --state close_brake --keep old.jsonl
  holdbench probe --fault link-down --state close_brake --baseline old.jsonl
  holdbench probe --fault press-overshoots --state ready --accept reference
  holdbench probe --fault link-down --state settle --set judge.dwell=2s --csv -`,
		Args:              atMostOne("SCENARIO"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.ScenarioKind)),
		RunE:              func(c *cobra.Command, args []string) error { return probeScenario(a, c, args, f) },
	}
	f.add(c)
	a.AddReach(c)
	return c
}

// session is a probe in progress.
type session struct {
	app    *command.App
	flags  *probeFlags
	plan   *plan
	record *recorder
	had    *probe.Record // of --keep, nil if there is nothing
	was    *baseline     // nil without --baseline
	files  files.Outputs[*report]
	resume string // the command that continues it
}

func probeScenario(a *command.App, c *cobra.Command, args []string, f *probeFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, end, err := f.overrides.Open(a, c, f.workers)
	if err != nil {
		return err
	}
	defer end()
	p, err := newPlan(a, c, args, overrides, f)
	if err != nil {
		return err
	}
	if err := p.checkNominal(f.anyway); err != nil {
		return err
	}
	p.announce(a.Stderr)
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
	if stopped && len(r.found.Outcomes) == 0 {
		err, stopped = nothingComplete(r), false
	}
	if err != nil && !stopped {
		s.files.Abandon()
		return err
	}
	s.review(r)
	outErr := errors.Join(s.print(r), s.files.Write(r))
	s.reportTime(r)
	for _, p := range r.stale {
		_, _ = fmt.Fprintln(s.app.Stderr, page.Clean(p.Error()))
	}
	if stopped {
		s.reportInterrupted(r)
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
		if err := s.rename(); err != nil {
			return fmt.Errorf("--baseline %s: %w", s.flags.baseline, err)
		}
	}
	if s.files, err = files.OpenOutputs(s.app.Stdout, files.Output[*report]{Path: s.flags.csv, Write: writeCSV}, files.Output[*report]{Path: s.flags.html, Write: writeHTML}); err != nil {
		return err
	}
	if s.flags.json {
		s.record.lines = s.app.Stdout
	}
	if s.flags.keep.File != "" {
		if s.record.journal, s.had, err = openJournal(&s.flags.keep, s.plan.head); s.had != nil {
			s.plan.options.Earlier = s.had.Outcomes
		}
	}
	return err
}

// work runs the cells and, with --worst, searches from them.
func (s *session) work(ctx context.Context) (*report, error) {
	r := &report{plan: s.plan}
	started := time.Now()
	err := errors.Join(s.tryCells(ctx, r), s.record.close())
	r.took = time.Since(started)
	if err != nil || !s.flags.worst {
		return r, err
	}
	bar := s.app.Progress("searching", 0)
	defer bar.Done()
	r.search, err = newSearch(ctx, r, bar.At)
	return r, err
}

// tryCells runs the cells and records each as it is done.
func (s *session) tryCells(ctx context.Context, r *report) error {
	earlier := len(s.plan.options.Earlier)
	if earlier > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s from %s\n", page.Count(earlier, "cell", "cells"), page.CleanLine(s.flags.keep.File))
	}
	if err := s.record.begin(); err != nil {
		return err
	}
	if complete, err := s.restored(); complete != nil || err != nil {
		r.found, r.known = complete, earlier
		return err
	}
	bar, routes := s.app.Progress("probing", earlier), s.app.Progress("searching for routes", 0)
	o := s.plan.options
	o.Exploring = routes.At
	o.Progress = func(done, known int) {
		routes.Done()
		r.known = known
		bar.At(done, known)
	}
	var err error
	r.found, err = probe.Run(ctx, s.plan.ready, o, s.record.cell)
	routes.Done()
	bar.Done()
	switch {
	case err == nil:
		return s.record.finish(r.found)
	case earlier > 0 && !errors.Is(err, context.Canceled) && (r.found == nil || len(r.found.Outcomes) < earlier): // not all kept cells were taken
		return fmt.Errorf("--keep %s: %w; must be another FILE, or --anew discards it", s.flags.keep.File, err)
	}
	return err
}

// restored are the results of a probe that the file of --keep has as a whole; nil if it has not. Its lines were
// written already.
func (s *session) restored() (*probe.Results, error) {
	if s.had == nil {
		return nil, nil
	}
	found, err := probe.Restore(s.plan.ready, s.plan.options, s.had)
	if found == nil || err != nil {
		return nil, err
	}
	line, err := journal.Line(found.Tail())
	if err != nil {
		return nil, err
	}
	return found, s.record.print(line)
}

// senseless is the error of a probe without a result.
func (s *session) senseless(r *report) error {
	switch {
	case len(r.found.Outcomes) == 0:
		return errors.New("nothing was tried: none of the faults can occur in a state that is reached; must be other values of --fault and --state")
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

// reportTime prints the time taken to standard error: the output that is compared does not
// contain it.
func (s *session) reportTime(r *report) {
	s.reportSpeed(len(r.found.Outcomes)-len(s.plan.options.Earlier), "cell", "cells", r.took)
	if r.search != nil {
		s.reportSpeed(r.search.done, "search", "searches", r.search.took)
	}
}

func (s *session) reportSpeed(n int, one, many string, took time.Duration) {
	if n > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s run in %.2f s with %s, %.0f a second\n", page.Count(n, one, many),
			took.Seconds(), page.Count(s.flags.workers, "worker", "workers"), float64(n)/took.Seconds())
	}
}

// nothingComplete is the error of a probe that was interrupted before its first cell was complete.
func nothingComplete(r *report) error {
	if r.known == 0 {
		return command.Interrupted("interrupted in the search for routes to further states; no cell was tried")
	}
	return command.Interrupted("interrupted before the first of %s was complete", page.Count(r.known, "cell", "cells"))
}

// reportInterrupted says how to continue.
func (s *session) reportInterrupted(r *report) {
	if r.search != nil {
		_, _ = fmt.Fprintf(s.app.Stderr, "interrupted after %d of %s for --worst; the search starts again next time\n", r.search.done, page.Count(r.search.total, "search", "searches"))
		return
	}
	done := fmt.Sprintf("interrupted after %d of %s known so far", len(r.found.Outcomes), page.Count(r.known, "cell", "cells"))
	if s.record.journal == nil {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s; with --keep FILE they could be continued\n", done)
		return
	}
	_, _ = fmt.Fprintf(s.app.Stderr, "%s; they are kept in %s; to continue:\n  %s\n", done, page.CleanLine(s.flags.keep.File), s.resume)
}

// exit is the exit code of a probe; an interruption has precedence over the findings.
func (s *session) exit(r *report, stopped bool) error {
	bad := r.dangerous() > 0
	if s.was != nil {
		bad = slices.ContainsFunc((&comparison{r, s.was}).differences(), probe.Difference.Worse)
	}
	switch {
	case stopped:
		return command.Exit(command.ExitInterrupted)
	case bad, len(r.stale) > 0:
		return command.Exit(command.ExitBroken)
	}
	return nil
}

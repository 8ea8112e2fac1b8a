package sweepcmd

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/journal"
	"holdbench/sim/sweep"
)

// session is a sweep in progress.
type session struct {
	app     *command.App
	flags   *sweepFlags
	command *cobra.Command
	resume  string // the command that continues it
	runs
	journal *files.Journal // nil without --keep
	files   *sweepFiles
}

// runs are the runs of a sweep.
type runs struct {
	plan    *sweep.Plan
	head    sweep.Head
	tally   *sweep.Tally
	earlier int // from --keep
	took    time.Duration
}

func sweepScenario(a *command.App, c *cobra.Command, args []string, f *sweepFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, end, err := f.overrides.Open(a, c, f.workers)
	if err != nil {
		return err
	}
	defer end()
	ready, err := a.LoadCase(args[0], overrides)
	if err != nil {
		return err
	}
	s := &session{app: a, flags: f, command: c, resume: command.Resumption(c, args)}
	if s.plan, err = f.plan(c, ready, args[0]); err != nil {
		return err
	}
	for _, spread := range s.plan.Spreads {
		if spread.SetByFault(ready) {
			_, _ = fmt.Fprintf(a.Stderr, "%s: a fault of the scenario sets the same value; the draw applies until then\n", page.CleanLine(spread.Key))
		}
	}
	if err := s.prepare(c.Context()); err != nil {
		return err
	}
	if err := s.open(); err != nil {
		s.files.abandon()
		return err
	}
	return s.conclude(s.work(c.Context()))
}

// prepare searches for rare events, after which the sweep is determined.
func (s *session) prepare(ctx context.Context) error {
	bar := s.app.Progress("searching", 0)
	err := s.plan.Prepare(ctx, s.flags.workers, bar.At)
	bar.Done()
	if errors.Is(err, context.Canceled) {
		return command.Interrupted("interrupted in the search for runs that are %s; no run is complete", s.plan.Rare)
	}
	if err != nil {
		return err
	}
	s.head, err = s.plan.Head()
	s.tally = s.head.Tally()
	return err
}

// open opens all files before anything runs, and counts the runs of an earlier session.
func (s *session) open() error {
	var err error
	if s.files, err = s.flags.out.open(s.app, &s.head); err != nil || s.flags.keep.File == "" {
		return err
	}
	head, err := journal.Line(s.head)
	if err != nil {
		return err
	}
	if s.journal, err = files.OpenJournal(s.flags.keep.File, "sweep", head, s.flags.keep.Anew, s.keptRuns); err != nil {
		return err
	}
	if s.journal.Resumed {
		return s.replay()
	}
	return s.journal.Write(head)
}

// work does the remaining runs.
func (s *session) work(ctx context.Context) error {
	started := time.Now()
	total := s.plan.RunsOfPart()
	bar := s.app.Progress("running", s.earlier)
	err := s.plan.Run(ctx, s.flags.workers, s.tally, func(r sweep.Record) error {
		bar.At(s.tally.Runs()+1, total)
		return errors.Join(s.files.row(&r), s.keepRun(&r))
	})
	bar.Done()
	s.took = time.Since(started)
	if s.journal == nil {
		return err
	}
	if err == nil {
		err = s.keepLine(sweep.Tail{Runs: s.tally.Runs()})
	}
	return errors.Join(err, s.journal.Close())
}

// conclude shows the result. A draw that no rig can have ends a sweep like an interruption: what
// was finished counts.
func (s *session) conclude(err error) error {
	var invalid *sweep.InvalidError
	stopped := errors.Is(err, context.Canceled)
	if err != nil && !stopped && !errors.As(err, &invalid) {
		s.files.abandon()
		return err
	}
	summary := s.tally.Summary(&s.head)
	outErr := s.flags.out.show(s.app, &summary, s.files)
	s.reportTime()
	if stopped {
		s.reportInterrupted()
	}
	switch {
	case outErr != nil:
		return outErr
	case stopped:
		return command.Exit(command.ExitInterrupted)
	case err != nil:
		return command.WrongUse(s.command, "%w", err)
	}
	return nil
}

// reportTime prints the time taken to standard error: the output that is compared does not
// contain it.
func (s *session) reportTime() {
	if n := s.tally.Runs() - s.earlier; n > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s in %.2f s with %s, %.0f a second\n", page.Count(n, "run", "runs"), s.took.Seconds(),
			page.Count(s.flags.workers, "worker", "workers"), float64(n)/s.took.Seconds())
	}
}

// reportInterrupted says how to continue.
func (s *session) reportInterrupted() {
	done := fmt.Sprintf("interrupted after %d of %s", s.tally.Runs(), page.Count(s.plan.RunsOfPart(), "run", "runs"))
	if s.journal == nil {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s; with --keep FILE they could be continued\n", done)
		return
	}
	_, _ = fmt.Fprintf(s.app.Stderr, "%s; they are kept in %s; to continue:\n  %s\n", done, page.CleanLine(s.flags.keep.File), s.resume)
}

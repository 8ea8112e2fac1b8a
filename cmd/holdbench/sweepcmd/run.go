package sweepcmd

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/sweep"
)

// sweeping is a sweep in progress.
type sweeping struct {
	app     *command.App
	flags   *sweepFlags
	command *cobra.Command
	words   []string

	plan    *sweep.Plan
	head    sweep.Head
	tally   *sweep.Tally
	earlier int            // runs from --keep
	journal *files.Journal // nil without
	files   *sweepFiles
	took    time.Duration
}

func sweepScenario(a *command.App, c *cobra.Command, args []string, f *sweepFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	ready, err := a.LoadCase(args[0], overrides)
	if err != nil {
		return err
	}
	s := &sweeping{app: a, flags: f, command: c, words: args}
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
func (s *sweeping) prepare(ctx context.Context) error {
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
func (s *sweeping) open() error {
	var err error
	if s.files, err = s.flags.out.open(s.app, &s.head); err != nil || s.flags.keep == "" {
		return err
	}
	s.journal, err = files.OpenJournal(s.flags.keep, "sweep", s.head, s.flags.anew, s.keptRuns)
	if err != nil {
		return err
	}
	if s.journal.Resumed {
		return s.replay()
	}
	var line bytes.Buffer
	if err := files.WriteJSON(&line, s.head); err != nil {
		return err
	}
	return s.journal.Write(line.Bytes())
}

// keptRuns looks through what a file has, without keeping it.
func (s *sweeping) keptRuns(r io.Reader) (files.Kept, error) {
	had, err := sweep.NewReader(r)
	if err != nil {
		return files.Kept{}, err
	}
	if !s.head.Same(&had.Head) {
		return files.Kept{Unlike: sweep.Differences(&had.Head, &s.head)}, nil
	}
	for more := true; more; {
		if _, more, err = had.Next(); err != nil {
			return files.Kept{}, err
		}
	}
	return files.Kept{Bytes: had.Bytes}, nil
}

// replay counts the runs that the journal has.
func (s *sweeping) replay() error {
	file, err := os.Open(s.flags.keep)
	if err != nil {
		return files.CannotRead(s.flags.keep, err)
	}
	defer func() { _ = file.Close() }() // only read
	had, err := sweep.NewReader(file)
	for more := err == nil; more; {
		var r sweep.Record
		if r, more, err = had.Next(); err != nil || !more {
			break
		}
		s.tally.Add(&r)
		if err = s.files.row(&r); err != nil {
			break
		}
	}
	if err != nil {
		return fmt.Errorf("--keep %s: %w", s.flags.keep, err)
	}
	if s.earlier = s.tally.Runs(); s.earlier > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s from %s\n", page.Count(s.earlier, "run", "runs"), page.CleanLine(s.flags.keep))
	}
	return nil
}

// work does the remaining runs.
func (s *sweeping) work(ctx context.Context) error {
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

func (s *sweeping) keepRun(r *sweep.Record) error {
	if s.journal == nil {
		return nil
	}
	return s.keepLine(r)
}

func (s *sweeping) keepLine(v any) error {
	var line bytes.Buffer
	if err := files.WriteJSON(&line, v); err != nil {
		return err
	}
	return s.journal.Write(line.Bytes())
}

// conclude shows the result. A draw that no rig can have ends a sweep like an interruption: what
// was finished counts.
func (s *sweeping) conclude(err error) error {
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
func (s *sweeping) reportTime() {
	if n := s.tally.Runs() - s.earlier; n > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s in %.2f s with %s, %.0f a second\n", page.Count(n, "run", "runs"), s.took.Seconds(),
			page.Count(s.flags.workers, "worker", "workers"), float64(n)/s.took.Seconds())
	}
}

// reportInterrupted says how to continue.
func (s *sweeping) reportInterrupted() {
	done := fmt.Sprintf("interrupted after %d of %s", s.tally.Runs(), page.Count(s.plan.RunsOfPart(), "run", "runs"))
	if s.journal == nil {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s; with --keep FILE they could be continued\n", done)
		return
	}
	_, _ = fmt.Fprintf(s.app.Stderr, "%s; they are kept in %s; to continue:\n  %s\n", done, page.CleanLine(s.flags.keep), command.Resumption(s.command, s.words))
}

package sweepcmd

import (
	"fmt"
	"io"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/journal"
	"holdbench/sim/sweep"
)

// keptRuns looks through what a file has, without keeping it.
func (s *session) keptRuns(r io.Reader) (files.Kept, error) {
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
func (s *session) replay() error {
	had, err := sweep.NewReader(s.journal.Reader())
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
		return fmt.Errorf("--keep %s: %w", s.flags.keep.File, err)
	}
	if s.earlier = s.tally.Runs(); s.earlier > 0 {
		_, _ = fmt.Fprintf(s.app.Stderr, "%s from %s\n", page.Count(s.earlier, "run", "runs"), page.CleanLine(s.flags.keep.File))
	}
	return nil
}

func (s *session) keepRun(r *sweep.Record) error {
	if s.journal == nil {
		return nil
	}
	return s.keepLine(r)
}

func (s *session) keepLine(v any) error {
	line, err := journal.Line(v)
	if err != nil {
		return err
	}
	return s.journal.Write(line)
}

package lifecmd

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/journal"
	"holdbench/sim/life"
)

// choosePart gives the study its part.
func choosePart(c *cobra.Command, f *command.KeepFlags, s *life.Study) error {
	part, err := f.Part(c)
	if err != nil {
		return err
	}
	if part.Of > s.Plan.Histories {
		return command.WrongUse(c, "--shard is part %s of %s; must be at most as many parts as histories", part, page.Count(s.Plan.Histories, "history", "histories"))
	}
	s.Part = part
	return nil
}

// journalOfLife is the file of --keep.
type journalOfLife struct {
	*files.Journal
	complete bool // it has its last line
}

// openJournal opens the file of --keep and gives the study the histories that it has; nil without the flag.
func openJournal(a *command.App, f *command.KeepFlags, s *life.Study) (*journalOfLife, error) {
	if f.File == "" {
		return nil, nil
	}
	head, err := s.Head(command.Version())
	if err != nil {
		return nil, err
	}
	line, err := journal.Line(head)
	if err != nil {
		return nil, err
	}
	j := &journalOfLife{}
	var earlier []life.Record
	reduced := s.Reduced()
	j.Journal, err = files.OpenJournal(f.File, "life", line, f.Anew, func(r io.Reader) (files.Kept, error) {
		had, err := life.NewReader(r)
		if err != nil {
			return files.Kept{}, err
		}
		if !had.Head.Same(head) {
			return files.Kept{Unlike: life.Differences(had.Head, head)}, nil
		}
		for {
			r, more, err := had.Next()
			if err != nil || !more {
				j.complete = had.Complete
				return files.Kept{Bytes: had.Bytes}, err
			}
			earlier = append(earlier, reduced(r))
		}
	})
	if err != nil {
		return nil, err
	}
	s.Keep = j.keep
	if !j.Resumed {
		j.complete = false
		return j, j.Write(line)
	}
	s.Earlier = earlier
	_, _ = fmt.Fprintf(a.Stderr, "%s from %s\n", page.Count(len(earlier), "history", "histories"), page.CleanLine(f.File))
	return j, nil
}

// keep writes a history.
func (j *journalOfLife) keep(r *life.Record) error {
	lines, err := r.Lines()
	if err != nil {
		return err
	}
	return j.Write(lines)
}

// finish writes the last line, once all histories are there.
func (j *journalOfLife) finish(histories int) error {
	if j == nil || j.complete {
		return nil
	}
	line, err := life.TailLine(histories)
	if err != nil {
		return err
	}
	return j.Write(line)
}

func (j *journalOfLife) end() error {
	if j == nil {
		return nil
	}
	return j.Close()
}

// Merger combines the parts of a life.
func Merger() command.Merger {
	return command.Merger{Kind: "life", Of: "history", Merge: func(parts []io.Reader, names []string, write func([]byte) error) (int, error) {
		var list []*life.Reader
		for i, part := range parts {
			in, err := life.NewReader(part)
			if err != nil {
				return 0, fmt.Errorf("%s: %w", names[i], err)
			}
			list = append(list, in)
		}
		if len(list) == 0 {
			return 0, errors.New("no part of a life")
		}
		return life.Merge(list, names, write)
	}}
}

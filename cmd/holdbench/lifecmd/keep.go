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

// keepFlags keep histories in a file, all or a part of them.
type keepFlags struct {
	file, shard string
	anew        bool
}

func (f *keepFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.file, "keep", "", "keep histories in `FILE` as they come, to continue")
	c.Flags().BoolVar(&f.anew, "anew", false, "discard what --keep has kept")
	command.AddShard(c, &f.shard, "histories")
}

func (f *keepFlags) validate(c *cobra.Command, outputs ...string) error {
	switch {
	case c.Flags().Changed("keep") && f.file == "":
		return command.WrongUse(c, "--keep is empty; must be a file")
	case f.file != "" && files.IsDevice(f.file):
		return command.WrongUse(c, "--keep is %s, which cannot be read again; must be a file", f.file)
	case f.anew && f.file == "":
		return command.WrongUse(c, "--anew discards what --keep has kept; give --keep FILE as well")
	case f.shard != "" && f.file == "":
		return command.WrongUse(c, "--shard simulates a part for holdbench merge; give --keep FILE as well")
	}
	for _, path := range outputs {
		if files.SameFile(path, f.file) {
			return command.WrongUse(c, "%s is given twice; must be one file for each", f.file)
		}
	}
	return nil
}

// choosePart gives the study its part.
func (f *keepFlags) choosePart(c *cobra.Command, s *life.Study) error {
	part, err := command.ReadShard(f.shard)
	if err != nil {
		return command.WrongUse(c, "--shard %w", err)
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

// open opens the file of --keep and gives the study the histories that it has; nil without the flag.
func (f *keepFlags) open(a *command.App, s *life.Study) (*journalOfLife, error) {
	if f.file == "" {
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
	j.Journal, err = files.OpenJournal(f.file, "life", line, f.anew, func(r io.Reader) (files.Kept, error) {
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
			earlier = append(earlier, r)
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
	_, _ = fmt.Fprintf(a.Stderr, "%s from %s\n", page.Count(len(earlier), "history", "histories"), page.CleanLine(f.file))
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

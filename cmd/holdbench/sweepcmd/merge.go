package sweepcmd

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/journal"
	"holdbench/sim/sweep"
)

type mergeFlags struct {
	keep string
	out  sweepOutputs
}

// NewMerge is the command merge, of parts of a sweep and of other kinds.
func NewMerge(a *command.App, others ...command.Merger) *cobra.Command {
	f := &mergeFlags{}
	c := &cobra.Command{
		Use:   "merge PART...",
		Short: "Combine the parts of a sweep, a probe or a life",
		Long: page.Prose(`Combines what holdbench sweep, probe or life with --shard I/N --keep PART has kept: all N parts, in any
order. The result is, byte for byte, that of one run without --shard.`,
			`Of a sweep it shows the result, and --table, --plot and --keep write it. Of a probe or a life it writes the
file that the whole would have kept: the same command with --keep FILE and without --shard shows it, and tries nothing
again.`),
		Example: `  holdbench sweep healthy-down --runs 20 --shard 1/2 --keep part1.jsonl
  holdbench sweep healthy-down --runs 20 --shard 2/2 --keep part2.jsonl
  holdbench merge part1.jsonl part2.jsonl --table runs.parquet --plot curve.svg`,
		Args: command.SomeArguments("PART"),
		RunE: func(c *cobra.Command, args []string) error { return mergeParts(a, c, others, args, f) },
	}
	c.Flags().StringVar(&f.keep, "keep", "", "write the whole to `FILE`, as one run keeps it")
	f.out.add(c)
	return c
}

func mergeParts(a *command.App, c *cobra.Command, others []command.Merger, paths []string, f *mergeFlags) error {
	if err := f.out.validate(c); err != nil {
		return err
	}
	if err := command.CheckKept(c, f.keep); err != nil {
		return err
	}
	other, err := linesOf(others, paths)
	if err != nil {
		return err
	}
	if other != nil {
		return mergeLines(a, c, other, paths, f)
	}
	m := &merging{app: a, flags: f, ctx: c.Context()}
	err = m.run(paths)
	if err != nil {
		m.files.abandon()
		if m.whole != nil {
			m.whole.Abandon()
		}
	}
	return err
}

// merging combines parts.
type merging struct {
	app   *command.App
	flags *mergeFlags
	ctx   context.Context //nolint:containedctx // of one command, which ends with it
	head  sweep.Head
	tally *sweep.Tally
	files *sweepFiles
	whole *files.Target // nil without --keep
}

func (m *merging) run(paths []string) error {
	var parts []*sweep.Reader
	for _, path := range paths {
		file, err := files.Open(path)
		if err != nil {
			return err
		}
		defer func() { _ = file.Close() }() // only read
		part, err := sweep.NewReader(file)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		parts = append(parts, part)
	}
	if err := sweep.Merge(parts, paths, m.begin, m.take); err != nil {
		return err
	}
	if err := m.keep(sweep.Tail{Runs: m.tally.Runs()}); err != nil {
		return err
	}
	summary := m.tally.Summary(&m.head)
	err := m.flags.out.show(m.app, &summary, m.files)
	if m.whole != nil && err == nil {
		err = m.whole.Close()
	}
	return err
}

// begin takes the head of the whole sweep.
func (m *merging) begin(head sweep.Head) error {
	m.head, m.tally = head, head.Tally()
	var err error
	if m.files, err = m.flags.out.open(m.app, &m.head); err != nil || m.flags.keep == "" {
		return err
	}
	if m.whole, err = files.Create(m.flags.keep, m.app.Stdout); err != nil {
		return err
	}
	return m.keep(m.head)
}

func (m *merging) take(r sweep.Record) error {
	if m.ctx.Err() != nil {
		return command.Interrupted("interrupted after %d runs; nothing is written", m.tally.Runs())
	}
	m.tally.Add(&r)
	return errors.Join(m.files.row(&r), m.keep(r))
}

// keep writes a line of the whole sweep.
func (m *merging) keep(v any) error {
	if m.whole == nil {
		return nil
	}
	line, err := journal.Line(v)
	if err != nil {
		return err
	}
	if _, err := m.whole.Write(line); err != nil {
		return files.CannotWrite(m.flags.keep, err)
	}
	return nil
}

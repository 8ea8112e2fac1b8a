package sweepcmd

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
)

// linesOf is the merger of other parts than those of a sweep; nil for a sweep, and for what is no part, which the
// reader of a sweep refuses.
func linesOf(others []command.Merger, paths []string) (*command.Merger, error) {
	file, err := files.Open(paths[0])
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	kind, err := command.KindOf(file)
	if err != nil {
		return nil, err
	}
	if i := slices.IndexFunc(others, func(m command.Merger) bool { return m.Kind == kind }); i >= 0 {
		return &others[i], nil
	}
	return nil, nil
}

// mergeLines writes the lines of the whole to the file of --keep, or prints them.
func mergeLines(a *command.App, c *cobra.Command, m *command.Merger, paths []string, f *mergeFlags) error {
	switch {
	case f.out.table != "", f.out.plot != "", f.out.plotAlarms != "":
		return command.WrongUse(c, "--table, --plot and --plot-alarms are for parts of a sweep; of parts of a %s the whole is kept in --keep FILE, which holdbench %s shows", m.Kind, m.Kind)
	case f.keep == "" && !f.out.json:
		return command.WrongUse(c, "the parts of a %s are combined into a file; give --keep FILE, or --json to print its lines", m.Kind)
	}
	parts, end, err := openParts(paths)
	defer end()
	if err != nil {
		return err
	}
	to, err := openLines(a, f)
	if err != nil {
		return err
	}
	count, err := m.Merge(parts, paths, to.write(c.Context()))
	if err != nil {
		to.abandon()
		return err
	}
	if err := to.close(); err != nil || f.keep == "" || f.out.json {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "%s of %s are in %s\nto show them: holdbench %s, with the scenario or rig and the flags of the parts, and --keep %s in place of --shard and the file of a part\n",
			m.Counted(count), page.Count(len(paths), "part", "parts"), page.CleanLine(f.keep), m.Kind, page.CleanLine(f.keep))
		return err
	})
}

// openParts opens files that are read as a whole; end closes them.
func openParts(paths []string) (parts []io.Reader, end func(), err error) {
	var opened []*os.File
	end = func() {
		for _, file := range opened {
			_ = file.Close() // only read
		}
	}
	for _, path := range paths {
		file, err := files.Open(path)
		if err != nil {
			return nil, end, err
		}
		opened, parts = append(opened, file), append(parts, file)
	}
	return parts, end, nil
}

// lines is where the lines of a whole go.
type lines struct{ kept, printed *files.Target }

func openLines(a *command.App, f *mergeFlags) (*lines, error) {
	l := &lines{}
	var err error
	if f.keep != "" {
		if l.kept, err = files.Create(f.keep, a.Stdout); err != nil {
			return nil, err
		}
	}
	if f.out.json {
		l.printed, err = files.Create("-", a.Stdout)
	}
	return l, err
}

func (l *lines) targets() []*files.Target {
	return slices.DeleteFunc([]*files.Target{l.kept, l.printed}, func(t *files.Target) bool { return t == nil })
}

func (l *lines) write(ctx context.Context) func([]byte) error {
	targets := l.targets()
	return func(line []byte) error {
		if ctx.Err() != nil {
			return command.Interrupted("interrupted; no file is written")
		}
		for _, t := range targets {
			if _, err := t.Write(line); err != nil {
				return files.CannotWrite(t.Path, err)
			}
		}
		return nil
	}
}

func (l *lines) close() error {
	for _, t := range l.targets() {
		if err := t.Close(); err != nil {
			return err
		}
	}
	return nil
}

func (l *lines) abandon() {
	for _, t := range l.targets() {
		t.Abandon()
	}
}

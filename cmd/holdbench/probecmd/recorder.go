package probecmd

import (
	"io"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/journal"
	"holdbench/sim/probe"
)

// cellLine is an outcome as it stands in a file: with the command that runs it again.
type cellLine struct {
	probe.Outcome
	Command string `json:"command"`
}

// recorder takes the lines of a probe as they come.
type recorder struct {
	*plan
	journal *files.Journal // nil without --keep
	lines   io.Writer      // nil without --json
}

// begin writes what goes ahead of the cells: the head, and for --json the cells of an earlier
// session too.
func (r *recorder) begin() error {
	text, err := journal.Line(r.head)
	if err != nil {
		return err
	}
	if r.journal != nil && !r.journal.Resumed {
		if err := r.journal.Write(text); err != nil {
			return err
		}
	}
	if r.lines == nil {
		return nil
	}
	for i := range r.options.Earlier {
		line, err := r.line(&r.options.Earlier[i])
		if err != nil {
			return err
		}
		text = append(text, line...)
	}
	return r.print(text)
}

func (r *recorder) line(o *probe.Outcome) ([]byte, error) {
	return journal.Line(cellLine{*o, r.commandLine(&o.Cell)})
}

// cell takes a cell that is done.
func (r *recorder) cell(o probe.Outcome) error {
	if r.journal == nil && r.lines == nil {
		return nil
	}
	line, err := r.line(&o)
	if err != nil {
		return err
	}
	return r.keep(line)
}

// finish writes the line that marks a complete probe.
func (r *recorder) finish(found *probe.Results) error {
	line, err := journal.Line(found.Tail())
	if err != nil {
		return err
	}
	return r.keep(line)
}

// close ends the journal.
func (r *recorder) close() error {
	if r.journal == nil {
		return nil
	}
	return r.journal.Close()
}

// keep writes a line to wherever lines go.
func (r *recorder) keep(line []byte) error {
	if r.journal != nil {
		if err := r.journal.Write(line); err != nil {
			return err
		}
	}
	return r.print(line)
}

func (r *recorder) print(text []byte) error {
	if r.lines == nil {
		return nil
	}
	if _, err := r.lines.Write(text); err != nil {
		return files.CannotPrint(err)
	}
	return nil
}

// Lines are the kinds of lines of probe --json, for their schema.
func Lines() []any { return []any{headLine{}, checkedCell{}, tailLine{}} }

// The lines with their checksums.
type (
	headLine struct {
		probe.Head
		journal.Checksum
	}
	checkedCell struct {
		cellLine
		journal.Checksum
	}
	tailLine struct {
		probe.Tail
		journal.Checksum
	}
)

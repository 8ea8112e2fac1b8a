package probecmd

import (
	"bytes"
	"io"

	"holdbench/cmd/holdbench/internal/files"
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
	var text bytes.Buffer
	if err := files.WriteJSON(&text, r.head); err != nil {
		return err
	}
	if r.journal != nil && !r.journal.Resumed {
		if err := r.journal.Write(text.Bytes()); err != nil {
			return err
		}
	}
	for i := range r.options.Earlier {
		if err := r.write(&text, &r.options.Earlier[i]); err != nil {
			return err
		}
	}
	return r.print(text.Bytes())
}

func (r *recorder) write(w io.Writer, o *probe.Outcome) error {
	return files.WriteJSON(w, cellLine{*o, r.commandLine(&o.Cell)})
}

// cell takes a cell that is done.
func (r *recorder) cell(o probe.Outcome) error {
	if r.journal == nil && r.lines == nil {
		return nil
	}
	var line bytes.Buffer
	if err := r.write(&line, &o); err != nil {
		return err
	}
	return r.keep(line.Bytes())
}

// finish writes the line that marks a complete probe.
func (r *recorder) finish(cells int) error {
	var line bytes.Buffer
	if err := files.WriteJSON(&line, probe.Tail{Cells: cells}); err != nil {
		return err
	}
	return r.keep(line.Bytes())
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
func Lines() []any { return []any{probe.Head{}, cellLine{}, probe.Tail{}} }

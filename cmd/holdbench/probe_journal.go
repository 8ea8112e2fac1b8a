package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"

	"holdbench/sim/probe"
)

// cellLine is an outcome as it stands in a file: with the command that runs it again.
type cellLine struct {
	probe.Outcome
	Command string `json:"command"`
}

// journal is the file of --keep: the cells that are done, each on its line as soon as it
// is there, so that an interruption costs only what was on its way.
type journal struct {
	file *os.File
	path string
	kept bool // it has its head already
}

// openJournal opens the file and gives the cells that it has. A line that broke off is
// cut; a file of something else is left alone.
func openJournal(path string, head probe.Head, anew bool) (*journal, []probe.Outcome, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, nil, cannotWrite(path, err)
	}
	j := &journal{file: file, path: path}
	earlier, err := j.takeOver(head, anew)
	if err != nil {
		return nil, nil, errors.Join(err, j.close())
	}
	return j, earlier, nil
}

// takeOver reads what the file has and stands where new lines go.
func (j *journal) takeOver(head probe.Head, anew bool) ([]probe.Outcome, error) {
	had, err := probe.Read(j.file)
	fresh, freshErr := j.unbegun(head)
	switch {
	case freshErr != nil:
		return nil, freshErr
	case fresh:
		return nil, j.cut(0)
	case err != nil:
		return nil, fmt.Errorf("--keep %s: %w", j.path, err)
	case anew:
		return nil, j.cut(0)
	case !had.Head.Same(head):
		return nil, fmt.Errorf("--keep %s holds another probe: %s; must be another FILE, or --anew starts it over", j.path, unlike(had.Head, head))
	}
	j.kept = true
	return had.Outcomes, j.cut(had.Bytes)
}

// unbegun is whether the file has nothing yet, or a head that broke off.
func (j *journal) unbegun(head probe.Head) (bool, error) {
	var line bytes.Buffer
	if err := writeJSON(&line, head); err != nil {
		return false, err
	}
	start := make([]byte, line.Len())
	n, err := j.file.ReadAt(start, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, cannotRead(j.path, err)
	}
	return n < line.Len() && bytes.HasPrefix(line.Bytes(), start[:n]), nil
}

func (j *journal) cut(at int64) error {
	err := j.file.Truncate(at)
	if err == nil {
		_, err = j.file.Seek(at, io.SeekStart)
	}
	return j.failed(err)
}

func (j *journal) write(line []byte) error {
	_, err := j.file.Write(line)
	return j.failed(err)
}

func (j *journal) close() error { return j.failed(j.file.Close()) }

func (j *journal) failed(err error) error {
	if err == nil {
		return nil
	}
	return cannotWrite(j.path, err)
}

func cannotRead(path string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return fmt.Errorf("cannot read %s: %w", path, err)
}

// unlike says in what two heads differ.
func unlike(had, head probe.Head) string {
	var parts []string
	add := func(what, was, is string) {
		if was != is {
			parts = append(parts, fmt.Sprintf("%s %s there, %s here", what, orAll(was), orAll(is)))
		}
	}
	add("scenario", had.Probe, head.Probe)
	add("rig", had.Rig, head.Rig)
	add("sequence", had.Sequence, head.Sequence)
	add("seed", strconv.FormatUint(had.Seed, 10), strconv.FormatUint(head.Seed, 10))
	add("--fault", strings.Join(had.Faults, ", "), strings.Join(head.Faults, ", "))
	add("--state", strings.Join(had.States, ", "), strings.Join(head.States, ", "))
	add("--through", strings.Join(had.Through, ", "), strings.Join(head.Through, ", "))
	add("at once", atOnce(had.Pairs), atOnce(head.Pairs))
	if len(parts) == 0 {
		return "its documents have changed since"
	}
	return strings.Join(parts, "; ")
}

// atOnce is how many faults a cell has.
func atOnce(pairs bool) string {
	if pairs {
		return "two faults"
	}
	return "one fault"
}

func orAll(names string) string {
	if names == "" {
		return "all"
	}
	return names
}

// begin writes what goes ahead of the cells: the head, and on standard output the cells
// of an earlier session too.
func (p *probing) begin() error {
	if p.journal != nil {
		if n := len(p.options.Earlier); n > 0 {
			_, _ = fmt.Fprintf(p.app.stderr, "%s from %s\n", count(n, "cell", "cells"), cleanLine(p.flags.keep))
		}
	}
	var line bytes.Buffer
	if err := writeJSON(&line, p.head); err != nil {
		return err
	}
	if p.journal != nil && !p.journal.kept {
		if err := p.journal.write(line.Bytes()); err != nil {
			return err
		}
	}
	if !p.flags.json {
		return nil
	}
	return p.app.printed(func(w io.Writer) error {
		if _, err := w.Write(line.Bytes()); err != nil {
			return err
		}
		for i := range p.options.Earlier {
			o := &p.options.Earlier[i]
			if err := writeJSON(w, cellLine{*o, p.again.line(&o.Cell)}); err != nil {
				return err
			}
		}
		return nil
	})
}

// finish writes the line that says that it was all.
func (p *probing) finish() error {
	var line bytes.Buffer
	if err := writeJSON(&line, probe.Tail{Cells: len(p.found.Outcomes)}); err != nil {
		return err
	}
	return p.emit(line.Bytes())
}

// tell takes a cell that is done.
func (p *probing) tell(o probe.Outcome) error {
	if p.journal == nil && !p.flags.json {
		return nil
	}
	var line bytes.Buffer
	if err := writeJSON(&line, cellLine{o, p.again.line(&o.Cell)}); err != nil {
		return err
	}
	return p.emit(line.Bytes())
}

// emit writes a line to wherever lines go.
func (p *probing) emit(line []byte) error {
	if p.journal != nil {
		if err := p.journal.write(line); err != nil {
			return err
		}
	}
	if p.flags.json {
		if _, err := p.app.stdout.Write(line); err != nil {
			return cannotPrint(err)
		}
	}
	return nil
}

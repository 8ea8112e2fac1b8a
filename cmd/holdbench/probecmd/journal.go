package probecmd

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

// cellLine is an outcome as it stands in a file: with the command that runs it again.
type cellLine struct {
	probe.Outcome
	Command string `json:"command"`
}

// openProbeJournal opens the file of --keep and gives the cells that it has.
func openProbeJournal(path string, head probe.Head, anew bool) (*files.Journal, []probe.Outcome, error) {
	var had probe.Record
	j, err := files.OpenJournal(path, "probe", head, anew, func(r io.Reader) (files.Kept, error) {
		var err error
		had, err = probe.Read(r)
		k := files.Kept{Bytes: had.Bytes}
		if err == nil && !had.Head.Same(head) {
			k.Unlike = unlike(had.Head, head)
		}
		return k, err
	})
	if err != nil || !j.Resumed {
		return j, nil, err
	}
	return j, had.Outcomes, nil
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
			_, _ = fmt.Fprintf(p.app.Stderr, "%s from %s\n", page.Count(n, "cell", "cells"), page.CleanLine(p.flags.keep))
		}
	}
	var line bytes.Buffer
	if err := files.WriteJSON(&line, p.head); err != nil {
		return err
	}
	if p.journal != nil && !p.journal.Resumed {
		if err := p.journal.Write(line.Bytes()); err != nil {
			return err
		}
	}
	if !p.flags.json {
		return nil
	}
	return p.app.Printed(func(w io.Writer) error {
		if _, err := w.Write(line.Bytes()); err != nil {
			return err
		}
		for i := range p.options.Earlier {
			o := &p.options.Earlier[i]
			if err := files.WriteJSON(w, cellLine{*o, commandLine(p.again, &o.Cell)}); err != nil {
				return err
			}
		}
		return nil
	})
}

// finish writes the line that says that it was all.
func (p *probing) finish() error {
	var line bytes.Buffer
	if err := files.WriteJSON(&line, probe.Tail{Cells: len(p.found.Outcomes)}); err != nil {
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
	if err := files.WriteJSON(&line, cellLine{o, commandLine(p.again, &o.Cell)}); err != nil {
		return err
	}
	return p.emit(line.Bytes())
}

// emit writes a line to wherever lines go.
func (p *probing) emit(line []byte) error {
	if p.journal != nil {
		if err := p.journal.Write(line); err != nil {
			return err
		}
	}
	if p.flags.json {
		if _, err := p.app.Stdout.Write(line); err != nil {
			return files.CannotPrint(err)
		}
	}
	return nil
}

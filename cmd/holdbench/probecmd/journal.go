package probecmd

import (
	"io"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/journal"
	"holdbench/sim/probe"
)

// openJournal opens the file of --keep and gives what it has; nil if it is new.
func openJournal(f *command.KeepFlags, head probe.Head) (*files.Journal, *probe.Record, error) {
	var had probe.Record
	line, err := journal.Line(head)
	if err != nil {
		return nil, nil, err
	}
	j, err := files.OpenJournal(f.File, "probe", line, f.Anew, func(r io.Reader) (files.Kept, error) {
		var err error
		had, err = probe.Read(r)
		k := files.Kept{Bytes: had.Bytes}
		if err == nil && !had.Head.Same(head) {
			k.Unlike = probe.Differences(had.Head, head)
		}
		return k, err
	})
	if err != nil || !j.Resumed {
		return j, nil, err
	}
	return j, &had, nil
}

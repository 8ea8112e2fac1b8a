package probecmd

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/journal"
	"holdbench/sim/probe"
)

// openJournal opens the file of --keep and gives the cells that it has.
func openJournal(path string, head probe.Head, anew bool) (*files.Journal, []probe.Outcome, error) {
	var had probe.Record
	line, err := journal.Line(head)
	if err != nil {
		return nil, nil, err
	}
	j, err := files.OpenJournal(path, "probe", line, anew, func(r io.Reader) (files.Kept, error) {
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

// unlike lists the differences of two heads.
func unlike(had, head probe.Head) string {
	var parts []string
	add := func(what, was, is string) {
		if was != is {
			parts = append(parts, fmt.Sprintf("%s is %s there and %s here", what, orAll(was), orAll(is)))
		}
	}
	add("scenario", had.Probe, head.Probe)
	add("rig", had.Rig, head.Rig)
	add("sequence", had.Sequence, head.Sequence)
	add("seed", strconv.FormatUint(had.Seed, 10), strconv.FormatUint(head.Seed, 10))
	add("--fault", strings.Join(had.Faults, ", "), strings.Join(head.Faults, ", "))
	add("--state", strings.Join(had.States, ", "), strings.Join(head.States, ", "))
	add("--through", strings.Join(had.Through, ", "), strings.Join(head.Through, ", "))
	add("the number at a time", atOnce(had.Pairs), atOnce(head.Pairs))
	if len(parts) == 0 {
		return "its documents have changed"
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

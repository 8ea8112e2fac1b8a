package sweepcmd

import (
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/journal"
	"holdbench/sim/sweep"
)

// sweepObject is a sweep as one object. Of its documents it has the fingerprint, which the parts of a
// sweep have in common.
type sweepObject struct {
	sweep.Summary
	Version string `json:"version"`
}

func newObject(s *sweep.Summary) sweepObject { return sweepObject{*s, command.Version()} }

// JSON is what sweep --json and merge --json print, for its schema.
func JSON() any { return sweepObject{} }

// Lines are the kinds of lines of a sweep that is kept, for their schema.
func Lines() []any { return []any{headLine{}, runLine{}, tailLine{}} }

// The lines as they stand in a file.
type (
	headLine struct {
		sweep.Head
		journal.Checksum
	}
	runLine struct {
		sweep.Record
		journal.Checksum
	}
	tailLine struct {
		sweep.Tail
		journal.Checksum
	}
)

package sweepcmd

import "holdbench/sim/sweep"

// JSON is what sweep --json and merge --json print, for its schema.
func JSON() any { return sweep.Summary{} }

// Lines are the kinds of lines of a sweep that is kept, for their schema.
func Lines() []any { return []any{sweep.Head{}, sweep.Record{}, sweep.Tail{}} }

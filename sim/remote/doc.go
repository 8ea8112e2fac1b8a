// Package remote lets a controller outside the program take part in runs: a line of JSON out and a
// line in, scan by scan, while the plant waits. It starts nothing, listens nowhere and has no clock:
// connections are handed in, and whoever makes them bounds the time of an answer.
//
// A connection serves many runs, one at a time. It belongs to the run that used it last; a run that
// has lost it, and a copy of a run, is told all its scans again.
package remote

package command

import (
	"maps"
	"slices"

	"holdbench/scenarios"
	"holdbench/sim"
)

// Origin is what results came from: the version of the program, and the documents with their contents.
type Origin struct {
	Version string         `json:"version"`
	Sources []sim.Document `json:"sources"`
}

// NewOrigin is that of a case.
func NewOrigin(ready *sim.Case) Origin {
	return Origin{Version(), append([]sim.Document{}, ready.Sources...)}
}

// Record is one run as an object of JSON. It has no time of the computer in it: the same documents
// give the same bytes.
type Record struct {
	sim.Result
	Given
	Origin
}

// Given is what a command line changes in a run, besides the documents and the seed that a record names: with
// it the run can be repeated.
type Given struct {
	Settings []string `json:"settings,omitempty"` // KEY=VALUE
	Faults   []string `json:"faults,omitempty"`
}

// NewGiven is that of overrides and of named faults.
func NewGiven(o scenarios.Overrides, faults []string) Given {
	g := Given{Faults: faults}
	for _, key := range slices.Sorted(maps.Keys(o.Set)) {
		g.Settings = append(g.Settings, key+"="+o.Set[key])
	}
	return g
}

// NewRecord is that of a run of a case.
func NewRecord(ready *sim.Case, r *sim.Result, given Given) Record {
	return Record{*r, given, NewOrigin(ready)}
}

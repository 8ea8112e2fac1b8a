package command

import "holdbench/sim"

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
	Origin
}

// NewRecord is that of a run of a case.
func NewRecord(ready *sim.Case, r *sim.Result) Record { return Record{*r, NewOrigin(ready)} }

// Package view draws the bench: pure functions from a scene to cells.
package view

import (
	"holdbench/sim"
	"holdbench/sim/history"
)

// Scene is all that the bench screen shows at one moment.
type Scene struct {
	Case  *sim.Case
	Title string // instead of the scenario's name, empty for the name

	RigName      string // instead of the rig's own name, empty for that
	SequenceName string // likewise

	Look    *sim.View        // at the cursor
	Samples []history.Sample // of the whole run so far
	Ghost   []history.Sample // the run before this one, nil without one
	Nominal []history.Sample // the same without faults, nil if not wanted
	Events  []sim.Event      // of the whole run so far; what must not be seen is not among them

	// The samples summed up by [history.Run.Blocks]; without them a long run takes long to draw.
	Blocks, GhostBlocks, NominalBlocks []history.Block

	Result *sim.Result // once the run is over
	HeadS  float64     // how far the run is
	AtHead bool        // the cursor is where the run is

	Playing bool
	Busy    bool    // going to an end as fast as it can
	Speed   float64 // simulated over real time
	SpanS   float64 // width of the strips, 0 for the whole run
	Truth   bool    // whether what only the plant knows is shown
	Tab     Tab     // what the small screen shows where there is no room for all
	Changed bool    // something was done that is not kept
	Notice  string
	Bad     bool // the notice is about something that failed
}

// Tab is what shares one place on a small screen.
type Tab int

// The tabs, in the order in which a key goes round.
const (
	Strips Tab = iota
	Happened
	Faults
	Obligations
	Tabs // how many there are
)

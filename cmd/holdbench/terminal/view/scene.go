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

	View    *sim.View        // at the cursor
	Samples []history.Sample // of the whole run so far
	Earlier []history.Sample // of the run before this one, nil without one
	Nominal []history.Sample // of the same run without faults, nil if it is not shown
	Events  []sim.Event      // of the whole run so far, without those that must not be seen

	// Compared is run B beside this one, whose samples are then the earlier ones; nil without one.
	Compared *Compared

	// Blocks sum the samples up; see [history.Run.Blocks]. Without them a long run takes long
	// to draw.
	Blocks, EarlierBlocks, NominalBlocks []history.Block

	Result *sim.Result // once the run has ended
	HeadS  float64     // time of the newest moment of the run
	AtHead bool        // the cursor is at that moment

	Playing bool
	Busy    bool    // the run goes to a place as fast as it can
	Speed   float64 // simulated over real time
	// RealTime is how punctual a run is in which a controller takes part in real time; empty without.
	RealTime string
	Served   string // where followers find this screen; empty if it is not served

	WrongData   []string // of the run, in place of those of its documents
	ServedTruth bool     // followers see the truth of a riddle, too
	SpanS       float64  // width of the curves, 0 for the whole run
	Truth       bool     // whether the truth is shown
	Tab         Tab      // the tab shown where there is no room for all
	Changed     bool     // something was done that is not kept
	Notice      string
	Bad         bool // the notice is about something that failed
}

// Tab is what shares one place on a small screen.
type Tab int

// The tabs, in the order in which a key goes round.
const (
	CurvesTab Tab = iota
	EventsTab
	FaultsTab
	ObligationsTab
	TabCount    // without a run B
	ComparedTab = TabCount
)

// Tabs is how many tabs there are.
func (s *Scene) Tabs() Tab {
	if s.Compared != nil {
		return ComparedTab + 1
	}
	return TabCount
}

package screens

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// Bench is the main screen: one run, its past and the run before it.
type Bench struct {
	keys   benchKeys
	worker *Worker
	folder string // where documents are looked for and kept

	chosen Chosen // what is on the bench
	first  *sim.Case
	doubts string    // about the first
	c      *sim.Case // nil before the first is there
	loaded *sim.Case // as it was chosen, before anything was done to it
	mine   bool      // the case is of what was chosen, not of a riddle

	runs    []*history.Run // the newest first; the second is the ghost
	ghost   []history.Sample
	nominal []history.Sample
	at      progress // what the screen shows

	// Blocks of ghost and nominal, for drawing long runs.
	ghostBlocks, nominalBlocks []history.Block

	working bool             // a job is under way
	queue   []func() tea.Cmd // what comes after it
	seekTo  int64            // the newest moment asked for that no job looks for yet, below 0 none
	heading int64            // the newest moment asked for that is not shown yet, below 0 none

	playing bool
	rushing *rush // going somewhere as fast as it can, nil otherwise
	speed   int   // place in speeds
	framing bool  // frames are coming
	frame   time.Time
	owed    float64 // ticks that are due, in fractions

	size        tea.WindowSizeMsg
	span        int  // place in spans
	asksNominal bool // the nominal run is wanted, and comes later
	tab         view.Tab
	truth       bool
	hideOld     bool // the ghost is not shown
	changed     bool
	mouse       bool
	notice      Notice
	teaching    bool                  // a lesson is on, or about to begin
	stop        func(*sim.Bench) bool // of the lesson, nil without one
	taught      *sim.Case             // what the stops are for
	veil        *Veil                 // a fault is to be found, nil otherwise
	edits       int                   // changes under way

	// NextFrame asks for the next [Frame] of a run that plays.
	NextFrame func() tea.Cmd
}

// rush is a place to go to as fast as the machine allows.
type rush struct {
	until func(*sim.Bench) bool
	from  int64
}

// Veil hides what would give a riddle away: truth, faults, and the scenario's name.
type Veil struct{ Title string }

// Veiled draws the veil over the bench, or takes it away with nil.
type Veiled struct{ Veil *Veil }

// Stops sets where a lesson holds the run; nil is nowhere.
type Stops struct{ Stop func(*sim.Bench) bool }

// Stopped tells that the run came to a stop of the lesson.
type Stopped struct{}

// Replaced tells that another case is on the bench.
type Replaced struct{ Case *sim.Case }

// NewBench makes the main screen for a case that was chosen.
func NewBench(w *Worker, folder string, chosen Chosen, c *sim.Case, doubts string) *Bench {
	return &Bench{
		keys: newBenchKeys(), worker: w, folder: folder, chosen: chosen, first: c, doubts: doubts,
		truth: true, speed: realTime, seekTo: -1, heading: -1, NextFrame: nextFrame,
	}
}

// Init puts the first case on the bench.
func (b *Bench) Init() tea.Cmd {
	l := loaded{chosen: b.chosen, c: b.first, doubts: b.doubts}
	return b.worker.command(func() tea.Msg { return l.start() })
}

// Typing is never so: the bench has no text.
func (b *Bench) Typing() bool { return false }

// Place is everything.
func (b *Bench) Place(w, h int) Rect { return Rect{0, 0, w, h} }

// Draw draws the bench, or that there is nothing yet.
func (b *Bench) Draw(a page.Area) {
	if b.at.look == nil {
		a.Text(1, 0, page.Heading, "holdbench")
		b.drawNotice(a)
		return
	}
	view.Bench(a, b.scene())
}

func (b *Bench) drawNotice(a page.Area) {
	role := page.Plain
	if b.notice.Bad {
		role = page.Bad
	}
	a.Wrap(1, 2, role, b.notice.Text)
}

// scene is what the view draws.
func (b *Bench) scene() *view.Scene {
	s := &view.Scene{
		Case: b.c, Look: b.at.look, Samples: b.at.samples, Blocks: b.at.blocks, Nominal: b.nominal, NominalBlocks: b.nominalBlocks, Events: b.visible(),
		Result: b.at.result, HeadS: b.seconds(b.at.ticks), AtHead: b.at.cursor == atHead,
		Playing: b.playing, Busy: b.rushing != nil, Speed: speeds()[b.speed], SpanS: spans()[b.span],
		Truth: b.truth && b.veil == nil, Tab: b.tab, Changed: b.changed,
		Notice: b.notice.Text, Bad: b.notice.Bad,
	}
	if !b.hideOld {
		s.Ghost, s.GhostBlocks = b.ghost, b.ghostBlocks
	}
	if b.veil != nil {
		s.Title = b.veil.Title
	}
	s.RigName = fileName(scenarios.RigKind, b.chosen.Overrides.Rig, b.c.Scenario.Rig.Name)
	s.SequenceName = fileName(scenarios.SequenceKind, b.chosen.Overrides.Sequence, b.c.Scenario.Sequence.Name)
	return s
}

// fileName is the file that a rig or a sequence comes from, empty for a built-in one.
func fileName(kind scenarios.Kind, override, own string) string {
	name := cmp.Or(override, own)
	if name == "" || slices.Contains(scenarios.Names(kind), name) {
		return ""
	}
	return filepath.Base(name)
}

// visible are the events that may be seen.
func (b *Bench) visible() []sim.Event {
	if b.veil == nil && b.truth {
		return b.at.events
	}
	var list []sim.Event
	for _, e := range b.at.events {
		if !b.hidden(e.Kind) {
			list = append(list, e)
		}
	}
	return list
}

// hidden is whether events of a kind must not be seen now. A veil hides faults too; who
// switches the truth off knows them.
func (b *Bench) hidden(kind string) bool { return b.hider()(kind) }

// hider is the same for jobs, which must not look at the bench.
func (b *Bench) hider() func(kind string) bool {
	veiled, truth := b.veil != nil, b.truth
	return func(kind string) bool {
		return sim.TruthOnly(kind) && (veiled || !truth && kind != "fault")
	}
}

func (b *Bench) tick() time.Duration { return b.c.Rig.Clock.Tick }

func (b *Bench) seconds(ticks int64) float64 {
	return float64(time.Duration(ticks)*b.tick()) / float64(time.Second)
}

// ticks is the number of ticks after which a moment can be seen.
func (b *Bench) ticks(seconds float64) int64 {
	return int64(math.Round(seconds/b.tick().Seconds())) + 1
}

// cursor is how many ticks are done at the moment shown, or soon to be shown: keys come
// faster than looks.
func (b *Bench) cursor() int64 {
	switch {
	case b.heading >= 0:
		return b.heading
	case b.at.cursor == atHead:
		return b.at.ticks
	}
	return b.at.cursor
}

// Changed is whether something was done that is not kept.
func (b *Bench) Changed() bool { return b.changed || b.edits > 0 }

// Case is what is on the bench, nil before the first is loaded.
func (b *Bench) Case() *sim.Case { return b.c }

// Name is a name for files of the moment shown.
func (b *Bench) Name() string {
	if b.at.look == nil {
		return "holdbench"
	}
	return fmt.Sprintf("%s-%.3fs", b.title(), b.at.look.TS)
}

func (b *Bench) title() string {
	if b.veil != nil {
		return "riddle"
	}
	return b.c.Scenario.Scenario
}

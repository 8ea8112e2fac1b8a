package screens

import (
	"cmp"
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/training"
)

// Bench is the main screen: one run, its past and the run before it.
type Bench struct {
	keys   benchKeys
	worker *Worker
	folder string // where documents are looked for and kept

	first   loaded // what is on the bench at the beginning
	source  source
	runs    runs
	nominal nominal
	other   *comparison // run B, nil without one
	player  *player.Player
	lesson  stops
	mask    *RiddleMask // nil without a riddle

	riddleLevel   int                         // of the last riddle, by its place
	riddlesBefore map[training.Level][]string // faults of riddles with a seed of the bench's own
	riddle        *riddleScreen               // that was opened last

	changed bool    // something was done that is not kept
	course  *Course // nil without one
	untold  string  // title of the course in place of the scenario's until its lesson is done; empty for none
	veiled  bool    // the truth is hidden until a question of the lesson is answered

	size   tea.WindowSizeMsg
	show   display
	notice Notice

	// Answers is where those to riddles are kept; nil where they are not.
	Answers *AnswerLog
	// RealTime tells how punctual a run in real time is; nil without one.
	RealTime func() string

	// Served is the address where followers find the screen; empty if it is not served.
	Served string
	// ServesTruth is whether followers see the truth of a riddle, too; then no answer is kept.
	ServesTruth bool
	// NextFrame asks for the next [Frame] of a run that plays.
	NextFrame func() tea.Cmd
}

// display is what the screen shows of a run.
type display struct {
	tab         view.Tab
	span        int // place in spans
	truth       bool
	hideEarlier bool
	mouse       bool // clicks come to the bench, not to the terminal
	large       bool // one thing at a time, to be read from afar
	largeView   view.LargeView
}

// spans are the widths of the strips in seconds; 0 is the whole run.
func spans() []float64 { return []float64{0, 10, 3, 1, 0.2} }

func (b *Bench) nextTab() tea.Cmd {
	if b.show.large {
		b.show.largeView = (b.show.largeView + 1) % view.LargeViewCount
		return nil
	}
	tabs := view.TabCount
	if b.other != nil {
		tabs = view.ComparedTab + 1
	}
	b.show.tab = (b.show.tab + 1) % tabs
	return nil
}

func (b *Bench) nextSpan() tea.Cmd {
	b.show.span = (b.show.span + 1) % len(spans())
	return nil
}

// RiddleMask hides what would reveal the fault of a riddle: the truth, faults, and the name of
// the scenario, in place of which its title is shown.
type RiddleMask struct {
	Title string
	file  string // the name of files
	level int    // place in the levels, at which the next riddle begins
}

// MaskRiddle sets the mask of the bench; nil takes it away.
type MaskRiddle struct{ RiddleMask *RiddleMask }

// setMask ends a comparison as well, which was of another run or without the truth.
func (b *Bench) setMask(mask *RiddleMask) {
	b.mask = mask
	if mask != nil {
		b.riddleLevel = mask.level
	} else {
		b.runs.giveBack()
	}
	b.endComparison()
}

// NewBench makes the main screen for a case that was chosen.
func NewBench(w *Worker, folder string, chosen Chosen, c *sim.Case, warnings string) *Bench {
	return &Bench{
		keys: newBenchKeys(), worker: w, folder: folder, first: loaded{chosen: chosen, c: c, warnings: warnings},
		source: source{chosen: chosen}, player: player.New(), show: display{truth: true}, NextFrame: nextFrame,
	}
}

// Teach gives the bench the course.
func (b *Bench) Teach(c *Course) { b.course = c }

// Init puts the first case on the bench.
func (b *Bench) Init() tea.Cmd { return b.worker.command(b.first.start) }

// Typing is never so: the bench has no text.
func (b *Bench) Typing() bool { return false }

// Place is everything.
func (b *Bench) Place(w, h int) Rect { return Rect{0, 0, w, h} }

// Draw draws the bench; without a run, the notice alone.
func (b *Bench) Draw(a page.Area) {
	if b.Case() == nil {
		a.Text(1, 0, page.Heading, "holdbench")
		b.drawNotice(a)
		return
	}
	b.drawScene(a, b.scene())
}

func (b *Bench) drawNotice(a page.Area) {
	role := page.Plain
	if b.notice.Bad {
		role = page.Bad
	}
	a.Wrap(1, 2, role, b.notice.Text)
}

// Tell shows a notice until a key is pressed or a run is there.
func (b *Bench) Tell(text string) { b.say(text, false) }

func (b *Bench) say(text string, bad bool) { b.notice = Notice{text, bad} }

// scene is the input of the view.
func (b *Bench) scene() *view.Scene {
	at, state := b.player.Shown(), b.player.State()
	s := &view.Scene{
		Case: b.Case(), View: at.View, Samples: at.Samples, Blocks: at.Blocks, Nominal: b.nominal.samples, NominalBlocks: b.nominal.blocks, Events: b.visible(),
		Result: at.Result, HeadS: b.seconds(at.Ticks), AtHead: at.Cursor == player.Newest,
		Playing: state == player.Playing, Busy: state == player.Running, Speed: b.player.Speed(), SpanS: spans()[b.show.span],
		Truth: !b.truthHidden(), Tab: b.show.tab, Changed: b.changed,
		Notice: b.notice.Text, Bad: b.notice.Bad,
	}
	s.Served, s.ServedTruth = b.Served, b.ServesTruth
	if b.RealTime != nil && b.live() {
		s.RealTime = b.RealTime()
	}
	if !b.show.hideEarlier {
		s.Earlier, s.EarlierBlocks = b.runs.earlier, b.runs.earlierBlocks
	}
	if b.mask == nil {
		s.WrongData = b.wrongData()
	}
	b.compared(s)
	if s.Title = b.untold; b.untold != "" {
		s.View = withoutComingFaults(s.View)
	}
	if b.mask != nil {
		s.Title = b.mask.Title
		if s.View != nil {
			s.View = b.asDocumented(s.View)
		}
	}
	s.RigName = fileName(scenarios.RigKind, b.source.chosen.Overrides.Rig, s.Case.Scenario.Rig.Name)
	if b.source.chosen.Overrides.Outside == nil { // a controller outside has a name of its own
		s.SequenceName = fileName(scenarios.SequenceKind, b.source.chosen.Overrides.Sequence, s.Case.Scenario.Sequence.Name)
	}
	return s
}

// wrongData are the data that are wrong in a riddle's run, each with the value of the documents.
func (b *Bench) wrongData() []string {
	if len(b.source.data) == 0 {
		return nil
	}
	right := presentValues(b.nominalCase())
	var list []string
	for _, key := range slices.Sorted(maps.Keys(b.source.data)) {
		list = append(list, fmt.Sprintf("%s = %s, in place of %s", key, b.source.data[key], right[key]))
	}
	return list
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
	if !b.truthHidden() {
		return b.player.Shown().Events
	}
	var list []sim.Event
	hidden := b.hider()
	for _, e := range b.player.Shown().Events {
		if !hidden(e.Kind) {
			list = append(list, e)
		}
	}
	return list
}

// hider tells which kinds of events are hidden now: with the truth, faults as well. Jobs ask it, so it does not read
// the bench.
func (b *Bench) hider() func(kind string) bool {
	hidden := b.truthHidden()
	return func(kind string) bool { return hidden && sim.TruthOnly(kind) }
}

// nameless is whether nothing may be said that reveals what the run is about.
func (b *Bench) nameless() bool { return b.mask != nil || b.untold != "" || !b.show.truth }

func (b *Bench) truthHidden() bool { return b.mask != nil || b.veiled || !b.show.truth }

func (b *Bench) toggleTruth() tea.Cmd {
	if b.veiled {
		b.say("the truth is shown once a question of the lesson is answered", false)
		return nil
	}
	if b.mask != nil {
		b.say("the truth is shown with the answer", false)
		return nil
	}
	b.show.truth = !b.show.truth
	return nil
}

func (b *Bench) toggleEarlier() tea.Cmd {
	b.show.hideEarlier = !b.show.hideEarlier
	return nil
}

// Changed is whether something was done that is not kept.
func (b *Bench) Changed() bool { return b.changed || b.player.Changing() }

// Case is what is on the bench, nil before the first is loaded.
func (b *Bench) Case() *sim.Case { return b.runs.of() }

// Name is a name for files of the moment shown.
func (b *Bench) Name() string {
	if b.Case() == nil {
		return "holdbench"
	}
	return fmt.Sprintf("%s-%.3fs", b.title(), b.player.Shown().View.TS)
}

func (b *Bench) title() string {
	switch {
	case b.mask != nil:
		return cmp.Or(b.mask.file, "riddle")
	case b.untold != "":
		return "lesson-" + b.course.number(b.source.chosen.Reference)
	case !b.show.truth:
		return "truth-hidden"
	}
	return b.Case().Scenario.Scenario
}

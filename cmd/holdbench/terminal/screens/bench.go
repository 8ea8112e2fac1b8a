package screens

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/scenarios"
	"holdbench/sim"
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
	player  *player.Player
	lesson  stops
	veil    *Veil // a fault is to be found, nil otherwise
	changed bool  // something was done that is not kept

	size   tea.WindowSizeMsg
	show   display
	notice Notice

	// NextFrame asks for the next [Frame] of a run that plays.
	NextFrame func() tea.Cmd
}

// display is what the screen shows of a run.
type display struct {
	tab     view.Tab
	span    int // place in spans
	truth   bool
	noGhost bool
	mouse   bool // clicks are the bench's, not the terminal's
}

// spans are the widths of the strips in seconds; 0 is the whole run.
func spans() []float64 { return []float64{0, 10, 3, 1, 0.2} }

func (d *display) nextTab()  { d.tab = (d.tab + 1) % view.Tabs }
func (d *display) nextSpan() { d.span = (d.span + 1) % len(spans()) }

// Veil hides what would give a riddle away: truth, faults, and the scenario's name.
type Veil struct{ Title string }

// Veiled draws the veil over the bench, or takes it away with nil.
type Veiled struct{ Veil *Veil }

// NewBench makes the main screen for a case that was chosen.
func NewBench(w *Worker, folder string, chosen Chosen, c *sim.Case, doubts string) *Bench {
	return &Bench{
		keys: newBenchKeys(), worker: w, folder: folder, first: loaded{chosen: chosen, c: c, doubts: doubts},
		source: source{chosen: chosen}, player: player.New(), show: display{truth: true}, NextFrame: nextFrame,
	}
}

// Init puts the first case on the bench.
func (b *Bench) Init() tea.Cmd { return b.worker.command(b.first.start) }

// Typing is never so: the bench has no text.
func (b *Bench) Typing() bool { return false }

// Place is everything.
func (b *Bench) Place(w, h int) Rect { return Rect{0, 0, w, h} }

// Draw draws the bench, or that there is nothing yet.
func (b *Bench) Draw(a page.Area) {
	if b.Case() == nil {
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

func (b *Bench) say(text string, bad bool) { b.notice = Notice{text, bad} }

// at is the moment that is shown.
func (b *Bench) at() *player.Progress { return b.player.Shown() }

// scene is what the view draws.
func (b *Bench) scene() *view.Scene {
	at, state := b.at(), b.player.State()
	s := &view.Scene{
		Case: b.Case(), Look: at.Look, Samples: at.Samples, Blocks: at.Blocks, Nominal: b.nominal.samples, NominalBlocks: b.nominal.blocks, Events: b.visible(),
		Result: at.Result, HeadS: b.seconds(at.Ticks), AtHead: at.Cursor == player.Newest,
		Playing: state == player.Playing, Busy: state == player.Running, Speed: b.player.Speed(), SpanS: spans()[b.show.span],
		Truth: b.show.truth && b.veil == nil, Tab: b.show.tab, Changed: b.changed,
		Notice: b.notice.Text, Bad: b.notice.Bad,
	}
	if !b.show.noGhost {
		s.Ghost, s.GhostBlocks = b.runs.ghost, b.runs.ghostBlocks
	}
	if b.veil != nil {
		s.Title = b.veil.Title
	}
	s.RigName = fileName(scenarios.RigKind, b.source.chosen.Overrides.Rig, s.Case.Scenario.Rig.Name)
	s.SequenceName = fileName(scenarios.SequenceKind, b.source.chosen.Overrides.Sequence, s.Case.Scenario.Sequence.Name)
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
	if b.veil == nil && b.show.truth {
		return b.at().Events
	}
	var list []sim.Event
	hidden := b.hider()
	for _, e := range b.at().Events {
		if !hidden(e.Kind) {
			list = append(list, e)
		}
	}
	return list
}

// hider tells which kinds of events must not be seen now, without a look at the bench: jobs
// ask it. A veil hides faults too; who switches the truth off knows them.
func (b *Bench) hider() func(kind string) bool {
	veiled, truth := b.veil != nil, b.show.truth
	return func(kind string) bool {
		return sim.TruthOnly(kind) && (veiled || !truth && kind != sim.KindFault)
	}
}

func (b *Bench) toggleTruth() {
	if b.veil != nil {
		b.say("the truth comes with the answer", false)
		return
	}
	b.show.truth = !b.show.truth
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
	return fmt.Sprintf("%s-%.3fs", b.title(), b.at().Look.TS)
}

func (b *Bench) title() string {
	if b.veil != nil {
		return "riddle"
	}
	return b.Case().Scenario.Scenario
}

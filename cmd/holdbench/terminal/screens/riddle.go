package screens

import (
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
	"holdbench/sim/training"
)

// riddleScreen is the panel of a riddle: a fault is drawn at random and is to be named with its
// remedy. While the run is examined, the bench is in sight and the panel is not.
type riddleScreen struct {
	panel
	worker  *Worker
	c       *sim.Case
	seed    textField
	fresh   string                      // seed that was proposed
	before  map[training.Level][]string // faults of riddles with such seeds, which do not come again so soon
	level   int                         // place in the levels
	part    riddlePart
	riddle  *training.Riddle
	cause   int // place chosen
	remedy  int
	looks   int             // runs after the first one, and the nominal run
	nominal bool            // the nominal run was shown, behind it or as run B
	begun   bool            // its first run is on the bench
	played  *sim.Scenario   // the newest run that went on from its start, nil before
	counted bool            // the run on the bench, which is another one, was counted
	score   *training.Score // nil if it was aborted
	log     *AnswerLog      // nil where answers are not kept
	kept    passage         // where the answer was kept, or why not
	scroll  int
	wrong   string
	last    *riddleScreen // the one before with its answer, nil if there was none
	next    *riddleScreen // the one that goes on when the answer is closed, nil for the bench
}

// riddlePart is the part of a riddle that is on.
type riddlePart int

const (
	riddleOpens riddlePart = iota
	riddleDraws
	riddleLooks
	riddleCause
	riddleRemedy
	riddleReveals
	riddleShows // the run of a wrong cause
)

// drawn is the riddle that a command drew.
type drawn struct {
	of     *riddleScreen
	riddle *training.Riddle
	before []string // faults of riddles by then, nil for a seed that was typed
	err    error
}

// newRiddle makes a riddle on the rig and the sequence of a case, with a seed that was not there before.
func newRiddle(w *Worker, c *sim.Case, log *AnswerLog, before map[training.Level][]string) *riddleScreen {
	seed := freshSeed()
	return &riddleScreen{panel: newPanel(90, 40), worker: w, c: c, log: log, before: before, fresh: seed, seed: newValueField(seed, "")}
}

// AnswerLog is where the answers to riddles are kept.
type AnswerLog struct {
	Player string // empty without a name
	File   string
	Append func(file string, line []byte) error
}

// answerKept tells that an answer was kept, or why not.
type answerKept struct {
	of  *riddleScreen
	err error
}

// keepAnswer keeps the answer beside the program, as it writes a file.
func (r *riddleScreen) keepAnswer() tea.Cmd {
	if r.log == nil {
		return nil
	}
	answer := r.riddle.AbortedAnswer(r.log.Player, r.looks)
	if r.score != nil {
		answer = r.riddle.Answer(r.log.Player, r.riddle.Causes[r.cause].Name, r.riddle.Remedies[r.remedy].Name, r.looks)
	}
	return r.worker.atOnce(func() tea.Msg {
		line, err := json.Marshal(answer)
		if err == nil {
			err = r.log.Append(r.log.File, line)
		}
		return answerKept{r, err}
	})
}

func (r *riddleScreen) onKept(msg answerKept) {
	if msg.of != r {
		return
	}
	r.kept = passage{page.Faint, 2, "The result is in " + r.log.File + "; holdbench score reads it."}
	if msg.err != nil {
		r.kept = passage{page.Bad, 2, "✗ " + msg.err.Error()}
	}
}

// freshSeed is a seed of six digits, which can be passed on.
func freshSeed() string {
	const seeds = 1_000_000
	var random [8]byte
	_, _ = rand.Read(random[:]) // never fails
	return strconv.FormatUint(binary.LittleEndian.Uint64(random[:])%seeds, 10)
}

// Typing is so while the seed is typed.
func (r *riddleScreen) Typing() bool { return r.part == riddleOpens }

// Place is nothing while the run is examined.
func (r *riddleScreen) Place(w, h int) Rect {
	if r.part == riddleLooks || r.part == riddleShows {
		return Rect{}
	}
	return r.panel.Place(w, h)
}

// Keys are those of the part.
func (r *riddleScreen) Keys() []key.Binding {
	k := &r.keys
	switch r.part {
	case riddleOpens:
		list := []key.Binding{meaning(k.Take, "draw"), hint("↑↓", "level"), hint("digits", "seed"), k.Close}
		if r.last != nil {
			list = slices.Insert(list, 3, meaning(k.Next, "last answer"))
		}
		return list
	case riddleDraws:
		return []key.Binding{k.Close}
	case riddleLooks:
		return []key.Binding{meaning(k.Take, "answer"), hint("r", "again"), hint("o", r.nominalHint()), hint("space", "run, pause"), hint("v", r.valuesHint()), meaning(k.Close, "abort")}
	case riddleReveals:
		closing := "close"
		if r.next != nil {
			closing = "next riddle"
		}
		return []key.Binding{meaning(k.Take, closing), k.moving, hint("1–5", "run of a wrong cause")}
	case riddleShows:
		return []key.Binding{meaning(k.Take, "back to the answer"), hint("space", "run, pause"), hint("u", "the riddle's run")}
	}
	back := "back to the run"
	if r.part == riddleRemedy {
		back = "back to the causes"
	}
	return []key.Binding{meaning(k.Take, "choose"), k.moving, meaning(k.Back, back)}
}

// valuesHint is the cost of a run with other values.
func (r *riddleScreen) valuesHint() string {
	if left := training.FreeLooks - r.looks; left > 0 {
		return fmt.Sprintf("values, %d free", left)
	}
	return "values, 1 point"
}

// nominalHint says that the nominal run is a look, once.
func (r *riddleScreen) nominalHint() string {
	switch {
	case r.nominal:
		return "nominal run"
	case r.looks < training.FreeLooks:
		return "nominal, a look"
	}
	return "nominal, 1 point"
}

// Update takes the keys of the part; while the run is examined they are the bench's.
func (r *riddleScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		r.size = msg
	case drawn:
		return msg.of == r, r.onDrawn(msg)
	case answerKept:
		r.onKept(msg)
	case caseReplaced:
		r.onReplaced(msg)
	case compareWith:
		if msg.kind == nominalOther {
			r.countNominal()
		}
	case nominalRun:
		r.countNominal()
	case confirmed:
		if _, ok := msg.What.(abortRiddle); ok && r.part == riddleLooks {
			return true, tea.Batch(r.reveal(), r.keepAnswer())
		}
	case tea.MouseMsg:
		return r.part != riddleLooks && r.part != riddleShows, r.read(wheel(msg))
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return r.onKey(msg)
	}
	return false, nil
}

// onReplaced counts another run than the one that was played last. The same run again shows nothing new, and of runs
// that were not played only one is counted.
func (r *riddleScreen) onReplaced(msg caseReplaced) {
	if r.part == riddleLooks && r.begun {
		if msg.Before != nil {
			r.played, r.counted = msg.Before, false
		}
		if r.played != nil && !r.counted && len(differencesOf(r.played, &msg.Case.Scenario)) > 0 {
			r.counted = true
			r.looks++
		}
	}
	r.begun = r.part == riddleLooks
}

// countNominal counts the nominal run, however often it is shown and in which way.
func (r *riddleScreen) countNominal() {
	if r.part == riddleLooks && !r.nominal {
		r.nominal = true
		r.looks++
	}
}

// abortRiddle is the subject of the question whether to abort.
type abortRiddle struct{}

// abortText is what an abort costs.
func (r *riddleScreen) abortText() string {
	if r.log == nil {
		return "The answer is shown, without points."
	}
	return "The answer is shown, and 0 points are kept as your answer to this riddle."
}

func (r *riddleScreen) onKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &r.keys
	take, leave := key.Matches(msg, k.Take), key.Matches(msg, k.Close)
	switch {
	case r.part == riddleOpens && take:
		return true, r.draw()
	case r.part == riddleOpens && r.last != nil && key.Matches(msg, k.Next):
		r.last.scroll, r.last.next = 0, r
		return true, both(Close{}, Open{r.last})
	case r.part == riddleOpens && leave, r.part == riddleDraws && leave:
		return true, Send(Close{})
	case r.part == riddleDraws:
		r.wrong = shown(msg.String()) + " is not taken while the fault is drawn; press it once the run is there"
	case r.part == riddleOpens:
		r.onOpeningKey(msg)
	case r.part == riddleShows && (take || leave):
		r.part = riddleReveals
	case r.part == riddleShows:
		return false, nil
	case r.part == riddleLooks && take:
		r.part, r.scroll, r.cause = riddleCause, 0, 0
	case r.part == riddleLooks && leave:
		return true, Send(Open{newAsk("Abort the riddle?", r.abortText(), abortRiddle{})})
	case r.part == riddleLooks:
		return false, nil
	case r.part == riddleReveals:
		return true, r.onRevealKey(msg, take || leave)
	case r.part == riddleRemedy && key.Matches(msg, k.Back):
		r.part = riddleCause
	case key.Matches(msg, k.Back):
		r.part = riddleLooks
	default:
		return true, r.onChoiceKey(msg, take)
	}
	return true, nil
}

func (r *riddleScreen) onOpeningKey(msg tea.KeyMsg) {
	levels := len(training.Levels())
	switch {
	case key.Matches(msg, r.keys.Up):
		r.level = (r.level + levels - 1) % levels
	case key.Matches(msg, r.keys.Down):
		r.level = (r.level + 1) % levels
	default:
		r.seed.update(msg)
	}
}

// draw draws the fault in a command, as it takes some runs.
func (r *riddleScreen) draw() tea.Cmd {
	seed, err := strconv.ParseUint(r.seed.text(), 10, 64)
	if err != nil {
		r.wrong = fmt.Sprintf("the seed is %q; must be a whole number from 0", r.seed.text())
		return nil
	}
	r.part, r.wrong = riddleDraws, ""
	c, level := r.c, training.Levels()[r.level].Level
	before, typed := r.before[level], r.seed.text() != r.fresh
	return r.worker.command(func() tea.Msg {
		if typed {
			riddle, err := training.Draw(r.worker.ctx, c, level, seed)
			return drawn{of: r, riddle: riddle, err: err}
		}
		series, err := training.NewSeries(c, level, before)
		if err != nil {
			return drawn{of: r, err: err}
		}
		riddle, err := series.Next(r.worker.ctx, seed)
		return drawn{r, riddle, series.Drawn, err}
	})
}

func (r *riddleScreen) onDrawn(d drawn) tea.Cmd {
	if d.of != r || r.part != riddleDraws {
		return nil
	}
	if d.err != nil {
		r.part, r.wrong = riddleOpens, d.err.Error()
		return nil
	}
	r.riddle, r.part, r.wrong = d.riddle, riddleLooks, ""
	if d.before != nil {
		r.before[d.riddle.Level] = d.before
	}
	mask := &RiddleMask{Title: fmt.Sprintf("riddle %d, level %s", d.riddle.Seed, d.riddle.Level), file: d.riddle.Case.Scenario.Scenario, level: r.level}
	return both(MaskRiddle{mask}, beginRun{Case: d.riddle.Case, Nominal: d.riddle.Nominal, Data: d.riddle.Data})
}

// choices are those of the part.
func (r *riddleScreen) choices() (list []training.Choice, at *int) {
	if r.part == riddleRemedy {
		return r.riddle.Remedies, &r.remedy
	}
	return r.riddle.Causes, &r.cause
}

func (r *riddleScreen) onChoiceKey(msg tea.KeyMsg, take bool) tea.Cmd {
	list, at := r.choices()
	switch {
	case key.Matches(msg, r.keys.Up):
		*at = max(0, *at-1)
	case key.Matches(msg, r.keys.Down):
		*at = min(len(list)-1, *at+1)
	case take && r.part == riddleCause:
		r.part, r.remedy = riddleRemedy, 0
	case take:
		score := r.riddle.Score(r.riddle.Causes[r.cause].Name, r.riddle.Remedies[r.remedy].Name, r.looks)
		r.score = &score
		return tea.Batch(r.reveal(), r.keepAnswer())
	}
	return nil
}

// reveal takes the mask away.
func (r *riddleScreen) reveal() tea.Cmd {
	r.part, r.scroll = riddleReveals, 0
	return Send(MaskRiddle{nil})
}

func (r *riddleScreen) onRevealKey(msg tea.KeyMsg, leave bool) tea.Cmd {
	switch {
	case leave && r.next != nil:
		next := r.next
		r.next = nil
		return both(Close{}, Open{next})
	case leave:
		return Send(Close{})
	case len(msg.Runes) == 1 && msg.Runes[0] >= '1' && msg.Runes[0] <= '9':
		return r.show(int(msg.Runes[0] - '1'))
	case key.Matches(msg, r.keys.PageUp):
		return r.read(-r.room().H)
	case key.Matches(msg, r.keys.PageDown):
		return r.read(r.room().H)
	case key.Matches(msg, r.keys.ReadUp, r.keys.Up):
		return r.read(-1)
	case key.Matches(msg, r.keys.ReadDown, r.keys.Down):
		return r.read(1)
	}
	return nil
}

// show runs a wrong cause; the run of the riddle is shown behind it.
func (r *riddleScreen) show(place int) tea.Cmd {
	list := r.wrongCauses()
	if place >= len(list) {
		return nil
	}
	r.part = riddleShows
	return Send(beginRun{Case: list[place].Case, Nominal: r.riddle.Nominal, Data: list[place].Data})
}

// wrongCauses are the wrong ones, the one that was named first.
func (r *riddleScreen) wrongCauses() []training.Choice {
	var list []training.Choice
	for i, c := range r.riddle.Causes {
		switch {
		case c.Case == nil: // the true one
		case r.score != nil && i == r.cause:
			list = slices.Insert(list, 0, c)
		default:
			list = append(list, c)
		}
	}
	return list
}

func (r *riddleScreen) read(by int) tea.Cmd {
	if r.part == riddleReveals {
		in := r.room()
		r.scroll = scrolled(r.scroll, by, rowsOf(in.W, r.revelation()), in.H)
	}
	return nil
}

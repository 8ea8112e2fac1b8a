package screens

import (
	"fmt"
	"strconv"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/sim"
	"holdbench/sim/training"
)

// riddleScreen is the panel of a riddle: a fault is drawn at random and is to be named with its
// remedy. While the run is examined, the bench is in sight and the panel is not.
type riddleScreen struct {
	panel
	worker *Worker
	c      *sim.Case
	seed   textField
	part   riddlePart
	riddle *training.Riddle
	cause  int // place chosen
	remedy int
	looks  int             // runs after the first one
	score  *training.Score // nil if it was aborted
	scroll int
	wrong  string
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
)

// drawn is the riddle that a command drew.
type drawn struct {
	of     *riddleScreen
	riddle *training.Riddle
	err    error
}

// newRiddle makes a riddle on the rig and the sequence of a case.
func newRiddle(w *Worker, c *sim.Case) *riddleScreen {
	return &riddleScreen{panel: newPanel(90, 30), worker: w, c: c, seed: newTextField("1", "")}
}

// Typing is so while the seed is typed.
func (r *riddleScreen) Typing() bool { return r.part == riddleOpens }

// Place is nothing while the run is examined.
func (r *riddleScreen) Place(w, h int) Rect {
	if r.part == riddleLooks {
		return Rect{}
	}
	return r.panel.Place(w, h)
}

// Keys are those of the part.
func (r *riddleScreen) Keys() []key.Binding {
	k := &r.keys
	switch r.part {
	case riddleOpens:
		return []key.Binding{meaning(k.Take, "draw"), k.Close}
	case riddleDraws:
		return []key.Binding{k.Close}
	case riddleLooks:
		return []key.Binding{meaning(k.Take, "name the cause"), hint("space", "run, pause"), hint("r", r.free()), hint("o", "nominal run"), hint("v", "values"), meaning(k.Close, "abort")}
	case riddleReveals:
		return []key.Binding{meaning(k.Take, "close"), k.reading}
	}
	return []key.Binding{meaning(k.Take, "choose"), k.moving, meaning(k.Close, "back to the run")}
}

// free is the cost of another run.
func (r *riddleScreen) free() string {
	if left := training.FreeLooks - r.looks; left > 0 {
		return fmt.Sprintf("run again, %d free", left)
	}
	return "run again, 1 point"
}

// Update takes the keys of the part; while the run is examined they are the bench's.
func (r *riddleScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		r.size = msg
	case drawn:
		return msg.of == r, r.onDrawn(msg)
	case caseReplaced:
		if r.part == riddleLooks {
			r.looks++
		}
	case confirmed:
		if _, ok := msg.What.(abortRiddle); ok {
			return true, r.reveal()
		}
	case tea.MouseMsg:
		return r.part != riddleLooks, r.read(wheel(msg))
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return r.onKey(msg)
	}
	return false, nil
}

// abortRiddle is the subject of the question whether to abort.
type abortRiddle struct{}

func (r *riddleScreen) onKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &r.keys
	take, leave := key.Matches(msg, k.Take), key.Matches(msg, k.Close)
	switch {
	case r.part == riddleOpens && take:
		return true, r.draw()
	case r.part == riddleOpens && leave, r.part == riddleDraws && leave:
		return true, Send(Close{})
	case r.part == riddleDraws: // until the riddle is there
	case r.part == riddleOpens:
		r.seed.update(msg)
	case r.part == riddleLooks && take:
		r.part, r.scroll = riddleCause, 0
	case r.part == riddleLooks && leave:
		return true, Send(Open{newAsk("Abort the riddle?", "The answer is shown, without points.", abortRiddle{})})
	case r.part == riddleLooks:
		return false, nil
	case r.part == riddleReveals:
		return true, r.onRevealKey(msg, take || leave)
	case leave:
		r.part = riddleLooks
	default:
		return true, r.onChoiceKey(msg, take)
	}
	return true, nil
}

// draw draws the fault in a command, as it takes some runs.
func (r *riddleScreen) draw() tea.Cmd {
	seed, err := strconv.ParseUint(r.seed.text(), 10, 64)
	if err != nil {
		r.wrong = fmt.Sprintf("the seed is %q; must be a whole number from 0", r.seed.text())
		return nil
	}
	r.part, r.wrong = riddleDraws, ""
	c := r.c
	return r.worker.command(func() tea.Msg {
		drawnNow, err := training.Draw(c, seed)
		return drawn{r, drawnNow, err}
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
	r.riddle, r.part = d.riddle, riddleLooks
	r.looks = -1 // the first run is not counted
	mask := &RiddleMask{Title: fmt.Sprintf("riddle %d", d.riddle.Seed)}
	return both(MaskRiddle{mask}, beginRun{Case: d.riddle.Case})
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
		r.part = riddleRemedy
	case take:
		score := r.riddle.Score(r.riddle.Causes[r.cause].Name, r.riddle.Remedies[r.remedy].Name, r.looks)
		r.score = &score
		return r.reveal()
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
	case leave:
		return Send(Close{})
	case key.Matches(msg, r.keys.ReadUp, r.keys.Up):
		return r.read(-1)
	case key.Matches(msg, r.keys.ReadDown, r.keys.Down):
		return r.read(1)
	}
	return nil
}

func (r *riddleScreen) read(by int) tea.Cmd {
	if r.part == riddleReveals {
		in := r.room()
		r.scroll = scrolled(r.scroll, by, rowsOf(in.W, r.revelation()), in.H)
	}
	return nil
}

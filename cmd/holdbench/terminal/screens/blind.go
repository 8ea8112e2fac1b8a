package screens

import (
	"fmt"
	"strconv"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/sim"
	"holdbench/sim/training"
)

// Blind is a riddle: a fault drawn unseen, to be found by looking and probing, and named
// with its remedy. It gives way to the bench while one looks.
type Blind struct {
	panel
	worker *Worker
	c      *sim.Case
	seed   textField
	part   blindPart
	riddle *training.Riddle
	cause  int // place chosen
	remedy int
	looks  int             // runs beyond the first
	score  *training.Score // nil if it was given up
	scroll int
	wrong  string
}

// blindPart is where a riddle is.
type blindPart int

const (
	blindOpens blindPart = iota
	blindDraws
	blindLooks
	blindCause
	blindRemedy
	blindReveals
)

// drawn is the riddle that a command drew.
type drawn struct {
	of     *Blind
	riddle *training.Riddle
	err    error
}

// NewBlind makes a riddle on the rig and the sequence of a case.
func NewBlind(w *Worker, c *sim.Case) *Blind {
	b := &Blind{panel: newPanel(90, 30), worker: w, c: c, seed: newTextField("1", "")}
	return b
}

// Typing is so while the seed is typed.
func (b *Blind) Typing() bool { return b.part == blindOpens }

// Place is nothing while one looks.
func (b *Blind) Place(w, h int) Rect {
	if b.part == blindLooks {
		return Rect{}
	}
	return b.panel.Place(w, h)
}

// Keys are those of the part.
func (b *Blind) Keys() []key.Binding {
	k := &b.keys
	switch b.part {
	case blindOpens:
		return []key.Binding{meaning(k.Take, "draw"), k.Close}
	case blindDraws:
		return []key.Binding{k.Close}
	case blindLooks:
		return []key.Binding{meaning(k.Take, "name the cause"), hint("space", "run, pause"), hint("r", b.free()), hint("o", "nominal run behind"), hint("v", "values"), meaning(k.Close, "give up")}
	case blindReveals:
		return []key.Binding{meaning(k.Take, "close"), k.reading}
	}
	return []key.Binding{meaning(k.Take, "this one"), k.moving, meaning(k.Close, "look again")}
}

// free says what another run costs.
func (b *Blind) free() string {
	if left := training.FreeLooks - b.looks; left > 0 {
		return fmt.Sprintf("run again, %d free", left)
	}
	return "run again for a point"
}

// Update takes the keys of the part; while one looks they are the bench's.
func (b *Blind) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		b.size = msg
	case drawn:
		return msg.of == b, b.onDrawn(msg)
	case Replaced:
		if b.part == blindLooks {
			b.looks++
		}
	case Confirmed:
		if _, ok := msg.What.(giveUp); ok {
			return true, b.reveal()
		}
	case tea.MouseMsg:
		return b.part != blindLooks, b.read(wheel(msg))
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return b.onKey(msg)
	}
	return false, nil
}

// giveUp is what a question to give up is about.
type giveUp struct{}

func (b *Blind) onKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &b.keys
	take, leave := key.Matches(msg, k.Take), key.Matches(msg, k.Close)
	switch {
	case b.part == blindOpens && take:
		return true, b.draw()
	case b.part == blindOpens && leave, b.part == blindDraws && leave:
		return true, Send(Close{})
	case b.part == blindDraws: // until the riddle is there
	case b.part == blindOpens:
		b.seed.update(msg)
	case b.part == blindLooks && take:
		b.part, b.scroll = blindCause, 0
	case b.part == blindLooks && leave:
		return true, Send(Open{NewAsk("Give the riddle up?", "The answer is shown, and it scores nothing.", giveUp{})})
	case b.part == blindLooks:
		return false, nil
	case b.part == blindReveals:
		return true, b.onRevealKey(msg, take || leave)
	case leave:
		b.part = blindLooks
	default:
		return true, b.onChoiceKey(msg, take)
	}
	return true, nil
}

// draw draws the fault, off the update: it takes some runs.
func (b *Blind) draw() tea.Cmd {
	seed, err := strconv.ParseUint(b.seed.text(), 10, 64)
	if err != nil {
		b.wrong = fmt.Sprintf("the seed is %q; must be a whole number from 0", b.seed.text())
		return nil
	}
	b.part, b.wrong = blindDraws, ""
	c := b.c
	return b.worker.command(func() tea.Msg {
		r, err := training.Draw(c, seed)
		return drawn{b, r, err}
	})
}

func (b *Blind) onDrawn(d drawn) tea.Cmd {
	if d.of != b || b.part != blindDraws {
		return nil
	}
	if d.err != nil {
		b.part, b.wrong = blindOpens, d.err.Error()
		return nil
	}
	b.riddle, b.part = d.riddle, blindLooks
	b.looks = -1 // the first run is no look beyond what must be seen
	veil := &Veil{Title: fmt.Sprintf("riddle %d", d.riddle.Seed)}
	return both(Veiled{veil}, Begin{Case: d.riddle.Case})
}

// choices are those of the part.
func (b *Blind) choices() (list []training.Choice, at *int) {
	if b.part == blindRemedy {
		return b.riddle.Remedies, &b.remedy
	}
	return b.riddle.Causes, &b.cause
}

func (b *Blind) onChoiceKey(msg tea.KeyMsg, take bool) tea.Cmd {
	list, at := b.choices()
	switch {
	case key.Matches(msg, b.keys.Up):
		*at = max(0, *at-1)
	case key.Matches(msg, b.keys.Down):
		*at = min(len(list)-1, *at+1)
	case take && b.part == blindCause:
		b.part = blindRemedy
	case take:
		score := b.riddle.Score(b.riddle.Causes[b.cause].Name, b.riddle.Remedies[b.remedy].Name, b.looks)
		b.score = &score
		return b.reveal()
	}
	return nil
}

// reveal takes the veil away.
func (b *Blind) reveal() tea.Cmd {
	b.part, b.scroll = blindReveals, 0
	return Send(Veiled{nil})
}

func (b *Blind) onRevealKey(msg tea.KeyMsg, leave bool) tea.Cmd {
	switch {
	case leave:
		return Send(Close{})
	case key.Matches(msg, b.keys.ReadUp, b.keys.Up):
		return b.read(-1)
	case key.Matches(msg, b.keys.ReadDown, b.keys.Down):
		return b.read(1)
	}
	return nil
}

func (b *Blind) read(by int) tea.Cmd {
	if b.part == blindReveals {
		in := b.room()
		b.scroll = scrolled(b.scroll, by, rowsOf(in.W, b.revelation()), in.H)
	}
	return nil
}

// Package terminal is the terminal bench: the program that opens on a terminal.
package terminal

import (
	"context"
	"fmt"
	"io"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/follow"
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/progress"
	"holdbench/cmd/holdbench/terminal/screens"
	"holdbench/scenarios"
	"holdbench/sim"
)

// Colours is what is known of the colours of a terminal.
type Colours = page.Colours

// Theme is the background of a terminal.
type Theme = page.Theme

// ThemeNamed is the theme of a name: auto, dark or light; auto is that of the background which a terminal states
// in COLORFGBG. It is false for another name.
func ThemeNamed(name, colorfgbg string) (Theme, bool) {
	switch name {
	case "auto":
		return page.ThemeOf(colorfgbg), true
	case "dark":
		return page.Dark, true
	case "light":
		return page.Light, true
	}
	return page.Either, false
}

// Options are what the bench starts with.
type Options struct {
	In  io.Reader
	Out io.Writer

	Reference string // scenario
	Overrides scenarios.Overrides
	Case      *sim.Case     // made of the two
	Warnings  string        // about the case, empty for none
	Waiting   string        // what the first run waits for, empty for nothing
	RealTime  func() string // how punctual a run in real time is; nil without one
	End       func()        // ends what runs may wait for, before the end waits for them
	Folder    string        // documents are looked for here, and kept here
	Progress  string        // file of what was done of the course, empty for none
	Results   string        // file of what was answered to riddles, empty for none
	Player    string        // who answers, empty without a name
	ASCII     bool
	Serve     *follow.Server // to whom the run is shown as well, nil for none
	Truth     bool           // they see the truth of a riddle, too, and no answer is kept
	Large     bool           // one thing at a time, to be read from afar
	Colours   Colours
}

// Run shows the bench until it is left. The terminal is as before afterwards, whatever
// ends it.
func Run(ctx context.Context, o Options) error {
	worker := screens.NewWorker(ctx)
	defer worker.Close()
	// Signals end the context; a second handler of them can block the first.
	program := tea.NewProgram(newRoot(worker, o), tea.WithContext(ctx), tea.WithoutSignalHandler(),
		tea.WithInput(o.In), tea.WithOutput(o.Out), tea.WithAltScreen())
	_, err := program.Run()
	if o.End != nil {
		o.End()
	}
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return fmt.Errorf("the bench could not go on: %w", err)
	}
	return nil
}

// newRoot makes the model of the whole screen.
func newRoot(w *screens.Worker, o Options) *root {
	bench := screens.NewBench(w, o.Folder, screens.Chosen{Reference: o.Reference, Overrides: o.Overrides}, o.Case, o.Warnings)
	bench.Tell(o.Waiting)
	bench.RealTime = o.RealTime
	if o.Results != "" {
		bench.Answers = &screens.AnswerLog{Player: o.Player, File: o.Results, Append: progress.AppendResult}
	}
	bench.Enlarge(o.Large)
	if o.Serve != nil {
		bench.Served, bench.ServesTruth = o.Serve.Address(), o.Truth
	}
	if course, err := screens.NewCourse(progress.Open(o.Progress)); err == nil { // the built-in course is held by tests
		bench.Teach(course)
	}
	return &root{
		bench: bench, stack: []screens.Screen{bench}, server: o.Serve, folder: o.Folder, ascii: o.ASCII,
		paint: page.NewPaint(o.Colours),
	}
}

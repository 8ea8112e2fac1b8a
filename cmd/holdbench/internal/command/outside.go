package command

import (
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/controller"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/remote"
)

// OutsideFlags put a controller outside the program in the place of the sequence.
type OutsideFlags struct {
	Command string // of the program to start, empty for none
	within  time.Duration
}

// Add adds the flags to a command.
func (f *OutsideFlags) Add(c *cobra.Command) {
	c.Flags().StringVar(&f.Command, "controller", "", "a `PROGRAM` in place of the sequence")
	f.AddWithin(c)
}

// AddWithin adds the flag for the time of an answer alone.
func (f *OutsideFlags) AddWithin(c *cobra.Command) {
	c.Flags().DurationVar(&f.within, "answer-within", controller.DefaultWithin, "`TIME` for an answer; 0: no limit")
	Complete(c, "answer-within", cobra.NoFileCompletions)
}

// Within is the time that a controller has for each answer.
func (f *OutsideFlags) Within(c *cobra.Command) (time.Duration, error) {
	if f.within < 0 {
		return 0, WrongUse(c, "--answer-within is %s; must be a time such as 500ms or 5s, or 0 for no limit", f.within)
	}
	return f.within, nil
}

// Open puts the program of the flag into the overrides, if there is one: a process for each worker.
// What it gives ends the processes, and must be called. Standard error of the processes goes to
// stderr; nil discards it.
func (f *OutsideFlags) Open(a *App, c *cobra.Command, workers int, stderr io.Writer, o *scenarios.Overrides) (end func(), err error) {
	within, err := f.Within(c)
	switch {
	case err != nil:
		return nil, err
	case !c.Flags().Changed("controller") && c.Flags().Changed("answer-within"):
		return nil, WrongUse(c, "--answer-within is for --controller; must be with it")
	case !c.Flags().Changed("controller"):
		return func() {}, nil
	}
	words, err := controller.Words(f.Command)
	if err != nil {
		return nil, WrongUse(c, "--controller %w", err)
	}
	program := &controller.Program{Context: c.Context(), Words: words, Within: within, Stderr: stderr}
	return a.Outside(remote.Options{Connect: program.Connect, Most: workers, AnswerWithin: within, Source: f.Command}, "--controller "+f.Command, o), nil
}

// Outside puts controllers into the overrides; flag is what messages about them begin with. What it
// gives ends their connections.
func (a *App) Outside(from remote.Options, flag string, o *scenarios.Overrides) (end func()) {
	pool := remote.NewPool(from)
	o.Outside = func(base sequence.Logic, rig *plant.Rig) (sequence.Logic, bool, error) {
		made, err := pool.Logic(base, rig.Rig, rig.Clock.FunctionalScan)
		if err != nil {
			return nil, false, fmt.Errorf("%s: %w", page.CleanLine(flag), err)
		}
		return made, pool.OwnStates(), nil
	}
	return sync.OnceFunc(func() {
		if err := pool.Close(); err != nil {
			_, _ = fmt.Fprintf(a.Stderr, "%s: %s\n", page.CleanLine(flag), page.Clean(err.Error()))
		}
		if all, again := pool.Scans(); again > 0 {
			_, _ = fmt.Fprintf(a.Stderr, "%d of %d scans were exchanged again, as a controller outside cannot be copied: %.1f times what copies would take\n", again, all, float64(all)/float64(all-again))
		}
	})
}

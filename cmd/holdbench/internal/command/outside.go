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
	limits  controller.Limits
}

// Add adds the flags to a command.
func (f *OutsideFlags) Add(c *cobra.Command) {
	c.Flags().StringVar(&f.Command, "controller", "", "a `PROGRAM` in place of the sequence")
	f.AddLimits(c)
}

// The flags for the times of answers.
const (
	startWithin  = "start-within"
	answerWithin = "answer-within"
)

// longestWithin bounds the time of an answer.
const longestWithin = 24 * time.Hour

// AddLimits adds the flags for the times of answers alone.
func (f *OutsideFlags) AddLimits(c *cobra.Command) {
	standard := controller.DefaultLimits()
	c.Flags().DurationVar(&f.limits.Start, startWithin, standard.Start, "`TIME` to start; 0: no limit")
	c.Flags().DurationVar(&f.limits.Answer, answerWithin, standard.Answer, "`TIME` for an answer; 0: no limit")
	for _, name := range limitNames() {
		BoundTime(c, name, 0, longestWithin)
		Complete(c, name, cobra.NoFileCompletions)
	}
}

// limitNames are the names of the flags for the times of answers.
func limitNames() []string { return []string{startWithin, answerWithin} }

// Limits are the times that a controller has for its answers.
func (f *OutsideFlags) Limits(c *cobra.Command) (controller.Limits, error) {
	for _, limit := range []struct {
		name  string
		value time.Duration
	}{{startWithin, f.limits.Start}, {answerWithin, f.limits.Answer}} {
		if limit.value < 0 || limit.value > longestWithin || limit.value > 0 && limit.value < time.Millisecond {
			return f.limits, WrongUse(c, "--%s is %s; must be from 1ms to 24h, such as 500ms or 10s, or 0 for no limit", limit.name, limit.value)
		}
	}
	return f.limits, nil
}

// Open puts the program of the flag into the overrides, if there is one: a process for each worker.
// What it gives ends the processes, and must be called. Standard error of the processes goes to
// stderr; nil discards it.
func (f *OutsideFlags) Open(a *App, c *cobra.Command, workers int, stderr io.Writer, o *scenarios.Overrides) (end func(), err error) {
	limits, err := f.Limits(c)
	switch {
	case err != nil:
		return nil, err
	case !c.Flags().Changed("controller") && f.Limited(c) != "":
		return nil, WrongUse(c, "--%s is for --controller; must be with it", f.Limited(c))
	case !c.Flags().Changed("controller"):
		return func() {}, nil
	}
	words, err := controller.Words(f.Command)
	if err != nil {
		return nil, WrongUse(c, "--controller %w", err)
	}
	program := &controller.Program{Context: c.Context(), Words: words, Limits: limits, Stderr: stderr}
	return a.Outside(remote.Options{Connect: program.Connect, Most: workers, AnswerWithin: limits.Answer, Source: f.Command}, "--controller "+f.Command, o), nil
}

// Limited is the first flag for the times of answers that was given; empty if none was.
func (f *OutsideFlags) Limited(c *cobra.Command) string {
	for _, name := range limitNames() {
		if c.Flags().Changed(name) {
			return name
		}
	}
	return ""
}

// Titled is the name of a functional side with what it is, see [sequence.Titled].
func Titled(name string) string { return sequence.Titled(name) }

// tellPlace says what --sequence means beside a controller outside, as the sequence does not run.
func (a *App) tellPlace(flag string, o *scenarios.Overrides) {
	if o.Sequence != "" {
		_, _ = fmt.Fprintf(a.Stderr, "%s takes the place of --sequence %s, which does not run: it gives its parameters, and its states to a controller that tells none of its own\n", page.CleanLine(flag), page.CleanLine(o.Sequence))
	}
}

// Outside puts controllers into the overrides; flag is what messages about them begin with. What it
// gives ends their connections.
func (a *App) Outside(from remote.Options, flag string, o *scenarios.Overrides) (end func()) {
	a.tellPlace(flag, o)
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

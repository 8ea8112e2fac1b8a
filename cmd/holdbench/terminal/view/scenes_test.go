package view_test

import (
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/history"
)

// moment tells when a scene is taken.
type moment func(*sim.Bench) bool

// entered is some time after a state was entered.
func entered(name string, afterS float64) moment {
	return func(b *sim.Bench) bool {
		l := b.Case().Sequence.States[b.StateIndex()]
		return l.Name == name && b.View().InStateS >= afterS // Look costs more, so it comes second
	}
}

// onBrake2 is some time after a state was entered with the second brake closed.
func onBrake2(name string, afterS float64) moment {
	at := entered(name, afterS)
	return func(b *sim.Bench) bool { return at(b) && b.View().In.Brake2Closed }
}

// failed is some ticks after the judge's first failure.
func failed(ticks int) moment {
	return func(b *sim.Bench) bool {
		for _, e := range b.Events() {
			if e.Type == sim.EventFailed {
				ticks--
				return ticks < 0
			}
		}
		return false
	}
}

// stopped is the first moment at which the controller has stopped itself.
func stopped(b *sim.Bench) bool {
	return slices.ContainsFunc(b.Events(), func(e sim.Event) bool { return e.Type == sim.EventControllerStopped })
}

func never(*sim.Bench) bool { return false }

// load reads a scenario once.
var load = sync.OnceValue(func() func(tb testing.TB, name string) *sim.Case {
	var mu sync.Mutex
	return func(tb testing.TB, name string) *sim.Case {
		tb.Helper()
		mu.Lock()
		defer mu.Unlock()
		c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
		require.NoError(tb, err)
		return c
	}
})

// scene runs a scenario up to a moment, the truth shown.
func scene(tb testing.TB, name string, until moment) (*view.Scene, *history.Run) {
	tb.Helper()
	c := load()(tb, name)
	r := history.New(c)
	r.Advance(math.MaxInt64, until)
	return newest(tb, r), r
}

// withProgram is a scene of the reference as a program.
func withProgram(tb testing.TB, name string, until moment) (*view.Scene, *history.Run) {
	tb.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Sequence: "reference-case"})
	require.NoError(tb, err)
	r := history.New(c)
	r.Advance(math.MaxInt64, until)
	return newest(tb, r), r
}

func newest(tb testing.TB, r *history.Run) *view.Scene {
	tb.Helper()
	s := &view.Scene{
		Case: r.Case(), View: r.View(), Samples: r.Samples(), Events: r.Events(),
		AtHead: true, Playing: true, Speed: 1, Truth: true,
	}
	s.HeadS = s.View.TS
	if r.Done() {
		result, err := r.Result()
		require.NoError(tb, err)
		s.Result, s.Playing = result, false
	}
	return s
}

// withSilent is a scene with a controller that does not tell what it waits for, as one outside the
// program.
func withSilent(tb testing.TB, name string, until moment) (*view.Scene, *history.Run) {
	tb.Helper()
	return outside(tb, name, until, silent{})
}

// withStop is a scene with a program that stops at two seconds.
func withStop(tb testing.TB, name string, until moment) (*view.Scene, *history.Run) {
	tb.Helper()
	return outside(tb, name, until, silent{because: "line 364, column 21: a division by zero"})
}

func outside(tb testing.TB, name string, until moment, as silent) (*view.Scene, *history.Run) {
	tb.Helper()
	c := *load()(tb, name)
	c.Logic = reserved{c.Logic, as}
	r := history.New(&c)
	r.Advance(math.MaxInt64, until)
	return newest(tb, r), r
}

// reserved is a logic whose controllers are silent.
type reserved struct {
	sequence.Logic
	as silent
}

func (l reserved) New(scan time.Duration) sequence.Controller {
	return l.as.around(l.Logic.New(scan))
}

// silent is a controller that does not tell what it waits for. With a reason it stops at two seconds.
type silent struct {
	sequence.Controller
	because string
}

func (c *silent) around(inner sequence.Controller) *silent { return &silent{inner, c.because} }

func (c *silent) Waiting() []sequence.Condition { return nil }

func (c *silent) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	if c.because != "" && in.Clock >= 2*time.Second {
		return sequence.Fired{}, &sequence.Halt{Because: c.because}
	}
	return c.Controller.Scan(in, out)
}

func (c *silent) Copy() (sequence.Controller, bool) {
	copied, ok := c.Controller.Copy()
	return c.around(copied), ok
}

// Listing are lines that would run if it had not stopped.
func (c *silent) Listing() []sequence.Line {
	if c.because == "" {
		return nil
	}
	return []sequence.Line{{Number: 364, Text: "IF rForce / rArea > rLimit THEN", Values: []string{"rForce = 2.81"}}}
}

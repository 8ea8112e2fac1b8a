package remote

import (
	"time"

	"holdbench/sequence"
)

// Logic is a controller outside the program, in the place of a sequence whose parameters it has.
type logic struct {
	pool  *Pool
	base  sequence.Logic
	rig   string
	about *sequence.Description
	words *vocabulary
	greet *Greeting
}

func newLogic(p *Pool, base sequence.Logic, rig string, g *Greeting) *logic {
	d := g.describe(base.About(), p.options.Source)
	return &logic{pool: p, base: base, rig: rig, about: d, words: newVocabulary(d, g), greet: g}
}

// About is what is known of the controller.
func (l *logic) About() *sequence.Description { return l.about }

// Untold is whether its answer to hello names no states.
func (l *logic) Untold() bool { return len(l.greet.States) == 0 }

// With is the controller with other values of the parameters, which the next reset tells it.
func (l *logic) With(values sequence.Values) (sequence.Logic, error) {
	base, err := l.base.With(values)
	if err != nil {
		return nil, err
	}
	return newLogic(l.pool, base, l.rig, l.greet), nil
}

// New makes a run. It takes a connection with its first scan.
func (l *logic) New(scan time.Duration) sequence.Controller {
	return &controller{
		logic: l, scan: scan, reader: reader{vocabulary: l.words},
		state: l.about.Start, outputs: sequence.DefaultOutputs(), kept: make([]float64, len(l.about.Kept)),
	}
}

package screens

import (
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
)

// Replay draws a run as the bench does while it plays, without a person at it and without a clock.
type Replay struct {
	// Speed is simulated over real time.
	Speed float64
	bench *Bench
}

// NewReplay makes a replay of the run of a case that was chosen, with or without the truth.
func NewReplay(chosen Chosen, c *sim.Case, truth bool) *Replay {
	b := NewBench(nil, "", chosen, c, "")
	b.show.truth = truth
	return &Replay{Speed: 1, bench: b}
}

// Enlarge shows one view in block letters, one of [LargeViews].
func (r *Replay) Enlarge(name string) {
	r.bench.Enlarge(true)
	r.bench.show.largeView = view.LargeNamed(name)
}

// Draw draws what was observed of the run.
func (r *Replay) Draw(a page.Area, seen player.Progress) {
	b := r.bench
	if b.runs.now() != seen.Run {
		b.runs.push(seen.Run)
	}
	b.player.Load(seen)
	if !seen.Over {
		b.player.Play()
	}
	s := b.scene()
	s.Speed = r.Speed
	b.drawScene(a, s)
}

package screens

import (
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
)

// TruthLocked is whether followers do not see the truth either: a player could follow his own bench.
func (b *Bench) TruthLocked() bool { return b.mask != nil && !b.ServesTruth }

// Snapshot gives what draws the run as it is shown now, with or without the truth, at any time and beside the bench:
// what it draws from does not change any more. The truth of a riddle is not in it, unless the bench serves it.
func (b *Bench) Snapshot() func(a page.Area, truth, large bool) {
	if b.Case() == nil {
		return func(a page.Area, _, _ bool) { a.Text(0, 0, page.Faint, "no run on the bench yet") }
	}
	open, hidden := *b, *b
	open.mask, open.untold, open.veiled, open.show.truth = nil, "", false, true
	hidden.show.truth = false
	open.Served, hidden.Served = "", "" // who follows knows it
	locked := b.TruthLocked()
	shown, masked, at := open.scene(), hidden.scene(), b.show.largeView
	return func(a page.Area, truth, large bool) {
		s := masked
		if truth && !locked {
			s = shown
		}
		if large {
			view.Large(a, s, at)
			return
		}
		view.Bench(a, s)
	}
}

package screens

import (
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
)

// Enlarge shows one thing at a time in block letters, or all panes again. The keys stay the same; that for the next
// tab goes to the next thing.
func (b *Bench) Enlarge(on bool) { b.show.large = on }

// LargeViews are what the large screen shows, one at a time, in words.
func LargeViews() []string { return view.LargeNames() }

func (b *Bench) toggleLarge() tea.Cmd {
	b.Enlarge(!b.show.large)
	return nil
}

// drawScene draws a run as it is to be shown.
func (b *Bench) drawScene(a page.Area, s *view.Scene) {
	if b.show.large {
		view.Large(a, s, b.show.largeView)
		return
	}
	view.Bench(a, s)
}

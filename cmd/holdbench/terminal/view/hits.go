package view

import "holdbench/cmd/holdbench/terminal/page"

// Hits are the parts of the screen that a click means something on.
type Hits []spot

// HitsOf lays out the screen that [Bench] draws into an area of this size. It does so once
// more: a click is rare, and drawing shall change nothing.
func HitsOf(w, h int, s *Scene) Hits { return bench(page.New(w, h, false).Area(), s) }

// TimeAt is the moment of the run at a cell, false where no time is: the timeline and the
// curves have one.
func (h Hits) TimeAt(x, y int) (seconds float64, ok bool) {
	spot, ok := h.at(x, y)
	if !ok || spot.isTab {
		return 0, false
	}
	return spot.time.at(x - spot.x)
}

// TabAt is the tab whose name is at a cell, false elsewhere.
func (h Hits) TabAt(x, y int) (tab Tab, ok bool) {
	spot, ok := h.at(x, y)
	return spot.tab, ok && spot.isTab
}

// spot is one of the parts, in cells.
type spot struct {
	x, y, w, h int
	tab        Tab
	isTab      bool
	time       span // from the spot's left edge
}

func (h Hits) at(x, y int) (spot, bool) {
	for _, p := range h {
		if x >= p.x && x < p.x+p.w && y >= p.y && y < p.y+p.h {
			return p, true
		}
	}
	return spot{}, false
}

func (b *board) add(s spot) {
	if s.w > 0 && s.h > 0 {
		b.spots = append(b.spots, s)
	}
}

package view

import "holdbench/cmd/holdbench/terminal/page"

// TimeAt is the moment of the run at a cell of the screen that [Bench] draws into an area of
// this size, false where no time is: the timeline and the curves have one.
func TimeAt(w, h int, s *Scene, x, y int) (seconds float64, ok bool) {
	spot, ok := spotAt(w, h, s, x, y)
	if !ok || spot.isTab {
		return 0, false
	}
	return spot.time.at(x - spot.x)
}

// TabAt is the tab whose name is at a cell of that screen, false elsewhere.
func TabAt(w, h int, s *Scene, x, y int) (tab Tab, ok bool) {
	spot, ok := spotAt(w, h, s, x, y)
	return spot.tab, ok && spot.isTab
}

// spot is a part of the screen that a click means something on, in cells.
type spot struct {
	x, y, w, h int
	tab        Tab
	isTab      bool
	time       span // from the spot's left edge
}

// spotAt lays the screen out once more: a click is rare, and drawing shall change nothing.
func spotAt(w, h int, s *Scene, x, y int) (spot, bool) {
	for _, p := range bench(page.New(w, h, false).Area(), s) {
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

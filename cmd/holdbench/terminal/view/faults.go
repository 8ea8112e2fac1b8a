package view

import (
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
)

// acting are the faults that act at the moment, and how many are active without effect, as a later one overrides them;
// none while the truth is hidden.
func (g *stage) acting() (names []string, overridden int) {
	for i := range g.View.Faults {
		switch f := &g.View.Faults[i]; {
		case !g.Truth, !f.Active:
		case f.Overridden:
			overridden++
		default:
			names = append(names, f.What)
		}
	}
	return names, overridden
}

// faultCount says how many faults act, empty for none.
func (g *stage) faultCount() string {
	names, overridden := g.acting()
	switch n := len(names); {
	case n+overridden == 0:
		return ""
	case overridden == 0:
		return "▲ " + page.Counted(n, "fault")
	case n == 1:
		return "▲ 1 fault acts, " + strconv.Itoa(overridden) + " overridden"
	default:
		return "▲ " + strconv.Itoa(n) + " faults act, " + strconv.Itoa(overridden) + " overridden"
	}
}

// faultNames are those that act, in short; empty for none.
func (g *stage) faultNames() string {
	names, _ := g.acting()
	if len(names) == 0 {
		return ""
	}
	return "▲ " + strings.Join(names, ", ")
}

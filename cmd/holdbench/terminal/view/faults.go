package view

import (
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
)

// acting are the faults that act at the moment, and how many are active without effect; none while the truth is hidden.
func (g *stage) acting() (names []string, idle int) {
	for i := range g.View.Faults {
		switch f := &g.View.Faults[i]; {
		case !g.Truth, !f.Active:
		case f.Idle:
			idle++
		default:
			names = append(names, f.What)
		}
	}
	return names, idle
}

// faultCount says how many faults act, empty for none.
func (g *stage) faultCount() string {
	names, idle := g.acting()
	switch n := len(names); {
	case n+idle == 0:
		return ""
	case n == 0:
		return "▲ " + page.Counted(idle, "fault") + " without effect"
	case idle == 0:
		return "▲ " + page.Counted(n, "fault")
	case n == 1:
		return "▲ 1 fault acts, " + strconv.Itoa(idle) + " without effect"
	default:
		return "▲ " + strconv.Itoa(n) + " faults act, " + strconv.Itoa(idle) + " without effect"
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

package view

import (
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// Written is how a term is written in a width.
func Written(t *sequence.Term, width int) (name, values string) {
	text, _ := written(t, width)
	return text.name, text.values
}

// drawn draws one pane of a scene.
func drawn(a page.Area, s *Scene, pane func(*stage, page.Area)) {
	if g, ok := staged(s); ok {
		pane(g, a)
	}
}

// The panes one by one.

func Axis(a page.Area, s *Scene) { drawn(a, s, (*stage).drawAxis) }

func Commands(a page.Area, s *Scene) { drawn(a, s, (*stage).drawCommands) }

func Judge(a page.Area, s *Scene) { drawn(a, s, (*stage).drawJudge) }

func EventList(a page.Area, s *Scene) { drawn(a, s, (*stage).drawEvents) }

func FaultList(a page.Area, s *Scene) { drawn(a, s, (*stage).drawFaults) }

func ObligationList(a page.Area, s *Scene) { drawn(a, s, (*stage).drawObligations) }

func Path(a page.Area, s *Scene) { drawn(a, s, (*stage).drawPath) }

func Curves(a page.Area, s *Scene) {
	drawn(a, s, func(g *stage, a page.Area) { g.drawCurves(a) })
}

func Timeline(a page.Area, s *Scene) {
	drawn(a, s, func(g *stage, a page.Area) { g.drawTimeline(a) })
}

func Status(a page.Area, s *Scene) { drawn(a, s, (*stage).drawStatus) }

func Torque(a page.Area, s *Scene) { drawn(a, s, (*stage).drawTorque) }

func Transitions(a page.Area, s *Scene) { drawn(a, s, (*stage).drawTransitions) }

func Window(a page.Area, s *Scene) { drawn(a, s, (*stage).drawWindow) }

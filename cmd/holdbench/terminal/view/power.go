package view

import (
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
)

// unpowered is whether drive and controller are without power.
func (g *stage) unpowered() bool { return g.View.Unpowered }

// powerButton is the operator's switch for a power failure.
const powerButton = "power_loss"

// What a title says of a controller that runs no scans.
const (
	noPower = "✗ no power"
	stopped = "✗ stopped"
)

// standing says of a controller that runs no scans why: in short for a title, and as a sentence. Both are
// empty while it runs.
func (g *stage) standing() (title, why string) {
	switch {
	case g.unpowered():
		return noPower, "the controller has no power"
	case g.View.Halted:
		return stopped, "stopped: " + g.stopReason()
	}
	return "", ""
}

// stopReason is why the controller has stopped.
func (g *stage) stopReason() string {
	for i := len(g.Events) - 1; i >= 0; i-- {
		if e := &g.Events[i]; e.Type == sim.EventControllerStopped && g.past(e.TS) {
			_, reason, _ := strings.Cut(e.What, ": ")
			return reason
		}
	}
	return "the reason is not known"
}

// drawUnpowered draws a pane of the controller while it is without power.
func drawUnpowered(a page.Area, title, text string) { drawStanding(a, title, noPower, text) }

// drawStanding draws a pane of a controller that runs no scans.
func drawStanding(a page.Area, title, state, text string) {
	a = head(a, title, state, page.Bad)
	a.Wrap(0, 0, page.Plain, text)
}

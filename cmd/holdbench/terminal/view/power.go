package view

import "holdbench/cmd/holdbench/terminal/page"

// unpowered is whether drive and controller are without power.
func (g *stage) unpowered() bool { return g.View.Unpowered }

// powerButton is the operator's switch for a power failure.
const powerButton = "power_loss"

// noPower says so in a title.
const noPower = "✗ no power"

// drawUnpowered draws a pane of the controller while it is without power.
func drawUnpowered(a page.Area, title, text string) {
	a = head(a, title, noPower, page.Bad)
	a.Wrap(0, 0, page.Plain, text)
}

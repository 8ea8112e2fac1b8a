package view

import "holdbench/cmd/holdbench/terminal/page"

// unpowered is whether drive and controller have no power: then nothing is decided.
func (g *stage) unpowered() bool { return g.Look.Unpowered }

// powerButton is the operator's switch that takes the power away.
const powerButton = "power_loss"

// noPower says so in a title.
const noPower = "✗ no power"

// drawUnpowered draws a pane of the controller's that has nothing to show.
func drawUnpowered(a page.Area, title, text string) {
	a = head(a, title, noPower, page.Bad)
	a.Wrap(0, 0, page.Plain, text)
}

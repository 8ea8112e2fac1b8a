package view

import (
	"math"

	"github.com/NimbleMarkets/ntcharts/canvas"
	"github.com/NimbleMarkets/ntcharts/canvas/graph"
	"github.com/NimbleMarkets/ntcharts/canvas/runes"

	"holdbench/cmd/holdbench/terminal/page"
)

// plot is a chart of braille dots, two wide and four high in a cell, with a scale.
type plot struct {
	grid        *graph.BrailleGrid
	h           int // dots
	left, right float64
	low, high   float64
}

// newPlot makes a chart of so many cells. A scale without extent gets one.
func newPlot(w, h int, left, right, low, high float64) *plot {
	if !(right > left) {
		right = left + 1
	}
	if !(high > low) {
		high = low + 1
	}
	w, h = max(w, 0), max(h, 0)
	return &plot{grid: graph.NewBrailleGrid(w, h, left, right, low, high), h: 4 * h, left: left, right: right, low: low, high: high}
}

// point is where the dot of a value is; what is outside the scale is just outside.
func (p *plot) point(x, y float64) canvas.Point {
	return p.grid.GridPoint(canvas.Float64Point{X: near(x, p.left, p.right), Y: near(y, p.low, p.high)})
}

// near keeps a value within its scale and as much again on both sides.
func near(v, low, high float64) float64 {
	extent := high - low
	if math.IsNaN(v) {
		return low - extent
	}
	return min(max(v, low-extent), high+extent)
}

// row is the row of dots of a value, from the top.
func (p *plot) row(y float64) int { return p.point(p.left, y).Y }

// segment joins two points by dots.
func (p *plot) segment(x0, y0, x1, y1 float64) {
	for _, dot := range graph.GetLinePoints(p.point(x0, y0), p.point(x1, y1)) {
		p.grid.Set(dot)
	}
}

// span sets the dots of a column between two values.
func (p *plot) span(column int, low, high float64) {
	for y := max(p.row(high), 0); y <= min(p.row(low), p.h-1); y++ {
		p.grid.Set(canvas.Point{X: column, Y: y})
	}
}

// draw copies the cells that have dots. What was drawn before stays in the others.
func (p *plot) draw(a page.Area, role page.Role) {
	for y, row := range p.grid.BraillePatterns() {
		for x, sign := range row {
			if sign != runes.BrailleBlockOffset {
				a.Set(x, y, sign, role)
			}
		}
	}
}

package view

import (
	"math"

	"github.com/NimbleMarkets/ntcharts/canvas/runes"

	"holdbench/cmd/holdbench/terminal/page"
)

// plot is a chart of braille dots, two wide and four high in a cell, with a scale.
type plot struct {
	dots        *runes.PatternDotsGrid
	w, h        int // dots
	left, right float64
	low, high   float64
}

// newPlot makes a chart of so many cells. A scale without extent gets one.
func newPlot(w, h int, left, right, low, high float64) *plot {
	p := &plot{w: 2 * max(w, 0), h: 4 * max(h, 0), left: left, right: right, low: low, high: high}
	p.dots = runes.NewPatternDotsGrid(p.w, p.h)
	if !(p.right > p.left) {
		p.right = p.left + 1
	}
	if !(p.high > p.low) {
		p.high = p.low + 1
	}
	return p
}

// column is the column of dots of a value.
func (p *plot) column(x float64) int { return dot((x-p.left)/(p.right-p.left), p.w) }

// row is the row of dots of a value, from the top.
func (p *plot) row(y float64) int { return dot((p.high-y)/(p.high-p.low), p.h) }

// dot is the place of a share among n; what is outside is just outside.
func dot(share float64, n int) int {
	if math.IsNaN(share) {
		return -1
	}
	return int(math.Round(min(max(share, -1), 2) * float64(n-1)))
}

// segment joins two points by dots.
func (p *plot) segment(x0, y0, x1, y1 float64) {
	column, row := p.column(x0), p.row(y0)
	right, down := p.column(x1)-column, p.row(y1)-row
	n := max(right, -right, down, -down, 1)
	for i := range n + 1 {
		p.dots.Set(column+right*i/n, row+down*i/n)
	}
}

// span sets the dots of a column between two values.
func (p *plot) span(column int, low, high float64) {
	for y := max(p.row(high), 0); y <= min(p.row(low), p.h-1); y++ {
		p.dots.Set(column, y)
	}
}

// draw copies the cells that have dots. What was drawn before stays in the others.
func (p *plot) draw(a page.Area, role page.Role) {
	for y, row := range p.dots.BraillePatterns() {
		for x, sign := range row {
			if sign != runes.BrailleBlockOffset {
				a.Set(x, y, sign, role)
			}
		}
	}
}

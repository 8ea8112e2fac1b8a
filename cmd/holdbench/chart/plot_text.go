package chart

import (
	"math"
	"slices"
	"strings"

	"github.com/NimbleMarkets/ntcharts/canvas"
	"github.com/NimbleMarkets/ntcharts/canvas/graph"
	"github.com/NimbleMarkets/ntcharts/canvas/runes"
)

// plane is the inside of a chart in cells.
type plane struct {
	l             lettering
	width, height int
	x, y          extent
	cells         [][]rune
}

func newPlane(l lettering, width, height int, x, y extent) *plane {
	p := &plane{l: l, width: width, height: height, x: x, y: y}
	for range height {
		p.cells = append(p.cells, []rune(strings.Repeat(" ", width)))
	}
	return p
}

// spot is where a value is among so many places, from 0; outside it is beyond the ends.
func spot(v float64, e extent, places int) int {
	share := (v - e.low) / (e.high - e.low)
	return int(math.Round(max(-1, min(share, 2)) * float64(places-1)))
}

func (p *plane) column(x float64) int { return spot(x, p.x, p.width) }
func (p *plane) row(y float64) int    { return p.height - 1 - spot(y, p.y, p.height) }

func (p *plane) set(column, row int, sign rune) {
	if column >= 0 && column < p.width && row >= 0 && row < p.height {
		p.cells[row][column] = sign
	}
}

// bar draws a line between two values.
func (p *plane) bar(at Point) {
	for row := max(p.row(at.High), 0); row <= min(p.row(at.Low), p.height-1); row++ {
		p.set(p.column(at.X), row, p.l.barSign())
	}
}

// line joins points by dots, two wide and four high in a cell, or by signs.
func (p *plane) line(nth int, run []Point) {
	wide, high := 2*p.width, 4*p.height
	if p.l == onlyASCII {
		wide, high = p.width, p.height
	}
	dots := graph.NewBrailleGrid(p.width, p.height, 0, 1, 0, 1)
	count := 0
	at := func(q Point) canvas.Point {
		return canvas.Point{X: spot(q.X, p.x, wide), Y: high - 1 - spot(q.Y, p.y, high)}
	}
	for i := range len(run) - 1 {
		for _, dot := range path(at(run[i]), at(run[i+1])) {
			inside := dot.X >= 0 && dot.X < wide && dot.Y >= 0 && dot.Y < high
			switch {
			case inside && p.l == onlyASCII:
				p.set(dot.X, dot.Y, lineSign(nth))
			case inside && dashOf(nth).sets(count):
				dots.Set(dot)
			}
			count++
		}
	}
	p.lay(dots.BraillePatterns())
}

// path is the dots after one, up to another, in this order.
func path(from, to canvas.Point) []canvas.Point {
	dots := graph.GetLinePoints(from, to)
	if dots[0] != from {
		slices.Reverse(dots)
	}
	return dots[1:]
}

// lay adds dots to those that are there, and covers what else there is.
func (p *plane) lay(dots [][]rune) {
	for row, signs := range dots {
		for column, sign := range signs {
			if sign == runes.BrailleBlockOffset || row >= p.height || column >= p.width {
				continue
			}
			if old := p.cells[row][column]; old >= 0x2800 && old <= 0x28FF {
				sign |= old
			}
			p.cells[row][column] = sign
		}
	}
}

// draw puts lines of marks at the back and signs to the front.
func (p *plane) draw(c *Chart) {
	p.marks(c.Marks)
	for _, s := range c.Series {
		for _, at := range s.Points {
			if at.barred() {
				p.bar(at)
			}
		}
	}
	for i, s := range c.Series {
		for _, run := range s.runs() {
			if s.Line {
				p.line(c.nth(i), run)
			}
		}
	}
	p.letters(c.Marks)
	for i, s := range c.Series {
		for _, run := range s.runs() {
			if !s.Line || len(run) == 1 {
				p.signs(c.nth(i), run)
			}
		}
	}
}

// marks draws lines from top to bottom.
func (p *plane) marks(marks []Mark) {
	for _, m := range marks {
		for row := range p.height {
			if drawable(m.X) {
				p.set(p.column(m.X), row, p.l.markSign())
			}
		}
	}
}

// letters writes the letters of marks on top, of those in one column below each other.
func (p *plane) letters(marks []Mark) {
	used := make([]int, p.width)
	for i, m := range marks {
		if drawable(m.X) {
			column := p.column(m.X)
			p.set(column, used[column], letter(i))
			used[column]++
		}
	}
}

func (p *plane) signs(nth int, run []Point) {
	for _, at := range run {
		p.set(p.column(at.X), p.row(at.Y), p.l.dot(nth))
	}
}

// plotLines are so many lines of the plot, the axis below and its figures.
func (c *Chart) plotLines(l lettering, width, rows int) []string {
	x, y := c.across(), c.upright()
	scale := ticks(max(3, rows/3)).Ticks(y.low, y.high)
	gutter := 0
	for _, t := range scale {
		gutter = max(gutter, cells(t.Label))
	}
	gutter = min(gutter, width/2)
	p := newPlane(l, width-gutter-2, rows, x, y)
	p.draw(c)
	upright, tick, corner, _, _ := l.frame()
	figures, edges := make([]string, rows), make([]string, rows)
	for _, t := range scale {
		if row := p.row(t.Value); row >= 0 && row < rows && edges[row] == "" {
			figures[row], edges[row] = l.cut(t.Label, gutter), tick
		}
	}
	var lines []string
	for row := range rows {
		if edges[row] == "" {
			edges[row] = upright
		}
		line := padLeft(figures[row], gutter) + " " + edges[row] + string(p.cells[row])
		lines = append(lines, strings.TrimRight(line, " "))
	}
	axis, names := p.levelAxis(gutter + 2)
	return append(lines, strings.Repeat(" ", gutter+1)+corner+axis, names)
}

// levelAxis is the line of the axis and the figures below, which begin further left by the margin.
func (p *plane) levelAxis(margin int) (axis, figures string) {
	_, _, _, level, tick := p.l.frame()
	line := make([]string, p.width)
	for i := range line {
		line[i] = level
	}
	for _, t := range ticks(max(3, p.width/10)).Ticks(p.x.low, p.x.high) {
		at := p.column(t.Value)
		wide := cells(t.Label)
		from := max(0, min(margin+at-wide/2, margin+p.width-wide))
		if used := cells(figures); used > 0 && from < used+2 || from+wide > margin+p.width {
			continue // no room beside the last
		}
		line[at] = tick
		figures = pad(figures, from) + t.Label
	}
	return strings.Join(line, ""), figures
}

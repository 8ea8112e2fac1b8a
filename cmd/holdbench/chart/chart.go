// Package chart draws curves and tables of shades, as pictures for print and screens and as text
// for a terminal. The same values give the same bytes.
package chart

import (
	"math"
)

// Point is a value, and a bar from Low to High around it if High is more than Low.
type Point struct{ X, Y, Low, High float64 }

func (p Point) barred() bool {
	return drawable(p.X) && drawable(p.Low) && drawable(p.High) && p.High > p.Low
}

// Series is one quantity: points joined by a line, or a sign at each. Points without a number are
// left out, and a line has a gap there.
type Series struct {
	Name   string
	Points []Point
	Line   bool
}

// Mark is a vertical line with a name.
type Mark struct {
	X    float64
	Name string
}

// Chart is series over two axes, with their names and units in X and Y. LowY and HighY are the ends
// of the upright axis; both 0 take them from the values.
type Chart struct {
	Title, X, Y string
	Series      []Series
	Marks       []Mark
	LowY, HighY float64
}

// largest is the largest value that is drawn: beyond it distances run out of numbers.
const largest = 1e100

// drawable is false for what is no number or out of reach.
func drawable(v float64) bool { return math.Abs(v) <= largest }

func (p Point) drawable() bool { return drawable(p.X) && drawable(p.Y) }

// extent is a range of values.
type extent struct{ low, high float64 }

func nothing() extent { return extent{math.Inf(1), math.Inf(-1)} }

func (e *extent) take(values ...float64) {
	for _, v := range values {
		e.low, e.high = min(e.low, v), max(e.high, v)
	}
}

// wide gives a range that is none, or too narrow for a scale, some width.
func (e extent) wide() extent {
	if e.low > e.high {
		return extent{0, 1}
	}
	size := max(math.Abs(e.low), math.Abs(e.high))
	if size < 1/largest {
		return extent{-1, 1}
	}
	if e.high-e.low > 1e-6*size {
		return e
	}
	return extent{e.low - 0.1*size, e.high + 0.1*size}
}

// room leaves a share of the range free at both ends, but does not go below zero for it.
func (e extent) room(share float64) extent {
	free := share * (e.high - e.low)
	low := e.low - free
	if e.low >= 0 {
		low = max(low, 0)
	}
	return extent{low, e.high + free}
}

// across is the range of the level axis.
func (c *Chart) across() extent {
	e := nothing()
	for _, s := range c.Series {
		for _, p := range s.Points {
			if p.drawable() || p.barred() {
				e.take(p.X)
			}
		}
	}
	for _, m := range c.Marks {
		if drawable(m.X) {
			e.take(m.X)
		}
	}
	return e.wide().room(0.02)
}

// upright is the range of the other.
func (c *Chart) upright() extent {
	if drawable(c.LowY) && drawable(c.HighY) && c.LowY < c.HighY {
		return extent{c.LowY, c.HighY}.wide()
	}
	e := nothing()
	for _, s := range c.Series {
		for _, p := range s.Points {
			if p.drawable() {
				e.take(p.Y)
			}
			if p.barred() {
				e.take(p.Low, p.High)
			}
		}
	}
	return e.wide().room(0.04)
}

// runs are the stretches of points without a gap.
func (s *Series) runs() [][]Point {
	var runs [][]Point
	from := 0
	for i := range len(s.Points) + 1 {
		if i < len(s.Points) && s.Points[i].drawable() {
			continue
		}
		if i > from {
			runs = append(runs, s.Points[from:i])
		}
		from = i + 1
	}
	return runs
}

// nth counts a series among the lines, or among those of signs.
func (c *Chart) nth(series int) int {
	n := 0
	for _, s := range c.Series[:series] {
		if s.Line == c.Series[series].Line {
			n++
		}
	}
	return n
}

package chart

import (
	"io"
	"math"
)

// Panels are charts one below the other over the same level axis, below a band of named stretches and
// above a list of numbered flags.
type Panels struct {
	Title, X string
	Notes    []string // lines below the title
	Band     string   // what the stretches are
	Stretch  []Stretch
	Flags    []Flag
	Charts   []Panel
}

// Stretch is a named part of the level axis.
type Stretch struct {
	From, To float64
	Name     string
}

// Flag is a numbered moment on the level axis. Its name stands in the list at the end; one that matters
// most is drawn as such.
type Flag struct {
	X      float64
	Name   string
	Strong bool
}

// Panel is one chart of many.
type Panel struct {
	Y       string
	Series  []Series // drawn as lines
	Levels  []Level
	Windows []Window
}

// Level is a value that something is held against.
type Level struct {
	Y    float64
	Name string
}

// Window is a part of a panel that something has to stay in.
type Window struct{ FromX, ToX, LowY, HighY float64 }

// SVG writes the panels as a drawing, and leaves of their lines what it shows.
func (p *Panels) SVG(w io.Writer) error { return writeSVG(w, panelsPicture{p.thin()}) }

// PNG writes the panels as an image of 200 dots an inch, and leaves of their lines what it shows.
func (p *Panels) PNG(w io.Writer) error { return writePNG(w, panelsPicture{p.thin()}) }

// thin leaves of all lines the points that are drawn, so that those of a long run do not lie in memory beside the picture.
func (p *Panels) thin() *Panels {
	across := p.across()
	for i := range p.Charts {
		for k := range p.Charts[i].Series {
			s := &p.Charts[i].Series[k]
			if len(s.Points) <= 4*columnsDrawn {
				continue
			}
			var kept []Point
			for _, run := range s.runs() {
				if len(kept) > 0 {
					kept = append(kept, Point{X: math.NaN(), Y: math.NaN()})
				}
				kept = append(kept, thinned(run, across, columnsDrawn)...)
			}
			s.Points = kept
		}
	}
	return p
}

// across is the range of the level axis.
func (p *Panels) across() extent {
	e := nothing()
	for _, s := range p.Stretch {
		if drawable(s.From) && drawable(s.To) {
			e.take(s.From, s.To)
		}
	}
	for i := range p.Charts {
		for _, s := range p.Charts[i].Series {
			for _, at := range s.Points {
				if at.drawable() {
					e.take(at.X)
				}
			}
		}
	}
	return e.wide()
}

// upright is the range of a panel, its levels and windows within it.
func (p *Panel) upright() extent {
	e := nothing()
	for _, s := range p.Series {
		for _, at := range s.Points {
			if at.drawable() {
				e.take(at.Y)
			}
		}
	}
	for _, l := range p.Levels {
		if drawable(l.Y) {
			e.take(l.Y)
		}
	}
	for _, w := range p.Windows {
		if w.drawable() {
			e.take(w.LowY, w.HighY)
		}
	}
	e = e.wide()
	free := 0.06 * (e.high - e.low)
	return extent{e.low - free, e.high + free}
}

func (w Window) drawable() bool {
	return drawable(w.FromX) && drawable(w.ToX) && drawable(w.LowY) && drawable(w.HighY)
}

// thinned leaves of a line, in each of so many columns, its first, least, largest and last point: what a
// picture shows of it.
func thinned(points []Point, across extent, columns int) []Point {
	if len(points) <= 4*columns {
		return points
	}
	column := func(p Point) int { return int((p.X - across.low) / (across.high - across.low) * float64(columns)) }
	var kept []Point
	for from := 0; from < len(points); {
		to, least, most := from+1, from, from
		for ; to < len(points) && column(points[to]) == column(points[from]); to++ {
			if points[to].Y < points[least].Y {
				least = to
			}
			if points[to].Y > points[most].Y {
				most = to
			}
		}
		last := -1
		for _, i := range []int{from, min(least, most), max(least, most), to - 1} {
			if i > last {
				kept, last = append(kept, points[i]), i
			}
		}
		from = to
	}
	return kept
}

// spread moves places apart, which are in order, to at least a distance and keeps them within a range
// as far as there is room. Each stays as near to its place as its neighbours let it.
func spread(places []float64, apart float64, within extent) []float64 {
	if n := float64(len(places) - 1); n > 0 {
		apart = min(apart, (within.high-within.low)/n)
	}
	type block struct {
		sum   float64 // of the places, less their distance from the first
		count int
	}
	at := func(b block) float64 { // the first of a block
		low, high := within.low, within.high-apart*float64(b.count-1)
		return min(max(b.sum/float64(b.count), low), max(low, high))
	}
	var blocks []block
	for _, x := range places {
		blocks = append(blocks, block{x, 1})
		for n := len(blocks); n > 1 && at(blocks[n-2])+apart*float64(blocks[n-2].count) > at(blocks[n-1])+1e-9; n = len(blocks) {
			a, b := blocks[n-2], blocks[n-1]
			blocks = append(blocks[:n-2], block{a.sum + b.sum - apart*float64(a.count*b.count), a.count + b.count})
		}
	}
	moved := make([]float64, 0, len(places))
	for _, b := range blocks {
		for i := range b.count {
			moved = append(moved, at(b)+apart*float64(i))
		}
	}
	return moved
}

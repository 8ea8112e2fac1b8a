package chart

import (
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// SVG writes the chart as a drawing.
func (c *Chart) SVG(w io.Writer) error { return writeSVG(w, chartPicture{c}) }

// PNG writes the chart as an image of 200 dots an inch.
func (c *Chart) PNG(w io.Writer) error { return writePNG(w, chartPicture{c}) }

type chartPicture struct{ *Chart }

func (c chartPicture) size() (width, height vg.Length) {
	const legendLine = 14
	return 165 * millimetre, 100*millimetre + vg.Length(legendLine*len(c.legend()))
}

func (c chartPicture) draw(sheet draw.Canvas) {
	sheet.SetColor(white())
	sheet.Fill(sheet.Path())
	inner := draw.Crop(sheet, margin, -margin, margin, -margin)
	below := c.drawLegend(inner)
	upper := draw.Crop(inner, 0, 0, below, 0)
	size := upper.Size()
	p := newPlot(c.Title, c.X, c.Y, size.X, size.Y)
	x, y := c.across(), c.upright()
	p.Add(grid())
	for i, m := range c.Marks {
		if drawable(m.X) {
			p.Add(c.mark(i, x, y, size.Y)...)
		}
	}
	for _, lines := range []bool{true, false} { // signs lie on top
		for i := range c.Series {
			if c.Series[i].Line == lines {
				p.Add(c.plotters(i)...)
			}
		}
	}
	p.X.Min, p.X.Max = beyond(x)
	p.Y.Min, p.Y.Max = beyond(y)
	p.Draw(upper)
}

// beyond is a range a hair wider, so that rounding does not cut what lies on its ends.
func beyond(e extent) (low, high float64) {
	hair := 1e-9 * (e.high - e.low)
	return e.low - hair, e.high + hair
}

func grid() *plotter.Grid {
	g := plotter.NewGrid()
	g.Vertical.Color, g.Horizontal.Color = faint(), faint()
	return g
}

func (c *Chart) plotters(series int) []plot.Plotter {
	s := &c.Series[series]
	var list []plot.Plotter
	bars := &plotter.YErrorBars{LineStyle: draw.LineStyle{Color: ink(series), Width: vg.Points(0.9)}, CapWidth: vg.Points(5)}
	for _, p := range s.Points {
		if p.barred() { // measured from the middle, as a value may lie outside its bar
			middle, half := p.Low/2+p.High/2, p.High/2-p.Low/2
			bars.XYs = append(bars.XYs, plotter.XY{X: p.X, Y: middle})
			bars.YErrors = append(bars.YErrors, struct{ Low, High float64 }{half, half})
		}
	}
	list = append(list, bars)
	for _, run := range s.runs() {
		var at plotter.XYs
		for _, p := range run {
			at = append(at, plotter.XY{X: p.X, Y: p.Y})
		}
		if s.Line && len(run) > 1 {
			list = append(list, &plotter.Line{XYs: at, LineStyle: c.stroke(series)})
			continue
		}
		list = append(list, &plotter.Scatter{XYs: at, GlyphStyle: c.sign(series)})
	}
	return list
}

func (c *Chart) sign(series int) draw.GlyphStyle {
	return draw.GlyphStyle{Color: ink(series), Radius: vg.Points(3), Shape: glyph(c.nth(series))}
}

func (c *Chart) stroke(series int) draw.LineStyle {
	return draw.LineStyle{Color: ink(series), Width: vg.Points(1.4), Dashes: dashes(c.nth(series))}
}

func markStroke() draw.LineStyle {
	return draw.LineStyle{Color: plain(), Width: vg.Points(0.9), Dashes: []vg.Length{1.5, 2}}
}

// mark is a line with its name written along it, from the top down; that of a near neighbour is
// written from the bottom up.
func (c *Chart) mark(number int, x, y extent, room vg.Length) []plot.Plotter {
	m := c.Marks[number]
	style := letters(smallPoints)
	style.Color, style.Rotation = plain(), math.Pi/2
	style.XAlign, style.YAlign = text.XRight, text.YBottom
	at := y.high
	if c.crowded(number, 0.04*(x.high-x.low)) {
		at, style.XAlign = y.low, text.XLeft
	}
	name := shortened(letters(smallPoints), m.Name, room*2/3)
	return []plot.Plotter{
		&plotter.Line{XYs: plotter.XYs{{X: m.X, Y: y.low}, {X: m.X, Y: y.high}}, LineStyle: markStroke()},
		&label{XY: plotter.XY{X: m.X, Y: at}, words: name, style: style},
	}
}

// crowded is whether an odd number of marks before one lie within reach of it.
func (c *Chart) crowded(number int, reach float64) bool {
	near := false
	for _, m := range c.Marks[:number] {
		if math.Abs(m.X-c.Marks[number].X) < reach {
			near = !near
		}
	}
	return near
}

// label is a text within the axes that makes no room for itself.
type label struct {
	plotter.XY
	words string
	style text.Style
}

// Plot draws the text.
func (l *label) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	c.FillText(l.style, vg.Point{X: x(l.X) - vg.Points(2), Y: y(l.Y)}, l.words)
}

package chart

import (
	"image/color"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sizes of a sheet of panels, which fits the text width of A4.
const (
	panelsWidth  = 170 * millimetre
	panelHeight  = 38 * millimetre
	bandHeight   = 5 * millimetre
	mostNames    = 40 * millimetre // of names above the band, upright
	leaderHeight = 4 * millimetre  // from the band to a name
	flagsHeight  = 7 * millimetre  // of numbers below it
	axisHeight   = 11 * millimetre
	listLine     = vg.Length(12)
	leftOfAxes   = 19 * millimetre
	panelTicks   = 5
	flagApart    = vg.Length(11)
	nameApart    = vg.Length(9.5)
	columnsDrawn = 800 // of a line
	bandPoints   = 8
)

type panelsPicture struct{ *Panels }

func (p panelsPicture) size() (width, height vg.Length) {
	n := vg.Length(len(p.Charts))
	return panelsWidth, 2*margin + p.headHeight() + p.bandZone() + n*panelHeight + axisHeight + listLine*vg.Length(p.listRows())
}

// inside is the width without the margins.
func (p panelsPicture) inside() vg.Length { return panelsWidth - 2*margin }

// headLines are title and notes, broken to the width.
func (p panelsPicture) headLines() (title string, notes []string) {
	for _, n := range p.Notes {
		notes = append(notes, broken(letters(smallPoints), n, p.inside()))
	}
	return broken(letters(titlePoints), p.Title, p.inside()), notes
}

func (p panelsPicture) headHeight() vg.Length {
	title, notes := p.headLines()
	height := letters(titlePoints).Height(title) + 4
	for _, n := range notes {
		height += letters(smallPoints).Height(n) + 3
	}
	return height + 3
}

// axes is the stretch of the sheet that the level axis takes.
type axes struct {
	of   extent
	from vg.Length
	to   vg.Length
}

func (a axes) at(x float64) vg.Length {
	return a.from + vg.Length((x-a.of.low)/(a.of.high-a.of.low))*(a.to-a.from)
}

func (p panelsPicture) axes(from vg.Length) axes {
	return axes{p.across(), from + leftOfAxes, from + p.inside() - 4*millimetre}
}

func (p panelsPicture) draw(sheet draw.Canvas) {
	sheet.SetColor(white())
	sheet.Fill(sheet.Path())
	inner := draw.Crop(sheet, margin, -margin, margin, -margin)
	level := p.axes(inner.Min.X)
	y := inner.Max.Y
	title, notes := p.headLines()
	for i, words := range append([]string{title}, notes...) {
		style, gap := letters(titlePoints), vg.Length(4)
		if i > 0 {
			style, gap = letters(smallPoints), 3
		}
		style.YAlign = text.YTop
		sheet.FillText(style, vg.Point{X: inner.Min.X, Y: y}, words)
		y -= style.Height(words) + gap
	}
	y = inner.Max.Y - p.headHeight()
	p.drawBand(sheet, level, inner.Min.X, y)
	y -= p.bandZone()
	top := y
	for i := range p.Charts {
		last := i == len(p.Charts)-1
		height := panelHeight
		if last {
			height += axisHeight
		}
		p.drawPanel(draw.Canvas{Canvas: sheet.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: inner.Min.X, Y: y - height}, Max: vg.Point{X: inner.Max.X, Y: y}}}, i, level)
		y -= height
	}
	p.drawFlags(sheet, level, top)
	p.drawList(sheet, inner.Min.X, y)
}

// newPanel is one panel without its level axis, which only the last one has.
func (p panelsPicture) newPanel(number int, height vg.Length) *plot.Plot {
	of := &p.Charts[number]
	made := newPlot("", p.X, of.Y, p.inside(), height*4/3)
	made.X.Padding, made.Y.Padding = 0, 0
	made.Y.Tick.Marker = ticks(panelTicks)
	if number < len(p.Charts)-1 {
		made.X.Label.Text = ""
		made.X.Tick.Length = 0
		made.X.Tick.Marker = plot.ConstantTicks{}
	}
	across, upright := p.across(), of.upright()
	made.X.Min, made.X.Max = beyond(across)
	made.Y.Min, made.Y.Max = beyond(upright)
	made.Add(uprights{ticks(pictureTicks).Ticks(across.low, across.high)}, &plotter.Grid{Horizontal: grid().Horizontal})
	for _, w := range of.Windows {
		if w.drawable() {
			made.Add(windowBox(w))
		}
	}
	for _, f := range p.Flags {
		if drawable(f.X) {
			made.Add(&plotter.Line{XYs: plotter.XYs{{X: f.X, Y: upright.low}, {X: f.X, Y: upright.high}}, LineStyle: f.stroke()})
		}
	}
	for i := range of.Series {
		for _, run := range of.Series[i].runs() {
			var at plotter.XYs
			for _, point := range run {
				at = append(at, plotter.XY{X: point.X, Y: point.Y})
			}
			made.Add(&plotter.Line{XYs: at, LineStyle: panelStroke(i)})
		}
	}
	for _, l := range of.Levels {
		if drawable(l.Y) {
			made.Add(&plotter.Line{XYs: plotter.XYs{{X: across.low, Y: l.Y}, {X: across.high, Y: l.Y}}, LineStyle: levelStroke()})
		}
	}
	return made
}

func panelStroke(series int) draw.LineStyle {
	return draw.LineStyle{Color: ink(series), Width: vg.Points(1.1), Dashes: dashes(series)}
}

func levelStroke() draw.LineStyle {
	return draw.LineStyle{Color: black(), Width: vg.Points(0.8), Dashes: []vg.Length{7, 2, 1, 2}}
}

// stroke is that of the line of a flag.
func (f *Flag) stroke() draw.LineStyle {
	line := markStroke()
	if f.Strong {
		line.Color, line.Dashes = ink(1), nil
	}
	return line
}

// uprights are the lines of a grid across a panel whose axis has no figures.
type uprights struct{ at []plot.Tick }

// Plot draws the lines.
func (u uprights) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	for _, t := range u.at {
		c.StrokeLine2(draw.LineStyle{Color: faint(), Width: vg.Points(0.5)}, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
	}
}

func windowBox(w Window) *plotter.Polygon {
	return &plotter.Polygon{
		XYs:       []plotter.XYs{{{X: w.FromX, Y: w.LowY}, {X: w.ToX, Y: w.LowY}, {X: w.ToX, Y: w.HighY}, {X: w.FromX, Y: w.HighY}}},
		Color:     shade(0.12),
		LineStyle: draw.LineStyle{Color: plain(), Width: vg.Points(0.6)},
	}
}

// drawPanel draws a panel below its legend, its axis over the common stretch.
func (p panelsPicture) drawPanel(c draw.Canvas, number int, level axes) {
	area := draw.Crop(c, 0, 0, 0, -legendHeight)
	made := p.newPanel(number, area.Max.Y-area.Min.Y)
	data := made.DataCanvas(area)
	area = draw.Crop(area, level.from-data.Min.X, level.to-data.Max.X, 0, 0)
	made.Draw(area)
	data = made.DataCanvas(area)
	p.drawLevels(c, number, level, data.Rectangle)
	x := level.from
	for i, s := range p.Charts[number].Series {
		style := letters(bandPoints)
		style.YAlign = text.YCenter
		y := c.Max.Y - legendHeight/2
		c.StrokeLine2(panelStroke(i), x, y, x+sampleWidth, y)
		words := shortened(style, s.Name, level.to-x-sampleWidth)
		c.FillText(style, vg.Point{X: x + sampleWidth + 3, Y: y}, words)
		x += sampleWidth + 3 + style.Width(words) + 12
	}
}

// drawLevels writes the names of the levels above their lines, at the right.
func (p panelsPicture) drawLevels(c draw.Canvas, number int, level axes, within vg.Rectangle) {
	e := p.Charts[number].upright()
	for _, l := range p.Charts[number].Levels {
		if !drawable(l.Y) {
			continue
		}
		style := letters(bandPoints)
		style.XAlign, style.YAlign = text.XRight, text.YBottom
		y := within.Min.Y + vg.Length((l.Y-e.low)/(e.high-e.low))*(within.Max.Y-within.Min.Y)
		if y+style.Height(l.Name) > within.Max.Y {
			y -= style.Height(l.Name) + 3
		}
		y += 1.5
		if l.Name != "" {
			onWhite(c, style, vg.Point{X: level.to - 2, Y: y}, shortened(style, l.Name, level.to-level.from))
		}
	}
}

// onWhite writes text, which ends at a point and stands on it, so that lines behind it show a little.
func onWhite(c draw.Canvas, style text.Style, at vg.Point, words string) {
	width, height := style.Width(words), style.Height(words)
	from := vg.Point{X: at.X - width - 1, Y: at.Y}
	c.FillPolygon(color.NRGBA{0xFF, 0xFF, 0xFF, 0xC8}, []vg.Point{from, {X: at.X + 1, Y: from.Y}, {X: at.X + 1, Y: from.Y + height}, {X: from.X, Y: from.Y + height}})
	c.FillText(style, at, words)
}

// drawFlags draws the numbers of the flags above the panels.
func (p panelsPicture) drawFlags(sheet draw.Canvas, level axes, top vg.Length) {
	var places []float64
	for _, f := range p.Flags {
		places = append(places, float64(level.at(min(max(f.X, level.of.low), level.of.high))))
	}
	moved := spread(places, float64(flagApart), extent{float64(level.from), float64(level.to)})
	for i, f := range p.Flags {
		at, number := vg.Length(places[i]), vg.Length(moved[i])
		line := f.stroke()
		line.Dashes = nil
		style := letters(bandPoints)
		style.XAlign, style.YAlign, style.Color = text.XCenter, text.YBottom, line.Color
		sheet.StrokeLine2(line, at, top, number, top+2.5*millimetre)
		sheet.FillText(style, vg.Point{X: number, Y: top + 2.8*millimetre}, strconv.Itoa(i+1))
	}
}

// listRows is how many lines the list of flags has, in two columns.
func (p panelsPicture) listRows() int { return (len(p.Flags) + 1) / 2 }

// drawList tells what the flags mark, the first half at the left.
func (p panelsPicture) drawList(sheet draw.Canvas, left, top vg.Length) {
	column := p.inside() / 2
	for i, f := range p.Flags {
		row, x := i, left
		if i >= p.listRows() {
			row, x = i-p.listRows(), left+column
		}
		style := letters(bandPoints)
		style.YAlign = text.YTop
		if f.Strong {
			style.Color = ink(1)
		}
		y := top - listLine*vg.Length(row)
		const numbers = vg.Length(14)
		sheet.FillText(style, vg.Point{X: x, Y: y}, strconv.Itoa(i+1))
		sheet.FillText(style, vg.Point{X: x + numbers, Y: y}, shortened(style, f.Name, column-numbers-8))
	}
}

package chart

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	sampleWidth  = 24
	legendHeight = 14
	legendApart  = 18
)

// entry is a series in the legend and where its sample begins in its line.
type entry struct {
	series int
	words  string
	at     vg.Length
}

// legend sets the names of the series side by side in lines.
func (c *Chart) legend() [][]entry {
	const room = 150 * millimetre
	var lines [][]entry
	var used vg.Length
	for i, s := range c.Series {
		if tidy(s.Name) == "" {
			continue
		}
		words := shortened(letters(smallPoints), s.Name, room-sampleWidth)
		width := sampleWidth + vg.Points(4) + letters(smallPoints).Width(words)
		if len(lines) == 0 || used+width > room {
			lines, used = append(lines, nil), 0
		}
		last := len(lines) - 1
		lines[last] = append(lines[last], entry{i, words, used})
		used += width + legendApart
	}
	return lines
}

// drawLegend draws the legend at the lower end of a sheet and returns its height.
func (c *Chart) drawLegend(sheet draw.Canvas) vg.Length {
	lines := c.legend()
	for row, line := range lines {
		y := sheet.Min.Y + legendHeight*(vg.Length(len(lines)-row)-0.5)
		for _, e := range line {
			from := vg.Point{X: sheet.Min.X + 40 + e.at, Y: y}
			c.sample(sheet, e.series, from)
			style := letters(smallPoints)
			style.YAlign = draw.YCenter
			sheet.FillText(style, vg.Point{X: from.X + sampleWidth + vg.Points(4), Y: y}, e.words)
		}
	}
	return vg.Length(len(lines)) * legendHeight
}

func (c *Chart) sample(sheet draw.Canvas, series int, from vg.Point) {
	if c.Series[series].Line {
		sheet.StrokeLine2(c.stroke(series), from.X, from.Y, from.X+sampleWidth, from.Y)
		return
	}
	sheet.DrawGlyph(c.sign(series), vg.Point{X: from.X + sampleWidth/2, Y: from.Y})
}

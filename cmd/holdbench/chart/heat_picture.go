package chart

import (
	"io"
	"math"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// SVG writes the table as a drawing.
func (h *Heat) SVG(w io.Writer) error { return writeSVG(w, h.layout()) }

// PNG writes the table as an image of 200 dots an inch.
func (h *Heat) PNG(w io.Writer) error { return writePNG(w, h.layout()) }

// heatPicture is where the parts of a table lie on its sheet, from the left and from the top.
//
// It is laid out here and not by the library's own heat map, which has shades alone, on scales
// of numbers: a reader of a map wants the figure in each cell, a line around it, a sign where
// there is none, the names of rows and columns as they are, and cells as wide as their figures.
// All of that would have to be drawn beside it, and lined up with axes that place themselves.
type heatPicture struct {
	*Heat
	width, height vg.Length
	left, top     vg.Length // of the cells
	cellWidth     vg.Length
	below         vg.Length // names of columns
	figures       bool      // in the cells
	turned        bool      // names of columns run upwards
	title         string
}

const (
	cellHeight = vg.Length(20)
	lineHeight = vg.Length(14)
	nameRoom   = 55 * millimetre // for the name of a row or column
	leastWidth = 120 * millimetre
	manyCells  = 40 // columns from which on cells are narrow and without figures
)

func (h *Heat) layout() *heatPicture {
	p := &heatPicture{Heat: h, figures: len(h.Columns) < manyCells, cellWidth: 10}
	style := letters(smallPoints)
	if p.figures {
		p.cellWidth = 30
		for row := range h.Rows {
			for column := range h.Columns {
				p.cellWidth = max(p.cellWidth, style.Width(h.cellText(row, column))+8)
			}
		}
	}
	p.left = 2*margin + lineHeight + widest(style, h.Rows)
	names := widest(style, h.Columns)
	p.turned = names+6 > p.cellWidth
	p.below = lineHeight
	if p.turned {
		p.below = names + 6
	}
	p.width = max(leastWidth, p.left+p.cellWidth*vg.Length(len(h.Columns))+2*margin)
	p.title = broken(letters(titlePoints), h.Title, p.width-2*margin)
	p.top = margin + letters(titlePoints).Height(p.title) + 2*lineHeight
	p.height = p.top + cellHeight*vg.Length(len(h.Rows)) + p.below + lineHeight + 2*margin
	return p
}

// widest is the width of the widest of some names, cut to their room.
func widest(style text.Style, names []string) vg.Length {
	width := vg.Length(0)
	for _, name := range names {
		width = max(width, style.Width(shortened(style, name, nameRoom)))
	}
	return width
}

func (p *heatPicture) size() (width, height vg.Length) { return p.width, p.height }

func (p *heatPicture) draw(sheet draw.Canvas) {
	sheet.SetColor(white())
	sheet.Fill(sheet.Path())
	title := letters(titlePoints)
	title.YAlign = draw.YTop
	p.write(sheet, title, margin, margin, p.title)
	unit := letters(smallPoints)
	unit.Color, unit.YAlign = plain(), draw.YCenter
	p.write(sheet, unit, margin, p.top-lineHeight, p.unitLine())
	p.drawNames(sheet)
	values := p.values()
	for row := range p.Rows {
		for column := range p.Columns {
			p.drawCell(sheet, row, column, values)
		}
	}
}

// write puts text at a place from the left and from the top.
func (p *heatPicture) write(sheet draw.Canvas, style text.Style, x, y vg.Length, words string) {
	sheet.FillText(style, vg.Point{X: sheet.Min.X + x, Y: sheet.Max.Y - y}, words)
}

func (p *heatPicture) drawNames(sheet draw.Canvas) {
	middle := func(n int) vg.Length { return vg.Length(n) + 0.5 }
	row := letters(smallPoints)
	row.XAlign, row.YAlign = draw.XRight, draw.YCenter
	for i, name := range p.Rows {
		p.write(sheet, row, p.left-4, p.top+cellHeight*middle(i), shortened(row, name, nameRoom))
	}
	column := letters(smallPoints)
	column.XAlign, column.YAlign = draw.XCenter, draw.YTop
	if p.turned {
		column.Rotation, column.XAlign, column.YAlign = math.Pi/2, draw.XRight, draw.YCenter
	}
	bottom := p.top + cellHeight*vg.Length(len(p.Rows))
	for i, name := range p.Columns {
		words := shortened(letters(smallPoints), name, nameRoom)
		p.write(sheet, column, p.left+p.cellWidth*middle(i), bottom+4, words)
	}
	wide, high := p.cellWidth*vg.Length(len(p.Columns)), cellHeight*vg.Length(len(p.Rows))
	axis := letters(namePoints)
	axis.XAlign, axis.YAlign = draw.XCenter, draw.YTop
	p.write(sheet, axis, p.left+wide/2, bottom+p.below+4, shortened(letters(namePoints), p.X, p.width-p.left))
	axis.Rotation = math.Pi / 2
	p.write(sheet, axis, margin, p.top+high/2, shortened(letters(namePoints), p.Y, max(high, 4*lineHeight)))
}

func (p *heatPicture) drawCell(sheet draw.Canvas, row, column int, values extent) {
	x, y := p.left+p.cellWidth*vg.Length(column), p.top+cellHeight*vg.Length(row)
	low := vg.Point{X: sheet.Min.X + x, Y: sheet.Max.Y - y - cellHeight}
	box := vg.Rectangle{Min: low, Max: low.Add(vg.Point{X: p.cellWidth, Y: cellHeight})}
	style := letters(smallPoints)
	style.XAlign, style.YAlign, style.Color = draw.XCenter, draw.YCenter, plain()
	if v := p.value(row, column); !math.IsNaN(v) {
		share := values.share(v)
		style.Color = black()
		if share > 0.7 { // from there on white is read more easily
			style.Color = white()
		}
		sheet.SetColor(shade(share))
		sheet.Fill(box.Path())
	}
	sheet.StrokeLines(draw.LineStyle{Color: faint(), Width: vg.Points(0.5)}, corners(box))
	if p.figures {
		p.write(sheet, style, x+p.cellWidth/2, y+cellHeight/2, p.cellText(row, column))
	}
}

func corners(r vg.Rectangle) []vg.Point {
	return []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}, r.Min}
}

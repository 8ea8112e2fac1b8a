package chart

import (
	"bytes"
	"io"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// picture is what draws itself onto a sheet of its own size.
type picture interface {
	size() (width, height vg.Length)
	draw(sheet draw.Canvas)
}

// writeSVG names fonts of the same widths after the one of the library, which is not everywhere.
func writeSVG(w io.Writer, p picture) error {
	canvas := vgsvg.New(p.size())
	p.draw(draw.New(canvas))
	var b bytes.Buffer
	if _, err := canvas.WriteTo(&b); err != nil {
		return err
	}
	const found, wanted = "font-family:Liberation Sans;", "font-family:Liberation Sans,Arial,Helvetica,sans-serif;"
	_, err := io.WriteString(w, strings.ReplaceAll(b.String(), found, wanted))
	return err
}

func writePNG(w io.Writer, p picture) error {
	const dotsPerInch = 200
	canvas := vgimg.NewWith(vgimg.UseWH(p.size()), vgimg.UseDPI(dotsPerInch))
	p.draw(draw.New(canvas))
	_, err := vgimg.PngCanvas{Canvas: canvas}.WriteTo(w)
	return err
}

// letters are upright and without serifs, in black.
func letters(points float64) text.Style {
	face := font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(points)}
	return text.Style{Color: black(), Font: face, Handler: plot.DefaultTextHandler}
}

const (
	titlePoints = 11
	namePoints  = 10
	smallPoints = 9
	millimetre  = vg.Inch / 25.4
	margin      = vg.Length(8) // around a sheet

	pictureTicks = 8
)

// newPlot has a title and names of axes that are broken where they are longer than their side.
func newPlot(title, x, y string, width, height vg.Length) *plot.Plot {
	p := plot.New()
	p.Title.TextStyle.Font = letters(titlePoints).Font
	p.Title.Text = broken(p.Title.TextStyle, title, width)
	p.Title.Padding = vg.Points(6)
	for _, a := range []struct {
		axis *plot.Axis
		name string
		room vg.Length
	}{{&p.X, x, 0.85 * width}, {&p.Y, y, 0.75*height - p.Title.TextStyle.Height(p.Title.Text)}} { // less figures, names, title
		a.axis.Label.TextStyle.Font = letters(namePoints).Font
		a.axis.Label.Text = broken(letters(namePoints), a.name, a.room)
		a.axis.Label.Padding = vg.Points(3)
		a.axis.Tick.Label.Font = letters(smallPoints).Font
		a.axis.Tick.Length = vg.Points(5)
		a.axis.Tick.Marker = ticks(pictureTicks)
	}
	return p
}

// broken breaks text between words where it is wider than its room.
func broken(style text.Style, words string, room vg.Length) string {
	var lines []string
	for _, word := range strings.Fields(tidy(words)) {
		last := len(lines) - 1
		if last >= 0 && style.Width(lines[last]+" "+word) <= room {
			lines[last] += " " + word
			continue
		}
		lines = append(lines, shortened(style, word, room))
	}
	return strings.Join(lines, "\n")
}

// shortened cuts text to a width.
func shortened(style text.Style, words string, room vg.Length) string {
	signs := []rune(tidy(words))
	if style.Width(string(signs)) <= room {
		return string(signs)
	}
	for len(signs) > 0 && style.Width(string(signs)+"…") > room {
		signs = signs[:len(signs)-1]
	}
	return string(signs) + "…"
}

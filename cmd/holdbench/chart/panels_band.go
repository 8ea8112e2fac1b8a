package chart

import (
	"math"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// bandName is a stretch with the place of its name.
type bandName struct {
	stretch int
	words   string
	inside  bool      // the name fits into the stretch
	at      vg.Length // where it stands above the band otherwise
}

// bandZone is the height of the band with what stands above and below it.
func (p panelsPicture) bandZone() vg.Length {
	if len(p.Stretch) == 0 {
		return flagsHeight
	}
	return p.namesHeight() + bandHeight + flagsHeight
}

// namesHeight is what the names above the band need; none if all fit inside.
func (p panelsPicture) namesHeight() vg.Length {
	needed := vg.Length(0)
	for _, n := range p.bandNames(p.axes(0)) {
		if !n.inside {
			needed = max(needed, leaderHeight+4+letters(bandPoints).Width(n.words))
		}
	}
	return needed
}

// bandNames places the names of the stretches: inside where they fit, else upright above the band. Where
// there are more than fit side by side, the shortest stretches have none.
func (p panelsPicture) bandNames(level axes) []bandName {
	style := letters(bandPoints)
	var list []bandName
	var above []int
	for i, s := range p.Stretch {
		if !drawable(s.From) || !drawable(s.To) || tidy(s.Name) == "" {
			continue
		}
		width := level.at(s.To) - level.at(s.From)
		n := bandName{stretch: i, words: tidy(s.Name), inside: style.Width(tidy(s.Name))+4 <= width}
		if !n.inside {
			n.words = shortened(style, s.Name, mostNames-leaderHeight)
			above = append(above, len(list))
		}
		list = append(list, n)
	}
	above = p.longest(list, above, int((level.to-level.from)/nameApart))
	places := make([]float64, len(above))
	for i, n := range above {
		s := p.Stretch[list[n].stretch]
		places[i] = float64(level.at((s.From + s.To) / 2))
	}
	for i, x := range spread(places, float64(nameApart), extent{float64(level.from), float64(level.to)}) {
		list[above[i]].at = vg.Length(x)
	}
	return list
}

// longest leaves so many of the names that stand above the band, those of the longest stretches; the
// others lose their words.
func (p panelsPicture) longest(list []bandName, above []int, most int) []int {
	length := func(n int) float64 { s := p.Stretch[list[n].stretch]; return s.To - s.From }
	for len(above) > most {
		least := 0
		for i := range above {
			if length(above[i]) < length(above[least]) {
				least = i
			}
		}
		list[above[least]].words = ""
		above = append(above[:least:least], above[least+1:]...)
	}
	return above
}

// drawBand draws the stretches in two shades in turn, with their names.
func (p panelsPicture) drawBand(sheet draw.Canvas, level axes, left, top vg.Length) {
	if len(p.Stretch) == 0 {
		return
	}
	upper := top - p.namesHeight()
	lower := upper - bandHeight
	label := letters(namePoints)
	label.YAlign = text.YCenter
	sheet.FillText(label, vg.Point{X: left, Y: (upper + lower) / 2}, shortened(label, p.Band, leftOfAxes))
	for i, s := range p.Stretch {
		if !drawable(s.From) || !drawable(s.To) {
			continue
		}
		from, to := level.at(s.From), level.at(s.To)
		sheet.FillPolygon(shade([2]float64{0.1, 0.3}[i%2]), []vg.Point{{X: from, Y: lower}, {X: to, Y: lower}, {X: to, Y: upper}, {X: from, Y: upper}})
		sheet.StrokeLine2(draw.LineStyle{Color: plain(), Width: vg.Points(0.4)}, from, lower, from, upper)
	}
	for _, n := range p.bandNames(level) {
		p.drawName(sheet, level, n, upper)
	}
}

func (p panelsPicture) drawName(sheet draw.Canvas, level axes, n bandName, upper vg.Length) {
	s, style := p.Stretch[n.stretch], letters(bandPoints)
	middle := level.at((s.From + s.To) / 2)
	if n.words == "" {
		return
	}
	if n.inside {
		style.XAlign, style.YAlign = text.XCenter, text.YCenter
		sheet.FillText(style, vg.Point{X: middle, Y: upper - bandHeight/2}, n.words)
		return
	}
	sheet.StrokeLine2(draw.LineStyle{Color: plain(), Width: vg.Points(0.5)}, middle, upper, n.at, upper+leaderHeight)
	style.Rotation, style.XAlign, style.YAlign = math.Pi/2, text.XLeft, text.YCenter
	sheet.FillText(style, vg.Point{X: n.at, Y: upper + leaderHeight + 2}, n.words)
}

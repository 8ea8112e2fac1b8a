package identifycmd

import (
	"io"
	"math"
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
)

// charts are the residuals of each part over time, in standard deviations.
func (z *identified) charts() []chart.Chart {
	var list []chart.Chart
	for _, p := range z.result.Parts {
		list = append(list, chart.Chart{
			X: "time, s", Y: "residual, standard deviations",
			Series: []chart.Series{{Name: p.Name, Points: points(p.Time, p.Residuals)}},
		})
	}
	return list
}

// points leaves a gap where nothing was fitted for a while, and where the next recording begins.
func points(x, y []float64) []chart.Point {
	const gap = 0.3 // s
	var list []chart.Point
	for i := range x {
		if i > 0 && (x[i] < x[i-1] || x[i] > x[i-1]+gap) {
			list = append(list, chart.Point{X: math.NaN(), Y: math.NaN()})
		}
		list = append(list, chart.Point{X: x[i], Y: y[i]})
	}
	return list
}

// plotWriter draws the residuals in the format of the ending of a path.
func plotWriter(path string) func(io.Writer, *identified) error {
	return func(w io.Writer, z *identified) error {
		p := z.panels()
		if strings.EqualFold(filepath.Ext(path), ".png") {
			return p.PNG(w)
		}
		return p.SVG(w)
	}
}

// panels are the residuals one below the other, with the limits of 95 %.
func (z *identified) panels() *chart.Panels {
	p := &chart.Panels{Title: page.CleanLine(z.rig.Rig) + ": residuals of the fit, in standard deviations", X: "time, s", Band: "pieces"}
	for _, r := range z.recordings {
		p.Notes = append(p.Notes, page.CleanLine(r.Source))
	}
	if len(z.recordings) == 1 { // of several the times lie over each other
		for _, q := range z.result.Pieces[0].Pieces {
			p.Stretch = append(p.Stretch, chart.Stretch{From: q.FromS, To: q.ToS, Name: string(q.Kind)})
		}
	}
	for _, part := range z.result.Parts {
		p.Notes = append(p.Notes, problem.Text("%s: %d rows, R² %.6f, whiteness p %.2g", part.Name, part.Rows, part.Determination, part.Whiteness))
		p.Charts = append(p.Charts, chart.Panel{
			Y: part.Name, Series: []chart.Series{{Name: part.Name, Points: points(part.Time, part.Residuals), Line: true}},
			Levels: []chart.Level{{Y: 1.96, Name: "95 %"}, {Y: -1.96, Name: "95 %"}},
		})
	}
	return p
}

package trendcmd

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/trend"
)

// draw writes the picture in the format of its ending.
func (f *trendFlags) draw(w io.Writer, z *followed) error {
	p := z.picture()
	if strings.EqualFold(filepath.Ext(f.plot), ".png") {
		return p.PNG(w)
	}
	return p.SVG(w)
}

// picture is all quantities over time, one below the other.
func (z *followed) picture() *chart.Panels {
	h := z.history
	p := &chart.Panels{
		Title: "Trend of the tests of " + page.CleanLine(h.Tests[0].Rig), X: z.across(),
		Notes: []string{z.counted(), "A trend is a reason to look at the brake; it proves nothing."},
	}
	for i := range z.report.Trends {
		t := &z.report.Trends[i]
		if len(t.Series.Values) == 0 {
			continue
		}
		q := &t.Series.Quantity
		panel := chart.Panel{Y: q.Unit, Series: z.curves(t)}
		for _, end := range ends(t.Series.Limit) {
			panel.Levels = append(panel.Levels, chart.Level{Y: end, Name: "limit " + page.Figure(end) + " " + q.Unit})
		}
		p.Charts = append(p.Charts, panel)
		for _, c := range t.Changes {
			p.Flags = append(p.Flags, chart.Flag{X: c.Before.At, Name: q.Name + ": new level"})
		}
	}
	if h.Since > 0 {
		p.Flags = append(p.Flags, chart.Flag{X: h.Place(h.Since), Name: "tests count"})
	}
	return p
}

func (z *followed) across() string {
	if z.history.Dated {
		return "days since " + z.history.Moment(0).Date
	}
	return "number of the test"
}

// curves are the values, and the line of the trend if one is found.
func (z *followed) curves(t *trend.Trend) []chart.Series {
	times, values := t.Series.Times, t.Series.Values
	measured := chart.Series{Name: t.Series.Quantity.Name, Points: make([]chart.Point, len(values))}
	for i, value := range values {
		measured.Points[i] = chart.Point{X: times[i], Y: value}
	}
	all := []chart.Series{measured}
	if t.Found {
		from, to := times[t.Start], times[len(times)-1]
		all = append(all, chart.Series{Name: "trend", Line: true, Points: []chart.Point{{X: from, Y: t.Line.At(from)}, {X: to, Y: t.Line.At(to)}}})
	}
	return all
}

// ends are the finite ends of a limit.
func ends(l *trend.Limit) []float64 {
	var list []float64
	if l == nil {
		return nil
	}
	for _, end := range []float64{l.Low, l.High} {
		if !math.IsInf(end, 0) {
			list = append(list, end)
		}
	}
	return list
}

// place is a moment in words.
func place(m *trend.Moment) string {
	switch {
	case m == nil:
		return "never"
	case m.Date != "":
		return m.Date
	}
	return fmt.Sprintf("test %.0f", m.At)
}

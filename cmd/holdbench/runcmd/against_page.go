package runcmd

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/recording"
)

// Record is what run --json prints.
type Record struct {
	command.Record
	Against *Against `json:"against,omitempty"`
}

// Against is a recording that a run is compared with. Differences are recorded less simulated.
type Against struct {
	File        string             `json:"file"`
	SHA256      string             `json:"sha256"`
	Align       string             `json:"align"`
	ShiftS      float64            `json:"shift_s"`
	BestShiftS  *float64           `json:"best_shift_s,omitempty"`
	Correlation *float64           `json:"best_correlation,omitempty"`
	Signals     []SignalDifference `json:"signals"`
	NotCompared []string           `json:"not_compared,omitempty"`
}

// SignalDifference is that of one signal: of a number its mean, rms and largest, else how many samples differ.
type SignalDifference struct {
	Signal     string   `json:"signal"`
	Unit       string   `json:"unit,omitempty"`
	Samples    int      `json:"samples"`
	Mean       *float64 `json:"mean,omitempty"`
	RMS        *float64 `json:"rms,omitempty"`
	Largest    *float64 `json:"largest,omitempty"`
	LargestAtS *float64 `json:"largest_at_s,omitempty"`
	Differing  *int     `json:"differing,omitempty"`
	FirstAtS   *float64 `json:"first_at_s,omitempty"`
}

// record is the comparison as an object; nil without one.
func (g *against) record() *Against {
	if g == nil {
		return nil
	}
	list := &Against{File: filepath.Base(g.Source), SHA256: g.SHA256, Align: g.align, ShiftS: g.shift, NotCompared: g.without, Signals: []SignalDifference{}}
	if !math.IsNaN(g.best) {
		list.BestShiftS, list.Correlation = &g.best, &g.fits
	}
	for i := range g.signals {
		s := &g.signals[i]
		d := recording.Compare(g.Time, s.Values, s.curve, g.shift)
		row := SignalDifference{Signal: s.Signal, Unit: s.Unit, Samples: d.Samples}
		switch {
		case d.Samples == 0:
		case !s.curve.Held:
			row.Mean, row.RMS, row.Largest, row.LargestAtS = &d.Mean, &d.RMS, &d.Largest, &d.LargestAt
		default:
			row.Differing = &d.Differing
			if d.Differing > 0 {
				row.FirstAtS = &d.FirstAt
			}
		}
		list.Signals = append(list.Signals, row)
	}
	return list
}

// visibleShift is a shift in s from which curves that are not aligned look different.
const visibleShift = 0.01

// compared is how far the recording is from the run.
func (v *timeline) compared() {
	g := v.against
	if g == nil {
		return
	}
	v.Section("recorded less simulated")
	r := g.record()
	text := fmt.Sprintf("%s, %s from %s to %s; ", r.File, page.Count(len(g.Time), "row", "rows"), page.Seconds(g.Time[0]), page.Seconds(g.Time[len(g.Time)-1]))
	if g.align == alignTime {
		text += "time as recorded"
	} else {
		text += fmt.Sprintf("time shifted by %s (--align %s)", page.Seconds(g.shift), g.align)
	}
	if r.BestShiftS != nil {
		text += fmt.Sprintf("; the signals correlate best, %.3f, with a shift of %s", g.fits, page.Seconds(tidy(g.best)))
		if math.Abs(g.best-g.shift) > visibleShift {
			text += ": --align best uses it"
		}
	}
	v.Put(page.Paragraph(v.Plain(text+"."), "", v.Width))
	table := &page.Table{Head: []string{"signal", "mean", "rms", "largest", "at"}}
	for _, s := range r.Signals {
		table.Add(s.cells()...)
	}
	v.aligned(table)
	if len(g.without) > 0 {
		v.Put(page.Paragraph("Not compared, as a run does not have them: "+strings.Join(g.without, ", ")+".", "", v.Width))
	}
}

// aligned prints a table of short cells, the last one, too, in its column.
func (v *timeline) aligned(t *page.Table) {
	widths := t.Widths()
	for i, row := range append([][]string{t.Head}, t.Rows...) {
		var b strings.Builder
		for k, cell := range row {
			b.WriteString(page.Pad(cell, widths[k]+2))
		}
		line := v.Plain(strings.TrimRight(b.String(), " "))
		if i == 0 {
			line = v.Style.Faint.Render(line)
		}
		v.Line(line)
	}
}

func (s *SignalDifference) cells() []string {
	switch {
	case s.Mean != nil:
		figure := func(x float64) string { return strings.TrimSpace(page.Figure(tidy(x)) + " " + s.Unit) }
		return []string{s.Signal, figure(*s.Mean), figure(*s.RMS), figure(*s.Largest), page.Seconds(*s.LargestAtS)}
	case s.FirstAtS != nil:
		return []string{s.Signal, "", "", fmt.Sprintf("%d of %d differ", *s.Differing, s.Samples), page.Seconds(*s.FirstAtS)}
	case s.Differing != nil:
		return []string{s.Signal, "", "", "all the same", ""}
	}
	return []string{s.Signal, "", "", "none in common", ""}
}

// overlaid adds the recorded signals to the panels that have their quantity and unit; a speed gets a panel.
func (v *timeline) overlaid(panels []chart.Panel) []chart.Panel {
	g := v.against
	if g == nil {
		return panels
	}
	for i := range g.signals {
		s := &g.signals[i]
		y, factor := panelOf(s.Signal)
		if y == "" {
			continue
		}
		k := slices.IndexFunc(panels, func(p chart.Panel) bool { return p.Y == y })
		if k < 0 {
			panels, k = append(panels, chart.Panel{Y: y, Series: []chart.Series{s.line("simulated", s.curve.Time, s.curve.Values, 0, factor)}}), len(panels)
		}
		panels[k].Series = append(panels[k].Series, s.line("recorded "+s.Signal, g.Time, s.Values, g.shift, factor))
	}
	return panels
}

func (s *comparedSignal) line(name string, times, values []float64, shift, factor float64) chart.Series {
	list := chart.Series{Name: name, Line: true}
	for i, t := range times {
		if !math.IsNaN(values[i]) { // a slow channel is a line all the same
			list.Points = append(list.Points, chart.Point{X: t + shift, Y: values[i] * factor})
		}
	}
	return list
}

// panelOf is the panel of a signal, and the factor to its unit: currents are drawn as amplitudes.
func panelOf(signal string) (y string, factor float64) {
	switch signal {
	case "position_mm", "load_mm":
		return positionY, 1
	case "torque_nm", "torque_motor_nm":
		return torqueY, 1
	case "current_rms_a":
		return currentY, math.Sqrt2
	case "current_amp_a", "judge_current_amp_a":
		return currentY, 1
	case "speed":
		return "speed, mm/s", 1
	case "speed_rad_s":
		return "speed of the motor shaft, rad/s", 1
	case "position_deg":
		return "position, deg", 1
	}
	return "", 0
}

package diffcmd

import (
	"cmp"
	"fmt"
	"slices"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/compare"
)

// picture is both runs over the time of A: position, load, torques, with the first differences.
func (d *difference) picture() *chart.Panels {
	a, b := d.A.Result, d.B.Result
	p := &chart.Panels{
		Title: "A " + page.CleanLine(a.Scenario) + ", B " + page.CleanLine(b.Scenario), X: "time of A, s", Band: "state of A",
		Notes: []string{d.about("A", d.A), d.about("B", d.B), d.alignedText()},
	}
	for _, v := range a.Visits {
		p.Stretch = append(p.Stretch, chart.Stretch{From: v.At.Seconds(), To: (v.At + v.Stay).Seconds(), Name: page.CleanLine(v.State)})
	}
	if n := len(p.Stretch); n > 0 { // the run goes on for a while behind its end
		p.Stretch[n-1].To = d.A.EndS()
	}
	panels := []struct{ y, signal string }{
		{"position, measured, mm", "position_mm"}, {"load, true, mm", "load_mm"},
		{"motor torque, true, N·m", "torque_motor_nm"}, {"brake torque, true, N·m", "torque_brake_nm"},
	}
	if d.A.Case.Rig.Brake2.Exists() || d.B.Case.Rig.Brake2.Exists() {
		panels = append(panels, struct{ y, signal string }{"brake 2 torque, true, N·m", "torque_brake_2_nm"})
	}
	for _, of := range panels {
		p.Charts = append(p.Charts, chart.Panel{Y: of.y, Series: []chart.Series{d.curve("A", d.A, of.signal, 0), d.curve("B", d.B, of.signal, d.ShiftS())}})
	}
	p.Flags = d.flags()
	return p
}

func (d *difference) curve(name string, r *compare.Run, signal string, shiftS float64) chart.Series {
	times, values := r.Curve(signal)
	s := chart.Series{Name: name, Line: true, Points: make([]chart.Point, len(times))}
	for i, t := range times {
		s.Points[i] = chart.Point{X: t - shiftS, Y: values[i]}
	}
	return s
}

// flags are the first differences, and where the paths part.
func (d *difference) flags() []chart.Flag {
	var list []chart.Flag
	for _, of := range []struct {
		what string
		list []compare.Divergence
	}{{"first difference of the truth", d.Truth}, {"first difference of a signal", d.Visible}} {
		if len(of.list) > 0 {
			first := &of.list[0]
			list = append(list, chart.Flag{X: first.AtAS, Name: fmt.Sprintf("%s  %s: %s", page.Seconds(first.AtAS), of.what, says(first)), Strong: true})
		}
	}
	if last := len(d.Path.Common) - 1; !d.Path.Same() && last >= 0 {
		stay := &d.Path.Common[last] // the first run to leave the last common state parts
		at := min(stay.EnteredA+stay.StayA, stay.EnteredB+stay.StayB-d.ShiftS())
		list = append(list, chart.Flag{X: at, Name: page.Seconds(at) + "  the paths part after " + page.CleanLine(stay.State)})
	}
	slices.SortStableFunc(list, func(f, g chart.Flag) int { return cmp.Compare(f.X, g.X) })
	return list
}

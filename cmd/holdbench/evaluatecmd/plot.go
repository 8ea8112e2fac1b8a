package evaluatecmd

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
)

// draw writes the picture in the format of its ending.
func (f *evaluateFlags) draw(w io.Writer, z *evaluated) error {
	p, err := z.picture()
	if err != nil {
		return err
	}
	if strings.EqualFold(filepath.Ext(f.plot), ".png") {
		return p.PNG(w)
	}
	return p.SVG(w)
}

// picture is the test over time: position, movement in the window, torque and what is required.
func (z *evaluated) picture() (*chart.Panels, error) {
	c, err := evaluate.CurvesOf(&z.ready.Rig, z.recorded, z.result)
	if err != nil {
		return nil, err
	}
	e, judge := z.result, &z.ready.Rig.Judge
	p := &chart.Panels{
		Title: page.CleanLine(e.Source) + ": a recorded test, judged again", X: "time, s", Band: "check",
		Notes: []string{
			fmt.Sprintf("rig %s; %s", page.CleanLine(e.Rig), z.verdictText()),
			"A second look by a model of a judge; the verdict of the certified safety function counts.",
		},
	}
	moved := chart.Panel{
		Y: "moved, deg", Series: []chart.Series{line("motor shaft since the requirement was met", c.Time, c.MovedDeg)},
		Levels: []chart.Level{{Y: judge.WindowDeg, Name: "window ±" + page.Figure(judge.WindowDeg) + " deg"}, {Y: -judge.WindowDeg}},
	}
	for i := range e.Checks {
		check := &e.Checks[i]
		p.Stretch = append(p.Stretch, chart.Stretch{From: check.FromS, To: check.ToS, Name: z.name(check.Brake, check.Direction)})
		p.Flags = append(p.Flags, chart.Flag{X: check.ToS, Name: page.Seconds(check.ToS) + "  " + z.name(check.Brake, check.Direction) + " " + endingText(check), Strong: check.Outcome == evaluate.Failed})
		moved.Windows = append(moved.Windows, chart.Window{FromX: check.FromS, ToX: check.ToS, LowY: -judge.WindowDeg, HighY: judge.WindowDeg})
	}
	p.Charts = []chart.Panel{
		{Y: "position, mm", Series: []chart.Series{line("measured", c.Time, c.PositionMM)}},
		moved,
		{
			Y:      "torque, N·m",
			Series: []chart.Series{line("motor, by the current", c.Time, c.TorqueNM), line("required by the judge", c.Time, c.RequiredNM)},
			Levels: []chart.Level{{Y: judge.CeilingNM, Name: "ceiling " + page.Figure(judge.CeilingNM) + " N·m"}},
		},
	}
	return p, z.drawBeside(p)
}

// drawBeside adds position and torque of the simulated run, aligned with the recording and within its time.
func (z *evaluated) drawBeside(p *chart.Panels) error {
	if z.beside == nil {
		p.Notes = append(p.Notes, "No simulated run: "+z.alone+".")
		return nil
	}
	c, err := z.beside.Curves()
	if err != nil {
		return err
	}
	from, to := len(c.Time), 0
	for i, t := range c.Time {
		if t >= z.result.FromS && t <= z.result.ToS {
			from, to = min(from, i), i+1
		}
	}
	if from >= to {
		return nil
	}
	position, torque := &p.Charts[0], &p.Charts[2]
	position.Series = append(position.Series, line("simulated", c.Time[from:to], c.PositionMM[from:to]))
	torque.Series = append(torque.Series, line("simulated", c.Time[from:to], c.TorqueNM[from:to]))
	p.Notes = append(p.Notes, fmt.Sprintf("simulated: scenario %s, aligned by %s", page.CleanLine(z.beside.Scenario), z.beside.AlignedBy))
	return nil
}

func line(name string, time, values []float64) chart.Series {
	s := chart.Series{Name: name, Line: true, Points: make([]chart.Point, len(time))}
	for i, t := range time {
		s.Points[i] = chart.Point{X: t, Y: values[i]}
	}
	return s
}

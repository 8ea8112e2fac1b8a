package runcmd

import (
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// garbageOfPlot is how much garbage, in % of what is kept, there may be while a picture is drawn, which takes as much
// memory as a run.
const garbageOfPlot = 30

// writePlot writes the picture of a run in the format of its ending, and puts the file in its place.
func writePlot(to *files.Target, v *timeline) error {
	defer debug.SetGCPercent(debug.SetGCPercent(garbageOfPlot))
	picture := v.plot()
	write := picture.SVG
	if strings.EqualFold(filepath.Ext(to.Path), ".png") {
		write = picture.PNG
	}
	if err := write(to); err != nil {
		to.Abandon()
		return files.CannotWrite(to.Path, err)
	}
	return to.Close()
}

// isPicture is whether a path ends as a picture does. A stream is an SVG.
func isPicture(path string) bool {
	ext := strings.ToLower(filepath.Ext(path))
	return files.IsDevice(path) || ext == ".svg" || ext == ".png"
}

// The quantities that a recording can have, too.
const (
	positionY = "position, mm"
	torqueY   = "torque, N·m"
	currentY  = "current, A"
)

// plot is the run over time: position, load drop, what moved in the judge's window, torque, current, the
// states, and what happened.
func (v *timeline) plot() *chart.Panels {
	r := v.result
	met := "as expected"
	if !r.Met() {
		met = "NOT as expected"
	}
	p := &chart.Panels{
		Title: page.CleanLine(r.Scenario) + ": " + page.CleanLine(v.ready.Scenario.Title), X: "time, s", Band: "state",
		Notes: []string{
			fmt.Sprintf("rig %s, %s, seed %d", page.CleanLine(r.Rig), page.CleanLine(sequence.Titled(r.Sequence)), r.Seed),
			fmt.Sprintf("end %s in %s, verdict %s, class %s, load drop %s mm; %s", r.End, page.CleanLine(r.EndedIn), r.Verdict, r.Class, page.Figure(tidy(r.LoadDropMM)), met),
		},
	}
	if changed := v.changes(); len(changed) > 0 {
		p.Notes = append(p.Notes, strings.Join(changed, "; "))
	}
	for _, s := range r.Visits {
		p.Stretch = append(p.Stretch, chart.Stretch{From: s.At.Seconds(), To: min((s.At + s.Stay).Seconds(), v.trace.end()), Name: page.CleanLine(s.State)})
	}
	if n := len(p.Stretch); n > 0 { // the run goes on for a while behind its end
		p.Stretch[n-1].To = v.trace.end()
	}
	p.Flags = v.flags()
	p.Charts = []chart.Panel{v.positionPanel(), v.dropPanel()}
	if moved := v.movedPanel(); len(moved.Windows) > 0 {
		p.Charts = append(p.Charts, moved)
	}
	p.Charts = v.overlaid(append(p.Charts, v.torquePanel(), v.currentPanel()))
	return p
}

// changes are the values that were set, and the faults that were added by name.
func (v *timeline) changes() []string {
	var list []string
	set := v.ready.Scenario.Set
	for _, key := range slices.Sorted(maps.Keys(set)) {
		list = append(list, "set "+page.CleanLine(key)+" = "+page.CleanLine(set[key]))
	}
	for _, n := range v.faults {
		list = append(list, "fault "+page.CleanLine(n.String()))
	}
	return list
}

// line is a quantity over time; NaN is no value.
func (v *timeline) line(name string, value func(s *sample) float64) chart.Series {
	list := chart.Series{Name: name, Line: true, Points: make([]chart.Point, len(v.trace.samples))}
	for i := range v.trace.samples {
		s := &v.trace.samples[i]
		list.Points[i] = chart.Point{X: s.t, Y: value(s)}
	}
	return list
}

func (v *timeline) positionPanel() chart.Panel {
	return chart.Panel{Y: positionY, Series: []chart.Series{
		v.line("load, true", func(s *sample) float64 { return s.loadMM }),
		v.line("measured", func(s *sample) float64 { return s.positionMM }),
	}}
}

func (v *timeline) dropPanel() chart.Panel {
	limit := v.ready.Rig.Test.DropLimitMM
	return chart.Panel{
		Y:      "load drop, mm",
		Series: []chart.Series{v.line("largest load drop so far, true", func(s *sample) float64 { return s.dropMM })},
		Levels: []chart.Level{{Y: limit, Name: "drop limit " + page.Figure(limit) + " mm"}},
	}
}

// movedPanel is the movement since the judge latched the position, at the motor shaft, and the window.
func (v *timeline) movedPanel() chart.Panel {
	spans, window := v.checks(), v.ready.Rig.Judge.WindowDeg
	perDeg := plant.Derive(&v.ready.Rig).MMPerRad * radPerDeg
	p := chart.Panel{Y: "moved, deg", Series: []chart.Series{
		v.line("load since the judge latched its position, true, at the motor shaft", func(s *sample) float64 {
			for _, c := range spans {
				if s.t >= c.from && s.t <= c.to {
					return (s.loadMM - c.latchMM) / perDeg
				}
			}
			return math.NaN()
		}),
	}}
	for _, c := range spans {
		p.Windows = append(p.Windows, chart.Window{FromX: c.from, ToX: c.to, LowY: -window, HighY: window})
	}
	if len(spans) > 0 {
		p.Levels = []chart.Level{{Y: window, Name: "window ±" + page.Figure(window) + " deg"}, {Y: -window}}
	}
	return p
}

func (v *timeline) torquePanel() chart.Panel {
	first := []string{"brake, magnitude", "brake capacity"}
	second := v.ready.Rig.Brake2.Exists()
	if second {
		first = []string{"brake 1", "its capacity"}
	}
	p := chart.Panel{Y: torqueY, Series: []chart.Series{
		v.line("motor, true", func(s *sample) float64 { return s.motorNM }),
		v.line(first[0], func(s *sample) float64 { return s.brakeNM }),
		v.line(first[1], func(s *sample) float64 { return s.capacity }),
	}}
	if second {
		p.Series = append(p.Series,
			v.line("brake 2", func(s *sample) float64 { return s.brake2NM }),
			v.line("its capacity", func(s *sample) float64 { return s.capacity2 }))
	}
	required, ceiling := v.result.RequiredTorqueNM, v.ready.Rig.Judge.CeilingNM
	p.Levels = []chart.Level{
		{Y: required, Name: "required at the brake " + page.Figure(required) + " N·m"},
		{Y: ceiling, Name: "ceiling of the motor " + page.Figure(ceiling) + " N·m"},
	}
	return p
}

func (v *timeline) currentPanel() chart.Panel {
	return chart.Panel{Y: currentY, Series: []chart.Series{
		v.line("torque-forming, true, amplitude", func(s *sample) float64 { return s.currentA }),
		v.line("read by the judge", func(s *sample) float64 { return s.judgeA }),
		v.line("required by the judge", func(s *sample) float64 {
			if s.requiredA == 0 {
				return math.NaN()
			}
			return s.requiredA
		}),
	}}
}

// mostFlags is how many events are flagged. Verdicts, drops and the end come before the others.
const mostFlags = 24

// flags are what happened, from faults and verdicts to the end.
func (v *timeline) flags() []chart.Flag {
	var list []chart.Flag
	for _, least := range []int{1, 2, 3} {
		list = nil
		for i := range v.result.Events {
			e := &v.result.Events[i]
			if rank := flagRank(e); rank >= least {
				list = append(list, chart.Flag{X: e.TS, Name: v.flagName(e), Strong: isHarm(e)})
			}
		}
		if len(list) <= mostFlags {
			return list
		}
	}
	return list[:mostFlags]
}

func (v *timeline) flagName(e *sim.Event) string {
	word, what, _ := v.eventWords(e)
	return page.CleanLine(page.Seconds(e.TS) + "  " + word + ": " + what)
}

// flagRank is how much an event matters in a picture; 0 has no flag.
func flagRank(e *sim.Event) int {
	switch e.Type {
	case sim.EventProven, sim.EventFailed, sim.EventLoadDropped, sim.EventSlipBegan, sim.EventControllerStopped, sim.EventEnded:
		return 3
	case sim.EventDirectionPassed, sim.EventFaultBegan, sim.EventObligationBroken, sim.EventStopBegan, sim.EventCheckLost:
		return 2
	case sim.EventAsked, sim.EventTorqueReached, sim.EventFaultEnded, sim.EventAskDropped, sim.EventAskRefused, sim.EventProofLapsed, sim.EventAcknowledged, sim.EventStopReset:
		return 1
	}
	return 0
}

// isHarm is whether an event is a failure or a loss.
func isHarm(e *sim.Event) bool {
	switch e.Type {
	case sim.EventFailed, sim.EventLoadDropped, sim.EventSlipBegan, sim.EventControllerStopped, sim.EventObligationBroken:
		return true
	}
	return false
}

package runcmd

import (
	"math"

	"github.com/charmbracelet/lipgloss"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// stripSpec is one quantity over time.
type stripSpec struct {
	name      string
	low, high float64
	unit      string
	rows      int
	never     string // shown instead of a strip without any figure
	style     lipgloss.Style
	value     func(i int, s sample) (float64, bool)
}

// edge is the value at the upper and the lower edge of a strip, beside its rows.
func (s *stripSpec) edge(row int) string {
	low, high := page.Figure(page.Round(s.low)), page.Figure(page.Round(s.high))
	switch {
	case s.rows == 1:
		return low + "…" + high + s.unit
	case row == 0:
		return high + s.unit
	case row == s.rows-1:
		return low + s.unit
	}
	return ""
}

// stripList is the table of strips, from top to bottom.
func (v *timeline) stripList() []stripSpec {
	low, high := v.span(func(s sample) float64 { return s.motorNM })
	bottom, top := v.span(func(s sample) float64 { return s.loadMM })
	list := []stripSpec{{
		name: "motor torque, N·m", low: min(low, 0), high: max(high, 0), rows: 3, style: v.Style.Plant,
		value: func(_ int, s sample) (float64, bool) { return s.motorNM, true },
	}}
	first := func(s sample) (carried, capacity float64) { return s.brakeNM, s.capacity }
	if v.ready.Rig.Brake2.Exists() {
		second := func(s sample) (carried, capacity float64) { return s.brake2NM, s.capacity2 }
		list = append(list, v.brakeStrip("brake 1, of capacity", first), v.brakeStrip("brake 2, of capacity", second))
	} else {
		list = append(list, v.brakeStrip("brake, of capacity", first))
	}
	return append(list, stripSpec{
		name: "load position, mm", low: bottom, high: top, rows: 1, style: v.Style.Plant,
		value: func(_ int, s sample) (float64, bool) { return s.loadMM, true },
	}, v.windowStrip())
}

// brakeStrip is the torque that a brake carries as a share of its capacity at that moment.
func (v *timeline) brakeStrip(name string, of func(sample) (carried, capacity float64)) stripSpec {
	return stripSpec{
		name: name, low: 0, high: 100, unit: " %", rows: 2, style: v.Style.Plant,
		never: "never closed",
		value: func(_ int, s sample) (float64, bool) {
			carried, capacity := of(s)
			return 100 * carried / capacity, capacity > 0
		},
	}
}

// windowStrip is the movement of the load in the judge's window since the latch; outside of a check
// there is no window.
func (v *timeline) windowStrip() stripSpec {
	spans := v.checks()
	window := v.windowMM()
	return stripSpec{
		name: "moved, of the window", low: 0, high: 100, unit: " %", rows: 1, style: v.Style.Warning,
		never: "no position latched",
		value: func(_ int, s sample) (float64, bool) {
			for _, c := range spans {
				if s.t >= c.from && s.t <= c.to && window > 0 {
					return 100 * math.Abs(s.loadMM-c.latchMM) / window, true
				}
			}
			return 0, false
		},
	}
}

// check is a time in which the judge monitored the window.
type check struct{ from, to, latchMM float64 }

// checks finds them among the judge's events: from the latch to what ended it.
func (v *timeline) checks() []check {
	var list []check
	open := false
	for _, e := range v.result.Events {
		switch {
		case e.Kind != sim.KindJudge:
		case e.Type == sim.EventTorqueReached:
			list = append(list, check{e.TS, v.trace.end(), e.Snapshot.LoadMM})
			open = true
		case open:
			list[len(list)-1].to = e.TS
			open = false
		}
	}
	return list
}

// span is between which values a quantity went.
func (v *timeline) span(of func(sample) float64) (low, high float64) {
	low, high = of(v.trace.samples[0]), of(v.trace.samples[0])
	for _, s := range v.trace.samples {
		low, high = min(low, of(s)), max(high, of(s))
	}
	return low, high
}

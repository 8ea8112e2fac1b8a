package sweepcmd

import (
	"fmt"
	"strconv"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/sweep"
)

func (v *sweepPage) maps() {
	v.Section("missed: release with insufficient torque, in per cent")
	v.heat(missedMap(v.sum))
	v.Section("false alarms: no release with sufficient torque, in per cent")
	v.heat(alarmMap(v.sum))
	v.Line()
	widest := 0.0
	for _, c := range v.sum.Map {
		for _, r := range []sweep.Rate{c.Missed, c.FalseAlarm} {
			widest = max(widest, r.High-r.Low)
		}
	}
	v.Prose(fmt.Sprintf("All cells use the same draws, so that they differ by window and dwell only; - marks a cell without such brakes. The widest %s interval of a cell has %.3g percentage points. A dwell above the rig's extends the deadline. A brake that slips leaves any window; one that creeps leaves it only if the window divided by the dwell is less than its creep, so that a longer dwell and a narrower window detect more of them.", percent(v.sum.Confidence), 100*widest))
}

// heat prints one rate by window and dwell.
func (v *sweepPage) heat(h *chart.Heat) {
	const heads = 4 // names and unit
	h.Title = ""    // the section has the same
	for _, line := range h.Text(v.Width, len(h.Rows)+heads, v.ASCII) {
		v.Line(line)
	}
}

func (v *sweepPage) rarity() {
	r := v.sum.Rarity
	v.Section("rare-event estimate: " + string(r.Class))
	t := page.Table{}
	t.Add("probability", page.Figure(r.Probability), "of such a run, with the spreads above")
	t.Add("standard error", page.Figure(r.StandardError), "square root of the variance "+page.Figure(r.Variance))
	t.Add(percent(v.sum.Confidence)+" interval", page.Figure(r.Low)+" to "+page.Figure(r.High), "from the standard error")
	t.Add("such runs", strconv.Itoa(r.Events), fmt.Sprintf("of %d; they are drawn more often and weighted less", v.sum.Done))
	t.Add("equivalent runs", page.Figure(r.EquivalentRuns), fmt.Sprintf("runs for the same error without importance sampling and without the %d runs of the search", v.sum.SearchedRuns))
	t.Add("mean weight", page.Figure(r.WeightMean), "expected: 1; far from it the estimate is not reliable")
	v.Put(t.Text(v.Screen, ""))
	if r.Warning != "" {
		v.Line(v.Style.Warning.Render("! " + r.Warning))
	}
	v.Line()
	v.Prose("The sampling distributions were found by the cross-entropy method. Shift in standard deviations, and scale:")
	shifts := page.Table{}
	for _, tilt := range v.sum.Tilt {
		if tilt.Scale > 0 {
			shifts.Add(page.CleanLine(tilt.Key), fmt.Sprintf("%+.2f", tilt.Shift), fmt.Sprintf("x %.2f", tilt.Scale))
		}
	}
	v.Put(shifts.Text(v.Screen, "  "))
}

package sweepcmd

import (
	"fmt"
	"strconv"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/sweep"
)

func (v *sweepPage) maps() {
	v.Section("missed: proofs for brakes that are not fit, in per cent")
	v.heat(missedMap(v.sum))
	v.Section("false alarms: no proof for fit brakes, in per cent")
	v.heat(alarmMap(v.sum))
	v.Line()
	widest := 0.0
	for _, c := range v.sum.Map {
		for _, r := range []sweep.Rate{c.Missed, c.FalseAlarm} {
			widest = max(widest, r.High-r.Low)
		}
	}
	v.Prose(fmt.Sprintf("Every cell has the same draws, so that cells differ by window and dwell alone; - is one without such brakes. The widest %s interval of a cell has %.3g points. A dwell above the rig's takes the deadline along. The brake of this model holds or slips and does not creep, so a longer dwell finds little here that a short one does not.", percent(v.sum.Confidence), 100*widest))
}

// heat prints one rate by window and dwell.
func (v *sweepPage) heat(h *chart.Heat) {
	const heads = 4 // names and unit
	h.Title = ""    // the section has said it
	for _, line := range h.Text(v.Width, len(h.Rows)+heads, v.ASCII) {
		v.Line(line)
	}
}

func (v *sweepPage) rarity() {
	r := v.sum.Rarity
	v.Section("how often a run is " + string(r.Class))
	t := page.Table{}
	t.Add("chance", page.Figure(r.Probability), "that a run comes out so, with the spreads above")
	t.Add("standard error", page.Figure(r.StandardError), "the root of its variance, "+page.Figure(r.Variance))
	t.Add(percent(v.sum.Confidence)+" interval", page.Figure(r.Low)+" to "+page.Figure(r.High), "from that error")
	t.Add("runs that are", strconv.Itoa(r.Events), fmt.Sprintf("of %d, as such runs are drawn more often, and count less", v.sum.Done))
	t.Add("plain count", page.Figure(r.EquivalentRuns), fmt.Sprintf("so many runs would have the same error without that, and without the %d of the search", v.sum.SearchedRuns))
	t.Add("mean weight", page.Figure(r.WeightMean), "1 but for chance; far from it, do not trust the estimate")
	v.Put(t.Text(v.Screen, ""))
	if r.Warning != "" {
		v.Line(v.Style.Doubtful.Render("! " + r.Warning))
	}
	v.Line()
	v.Prose("Where such runs are was found by cross-entropy; the draws are shifted there by so many deviations, and as much narrower:")
	shifts := page.Table{}
	for _, tilt := range v.sum.Tilt {
		if tilt.Scale > 0 {
			shifts.Add(page.CleanLine(tilt.Key), fmt.Sprintf("%+.2f", tilt.Shift), fmt.Sprintf("x %.2f", tilt.Scale))
		}
	}
	v.Put(shifts.Text(v.Screen, "  "))
}

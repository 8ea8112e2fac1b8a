package lifecmd

import (
	"fmt"
	"math"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/sim/life"
)

// dropLimit shows the time with a brake that does not meet the drop limit at a power failure.
func (v *lifePage) dropLimit() {
	r := &v.study.Case.Rig
	v.Section("exposure by the drop limit: time with a brake that misses it")
	var rows [][]string
	for _, from := range life.Fallings() {
		s := &v.sum.Drops[from]
		rows = append(rows, []string{
			v.falling(from), v.needed(from), page.Figure(page.Round(s.Time.Hours() / float64(v.sum.Histories))), share(ratio(s.Time.Hours(), v.sum.Span.Hours())),
			page.Figure(page.Round(s.Production.Hours() / float64(v.sum.Histories))), strconv.Itoa(s.Histories),
		})
	}
	v.grid([]string{"power fails", "needed, N·m", "time, h", "of all", "production, h", "histories"}, rows)
	v.Line()
	d := plant.Derive(r)
	text := fmt.Sprintf("Drop limit %s mm, from rest and while the load moves downwards with the speed of the drive, with one brake alone. needed: static torque of a new brake at the motor shaft with which the limit is met, by running the plant; the required test torque is %s N·m. time and production: mean of one history. A test detects a brake below that torque and no other: a brake above it misses the limit until it is replaced or run in. ",
		page.Figure(r.Test.DropLimitMM), page.Figure(page.Round(d.RequiredTestNM)))
	if v.alwaysMissed() {
		text += "Not even a new brake meets every case: see holdbench size for the speed or the torque that does."
	}
	v.Prose(text)
}

func ratio(part, whole float64) float64 { return part / max(whole, 1e-9) }

func (v *lifePage) falling(from life.Falling) string {
	if from == life.FromRest {
		return "from rest"
	}
	return "from " + page.Figure(page.Round(v.study.Drops.SpeedMMS(from))) + " mm/s"
}

// needed is the torque of a new brake that meets the limit, of two brakes each.
func (v *lifePage) needed(from life.Falling) string {
	text := torque(v.study.Drops.NewBrakeNM(false, from))
	if v.study.Case.Rig.Brake2.Exists() {
		text += "; " + torque(v.study.Drops.NewBrakeNM(true, from))
	}
	return text
}

func torque(nm float64) string {
	if math.IsInf(nm, 1) {
		return "none"
	}
	return page.Figure(page.Round(nm))
}

// alwaysMissed is whether a new brake misses the limit in one of the cases.
func (v *lifePage) alwaysMissed() bool {
	for _, from := range life.Fallings() {
		if !v.study.NewBrakeMeets(from) {
			return true
		}
	}
	return false
}

package lifecmd

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sim/life"
	"holdbench/sim/statistics"
)

// lifePage is a study for people.
type lifePage struct {
	page.Sheet
	*session
	plan *life.Plan
	sum  life.Summary
}

func (l *session) page(s *page.Screen) *lifePage {
	return &lifePage{Sheet: page.NewSheet(s), session: l, plan: &l.study.Plan, sum: life.Summarise(l.study.Records)}
}

func (v *lifePage) text() string {
	v.heading()
	v.calendar()
	v.brake()
	v.tests()
	v.exposure()
	v.dropLimit()
	v.compared()
	v.lost()
	v.trend()
	v.standard()
	v.Line()
	v.Prose(lifeCaution)
	return v.String()
}

// lifeCaution ends every study.
const lifeCaution = `A simulation proves no machine safe, and these histories are those of a model. Gravity-loaded axes
kill: nobody stays under a raised load, prop it. The machine's risk assessment, the makers' manuals, the
standards that apply (EN ISO 13849-1 and -2, IEC 61800-5-2, EN ISO 16090-1, local rules) and qualified
people decide on the test, its torque, its interval and its validation.`

// pairs prints names with their descriptions.
func (v *lifePage) pairs(rows [][2]string) {
	t := page.Table{}
	for _, row := range rows {
		t.Add(row[0], row[1])
	}
	v.Put(t.Text(v.Screen, "  "))
}

// grid prints figures in columns, aligned on the right but for the first.
func (v *lifePage) grid(head []string, rows [][]string) {
	t := page.Table{Head: head, Rows: rows}
	widths := t.Widths()
	for n, row := range append([][]string{head}, rows...) {
		cells := []string{page.Pad(row[0], widths[0])}
		for i, text := range row[1:] {
			cells = append(cells, page.PadLeft(text, widths[i+1]))
		}
		line := v.Plain(strings.Join(cells, "  "))
		if n == 0 {
			line = v.Style.Faint.Render(line)
		}
		v.Line("  ", line)
	}
}

func (v *lifePage) heading() {
	c := v.study.Case
	v.Line(v.Style.Strong.Render("life of " + page.CleanLine(c.Rig.Rig)))
	v.Line(v.Style.Faint.Render(fmt.Sprintf("%s, seed %d", page.CleanLine(c.Sequence.Title()), v.plan.Seed)))
	text := fmt.Sprintf("%s of %s each", page.Count(v.sum.Histories, "history", "histories"), life.Text(v.plan.Span))
	if part := v.study.Part; part.Of > 1 {
		text += fmt.Sprintf(", part %s", part)
	}
	if all := v.study.Histories(); v.sum.Histories < all {
		text += fmt.Sprintf("; interrupted, %d were planned", all)
	}
	v.Prose(text)
	if stops, runs := v.study.ControllerStops(); stops.Runs > 0 {
		v.warn(page.CleanLine(stops.Text("of " + page.Count(runs, "run", "runs"))))
	}
}

func (v *lifePage) calendar() {
	p := v.plan
	v.Section("calendar")
	scheduled := p.Scheduled(p.Span)
	v.pairs([][2]string{
		{"production", fmt.Sprintf("%s of %s a day, %s a week: %s h of %s h", page.Count(p.ShiftsPerDay, "shift", "shifts"),
			life.Text(p.Shift), page.Count(p.DaysPerWeek, "day", "days"), page.Figure(scheduled.Hours()), page.Figure(p.Span.Hours()))},
		{"cycles", fmt.Sprintf("one every %s, %.0f in a history", life.Text(p.Cycle), scheduled.Hours()/p.Cycle.Hours())},
		{"idle windows", v.windows()},
		{"proof", "lasts " + life.Text(p.Interval) + v.renewal()},
		{"failed test", "production stops for " + life.Text(p.Service) + " of service, which ends with a test; a brake with insufficient torque is replaced, another one after its second failed test in a row"},
	})
	if p.WindowsPerShift > 0 && !v.study.WindowFits() {
		v.warn(fmt.Sprintf("an idle window of %s is shorter than a test of %s: no test fits into one, and production stops for each",
			life.Text(p.Window), page.Seconds(v.study.Table.LongestTest().Seconds())))
	}
}

// renewal is when a proof is renewed.
func (v *lifePage) renewal() string {
	if !v.study.WindowFits() {
		return "; when it lapses, production stops for a test"
	}
	return "; it is renewed in the last idle window before it lapses, or else production stops for the test"
}

// warn prints a warning.
func (v *lifePage) warn(text string) {
	for i, line := range page.Wrap(v.Plain("warning: "+text), v.Width-4) {
		lead := "    "
		if i == 0 {
			lead = "  ! "
		}
		v.Line(v.Style.Warning.Render(lead + line))
	}
}

func (v *lifePage) windows() string {
	takes := page.Seconds(v.study.Table.LongestTest().Seconds())
	if v.plan.WindowsPerShift == 0 {
		return "none; a test takes " + takes
	}
	return fmt.Sprintf("%d a shift of %s each, the first at its beginning; a test takes %s", v.plan.WindowsPerShift, life.Text(v.plan.Window), takes)
}

func (v *lifePage) brake() {
	r := &v.study.Case.Rig
	d := plant.Derive(r)
	v.Section("brake")
	capacity := fmt.Sprintf("%s N·m; required in the test %s N·m; insufficient below %s of the rated torque",
		page.Figure(d.BrakeCapacityNM), page.Figure(d.RequiredTestNM), share(d.RequiredTestNM/r.Brake.StaticNM))
	if r.Brake2.Exists() {
		capacity += fmt.Sprintf("; second brake %s N·m at the motor shaft, insufficient below %s of that; the axis is exposed while either is insufficient",
			page.Figure(d.Brake2CapacityNM), share(d.RequiredTestNM/d.Brake2CapacityNM))
	}
	v.pairs([][2]string{
		{"capacity", capacity},
		{"emergency stops", v.stops(r)},
		{"power failures", v.outages(r)},
		{"slow decline", v.decline()},
		{"sudden failure", v.failure()},
		{"tests", v.tested()},
	})
	if passed, runs := v.study.Table.SufficientRuns(); passed < runs {
		v.warn(fmt.Sprintf("of %s on brakes with %s of the required torque or more, or as new, %d failed: nuisance failures; the press loads a brake beyond the required torque (maximum at the brake, see holdbench size), or noise looks like a movement (see holdbench run)",
			page.Count(runs, "test", "tests"), share(life.ReserveRatio), runs-passed))
	}
}

// inTheMiddle is where and how fast an axis is stopped.
const inTheMiddle = "at %s mm/s in the middle of the travel, half of them while lowering"

func (v *lifePage) stops(r *plant.Rig) string {
	if v.plan.StopsPerShift == 0 {
		return "none"
	}
	text := fmt.Sprintf("%s a shift "+inTheMiddle, page.Figure(v.plan.StopsPerShift), page.Figure(r.Drive.SpeedMMS))
	if r.Safety.StopTime == 0 {
		text += "; safety.stop_time is 0: drive torque is removed at once"
	} else {
		text += fmt.Sprintf("; SS1: the drive brings the axis to rest, the brakes close %s before the torque is removed after %s", life.Text(r.Safety.BrakeTime), life.Text(r.Safety.StopTime))
	}
	return text + v.slipWork(r, &v.sum.StopWork)
}

func (v *lifePage) outages(r *plant.Rig) string {
	if v.plan.PowerFailuresPerYear == 0 {
		return "none"
	}
	return fmt.Sprintf("%s a year "+inTheMiddle+"; drive torque is gone at once, and the brakes stop the load", page.Figure(v.plan.PowerFailuresPerYear), page.Figure(r.Drive.SpeedMMS)) +
		v.slipWork(r, &v.sum.OutageWork)
}

// slipWork is the work of a kind of stop and what it does to the brake.
func (v *lifePage) slipWork(r *plant.Rig, work *life.Distribution) string {
	mean := page.Round(work.Mean)
	if mean < 1e-3 {
		mean = 0
	}
	switch {
	case work.N == 0:
		return ""
	case mean == 0:
		return "; no slip work"
	case r.Brake2.Exists():
		return fmt.Sprintf("; mean slip work of both brakes %s J", page.Figure(mean))
	}
	return fmt.Sprintf("; mean slip work %s J, wear %s mm in a million stops, temperature rise of the lining %s K",
		page.Figure(mean), page.Figure(page.Round(mean*r.Brake.WearMMPerMJ)), page.Figure(page.Round(mean/r.Brake.HeatCapacity)))
}

func (v *lifePage) decline() string {
	switch p := v.plan; {
	case p.DeclinePerDay > 0:
		return share(p.DeclinePerDay) + " of the rated torque a day, in addition to wear"
	case p.DeclinePerStop > 0:
		return share(p.DeclinePerStop) + " of the rated torque with each emergency stop and power failure, in addition to wear"
	}
	return "wear only"
}

func (v *lifePage) failure() string {
	p := v.plan
	left := fmt.Sprintf(", to %s of the rated torque", share(p.FailureTo[0]))
	if p.FailureTo[1] > p.FailureTo[0] {
		left = fmt.Sprintf(", to between %s and %s of the rated torque", share(p.FailureTo[0]), share(p.FailureTo[1]))
	}
	switch {
	case p.FailureOnce:
		return "one in each history, at any time with equal probability" + left
	case p.FailureEvery > 0:
		return fmt.Sprintf("one in %s on average, at random", life.Text(p.FailureEvery)) + left
	}
	return "none"
}

func (v *lifePage) tested() string {
	l := v.study.Table
	if v.plan.WholeRuns {
		return "each a complete run of rig and sequence with the brake of that moment; for the other intervals drawn from " + v.tableText(l)
	}
	return "each drawn from " + v.tableText(l) + "; a probability below one in that number does not appear; --whole-runs makes each test a complete run"
}

func (v *lifePage) tableText(l *life.LookupTable) string {
	return fmt.Sprintf("%d complete runs: %d brakes from zero to %s of the required torque, %s each, and %d of a new one", l.Runs(), len(l.Entries),
		share(l.NewBrake().Ratio), page.Count(v.plan.RunsPerEntry, "run", "runs"), len(l.NewBrake().Outcomes))
}

// share formats a share in per cent.
func share(x float64) string { return problem.Text("%.3g %%", 100*x) }

// hours formats a time in hours.
func hours(h float64) string {
	if h == 0 {
		return "0 h"
	}
	if math.Abs(h) < 0.001 {
		return problem.Text("%.2g s", h*3600)
	}
	return strconv.FormatFloat(page.Round(h), 'f', -1, 64) + " h"
}

func hoursOf(t time.Duration) string { return hours(t.Hours()) }

func (v *lifePage) tests() {
	s := &v.sum
	v.Section("tests and events: all histories, and mean of one")
	t := page.Table{}
	add := func(name string, n int, note string) {
		t.Add(name, page.PadLeft(strconv.Itoa(n), 9), page.PadLeft(page.Figure(float64(n)/float64(s.Histories)), 8), note)
	}
	add("tests due", s.Due, "by the calendar")
	add("tests done", s.Tests, "including those after a service")
	add("  in an idle window", s.InWindow, "")
	add("  overdue", s.Overdue, "production stopped for the test")
	add("  after a service", s.AfterService, "")
	add("detections", s.Detections, "torque insufficient, no proof")
	if s.Restored > 0 {
		add("restored", s.Restored, "torque insufficient, passed after a run-in")
	}
	add("missed", s.Missed, v.missed())
	add("nuisance failures", s.NuisanceFailures, v.nuisance())
	add("brakes replaced", s.Exchanged, fmt.Sprintf("%d of them with sufficient torque", s.ExchangedInVain))
	add("sudden failures", s.Failures, "some leave sufficient torque")
	add("emergency stops", s.Stops, fmt.Sprintf("%d with insufficient torque", s.StopsInsufficient))
	add("power failures", s.Outages, fmt.Sprintf("%d with insufficient torque", s.OutagesInsufficient))
	add("load drops", s.LoadDrops, v.drops())
	v.Put(t.Text(v.Screen, "  "))
}

// missed is the number of tests, and the interval of the probability.
func (v *lifePage) missed() string {
	n := v.sum.Missed + v.sum.Detections
	i := statistics.Wilson(v.sum.Missed, n, 0.95)
	return fmt.Sprintf("torque insufficient, proof: of %s; probability %s (95 %%, Wilson)", page.Count(n, "such test", "such tests"), page.Between(i.Low, i.High))
}

func (v *lifePage) nuisance() string {
	r := v.sum.NuisanceRatio
	if r.N == 0 {
		return "torque sufficient, no proof"
	}
	return fmt.Sprintf("torque sufficient, no proof: %s to %s of the test torque", share(r.Least), share(r.Max))
}

func (v *lifePage) drops() string {
	if v.sum.LoadDrops == 0 {
		return "in emergency stops and power failures"
	}
	return "to a hard stop or beyond, in emergency stops and power failures"
}

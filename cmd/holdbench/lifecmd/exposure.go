package lifecmd

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/life"
)

func (v *lifePage) exposure() {
	s := &v.sum
	v.Section("exposure: time with an unfit brake until somebody told")
	e := s.Exposure
	if e.N == 0 {
		v.Prose("No brake was ever unfit in these lives" + v.nothingMeans())
		return
	}
	v.pairs([][2]string{
		{"exposures", fmt.Sprintf("%d; %s", e.N, v.toldBy())},
		{"mean", fmt.Sprintf("%s, standard error %s; half the interval is %s", hours(e.Mean), hours(e.MeanError), hoursOf(v.plan.Interval/2))},
		{"median", hours(e.Median)},
		{"95 % below", hours(e.P95)},
		{"longest", hours(e.Max)},
		{"in production", hours(v.sum.InProduction.Mean) + " of the mean"},
		{"lives without", fmt.Sprintf("%d of %d, %s", s.LivesWithout, s.Lives, share(float64(s.LivesWithout)/float64(s.Lives)))},
	})
	if s.Untold > 0 {
		v.warn(fmt.Sprintf("%d of them went on beyond the end of the life, and count as long as they were by then", s.Untold))
	}
	if s.Falls > 0 {
		v.warn(fmt.Sprintf("%d of them ended with a load that no stop could hold: that is no way to be told, and makes exposure look shorter, the more so with a long interval", s.Falls))
	}
	v.Line()
	v.histogram(s.Exposures)
}

func (v *lifePage) nothingMeans() string {
	if v.sum.InVain > 0 {
		return ": tests failed while they still were a little better than the required torque."
	}
	return "."
}

// toldBy is who told of unfit brakes.
func (v *lifePage) toldBy() string {
	by := map[life.Told]int{}
	for _, r := range v.study.Records {
		for _, e := range r.Exposures {
			by[e.By]++
		}
	}
	return fmt.Sprintf("a test told of %d, a load that fell of %d, nobody of %d", by[life.ToldByTest], by[life.ToldByFall], by[life.ToldByNone])
}

// histogramBins is how many bars a distribution has.
const histogramBins = 10

// histogram draws how many exposures are how long, the shares beside it. x is sorted.
func (v *lifePage) histogram(x []float64) {
	bin := niceStep(x[len(x)-1] / histogramBins)
	n := max(1, int(math.Ceil(x[len(x)-1]/bin)))
	counts := make([]int, n)
	for _, h := range x {
		counts[min(n-1, int(h/bin))]++
	}
	most := slices.Max(counts)
	label := func(i int) string { return page.Figure(float64(i)*bin) + " to " + page.Figure(float64(i+1)*bin) + " h" }
	wide := 0
	for i := range counts {
		wide = max(wide, page.Cells(label(i)))
	}
	for i, c := range counts {
		end := fmt.Sprintf("%5d  %5.1f %%", c, 100*float64(c)/float64(len(x)))
		bar := v.Bar(float64(c)/float64(most), max(10, v.Width-wide-page.Cells(end)-6))
		v.Line("  ", page.PadLeft(label(i), wide), "  ", v.Style.Plant.Render(bar), end)
	}
}

// niceStep is the next of 1, 2, 2.5 and 5 times a power of ten that is not below x.
func niceStep(x float64) float64 {
	if x <= 0 {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, step := range []float64{1, 2, 2.5, 5} {
		if x <= step*power*(1+1e-9) {
			return step * power
		}
	}
	return 10 * power
}

// compared is the exposure against the interval.
func (v *lifePage) compared() {
	v.Section("exposure against the interval")
	if len(v.study.Compared) == 0 {
		v.Prose("Not compared.")
		return
	}
	var rows [][]string
	for _, c := range v.study.Compared {
		s := &c.Summary
		h := func(x float64) string { return page.Figure(page.Round(x)) }
		rows = append(rows, []string{
			life.Text(c.Interval), h(c.Interval.Hours() / 2), h(s.Exposure.Mean), h(s.Exposure.P95), strconv.Itoa(s.Exposure.N), h(float64(s.Tests) / float64(s.Lives)),
			h(100 * s.LostToTests.Hours() / max(s.Scheduled.Hours(), 1e-9)), strconv.Itoa(s.StopsUnfit), strconv.Itoa(s.Falls),
		})
	}
	v.grid([]string{"interval", "half, h", "mean, h", "95 %, h", "times", "tests", "lost, %", "stops", "fell"}, rows)
	v.Line()
	v.Prose("The same failures each time. Half the interval is the mean for a failure at random, tests exactly an interval apart and none that misses; nights and days off lengthen it, an idle window before the proof ends shortens it, and so does a load that falls: look at fell before you look at the mean. times: how often a brake was unfit, of all lives; tests: of one life; lost: scheduled time to tests outside of idle windows; stops: emergency stops with an unfit brake, and fell: loads that they did not stop, of all lives.")
}

func (v *lifePage) lost() {
	s := &v.sum
	v.Section("production lost, in the mean of a life")
	var rows [][]string
	for _, part := range []struct {
		name string
		t    time.Duration
	}{
		{"to tests, those in idle windows cost nothing", s.LostToTests},
		{"to false alarms: a failed test, and the brake was fit", s.LostToFalseAlarms},
		{"to repairs: a failed test or a fall, and it was not", s.LostToRepairs},
	} {
		scheduled := "-"
		if s.Scheduled > 0 {
			scheduled = share(part.t.Hours() / s.Scheduled.Hours())
		}
		rows = append(rows, []string{part.name, hours(part.t.Hours() / float64(s.Lives)), scheduled})
	}
	v.grid([]string{"", "time", "of scheduled"}, rows)
}

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
	v.Section("exposure: time with insufficient torque until detected")
	e := s.Exposure
	if e.N == 0 {
		v.Prose("The torque was never insufficient in these histories" + v.nothingMeans())
		return
	}
	v.pairs([][2]string{
		{"exposures", fmt.Sprintf("%d; %s", e.N, v.detectedBy())},
		{"mean", fmt.Sprintf("%s, standard error %s; half the interval is %s", hours(e.Mean), hours(e.MeanError), hoursOf(v.plan.Interval/2))},
		{"median", hours(e.Median)},
		{"95th percentile", hours(e.P95)},
		{"longest", hours(e.Max)},
		{"in production", hours(v.sum.InProduction.Mean) + " of the mean"},
		{"histories without", fmt.Sprintf("%d of %d, %s", s.WithoutExposure, s.Histories, share(float64(s.WithoutExposure)/float64(s.Histories)))},
	})
	if s.Undetected > 0 {
		v.warn(fmt.Sprintf("%d of them continued beyond the end of the history and count up to there", s.Undetected))
	}
	if s.LoadDrops > 0 {
		v.warn(fmt.Sprintf("%d of them ended with a load drop in a stop. That is no acceptable detection, and it makes the exposure look shorter, the more so with a long interval", s.LoadDrops))
	}
	v.Line()
	v.histogram(s.Exposures)
}

func (v *lifePage) nothingMeans() string {
	if v.sum.NuisanceFailures > 0 {
		return ": tests failed while it was still above the requirement."
	}
	return "."
}

// detectedBy counts how exposures ended.
func (v *lifePage) detectedBy() string {
	by := map[life.DetectedBy]int{}
	for _, r := range v.study.Records {
		for _, e := range r.Exposures {
			by[e.By]++
		}
	}
	return fmt.Sprintf("%d detected by a test, %d by a load drop, %d undetected", by[life.DetectedByTest], by[life.DetectedByDrop], by[life.NotDetected])
}

// histogramBins is how many bars a distribution has.
const histogramBins = 10

// histogram draws the distribution of the exposures. x is sorted.
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

// compared shows the exposure over the interval.
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
			life.Text(c.Interval), h(c.Interval.Hours() / 2), h(s.Exposure.Mean), h(s.Exposure.P95), strconv.Itoa(s.Exposure.N), h(float64(s.Tests) / float64(s.Histories)),
			h(100 * s.LostToTests.Hours() / max(s.Scheduled.Hours(), 1e-9)), strconv.Itoa(s.StopsInsufficient + s.OutagesInsufficient), strconv.Itoa(s.LoadDrops),
		})
	}
	v.grid([]string{"interval", "half, h", "mean, h", "95 %, h", "times", "tests", "lost, %", "stops", "drops"}, rows)
	v.Line()
	v.Prose("All intervals see the same failures. Half the interval is the mean if failures are random, tests are exactly one interval apart and none misses. Nights and days off lengthen the exposure; an idle window before the proof lapses shortens it, and so does a load drop: read drops before the mean. times: exposures in all histories; tests: mean of one history; lost: scheduled time spent on tests outside idle windows; stops: emergency stops and power failures with insufficient torque, and drops: load drops in them, both in all histories.")
}

func (v *lifePage) lost() {
	s := &v.sum
	v.Section("lost production, mean of one history")
	var rows [][]string
	for _, part := range []struct {
		name string
		t    time.Duration
	}{
		{"tests outside idle windows", s.LostToTests},
		{"nuisance failures: torque sufficient", s.LostToFalseAlarms},
		{"repairs: torque insufficient", s.LostToRepairs},
	} {
		scheduled := "-"
		if s.Scheduled > 0 {
			scheduled = share(part.t.Hours() / s.Scheduled.Hours())
		}
		rows = append(rows, []string{part.name, hours(part.t.Hours() / float64(s.Histories)), scheduled})
	}
	v.grid([]string{"", "time", "share of scheduled"}, rows)
}

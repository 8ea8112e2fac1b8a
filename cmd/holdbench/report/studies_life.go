package report

import (
	"fmt"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
)

// Life is the output of holdbench life --json.
type Life struct {
	Study
	Values LifeValues
}

// LifeValues are those of its figures that the record shows.
type LifeValues struct {
	Life       string    `json:"life"`
	Sequence   string    `json:"sequence"`
	Seed       uint64    `json:"seed"`
	Histories  int       `json:"histories"`
	Whole      bool      `json:"whole"`
	Plan       LifePlan  `json:"plan"`
	ByInterval []LifeSum `json:"by_interval"`
	ExposuresH []float64 `json:"exposures_h"`
	DropLimit  struct {
		LimitMM float64 `json:"limit_mm"`
	} `json:"drop_limit"`
	Information string    `json:"information"`
	Settings    *[]string `json:"settings"`  // KEY=VALUE beside the documents; nil where the file does not say
	Documents   string    `json:"documents"` // fingerprint of rig and sequence with all values
}

// LifePlan is the production that was simulated.
type LifePlan struct {
	SpanH         float64 `json:"span_h"`
	IntervalH     float64 `json:"interval_h"`
	ShiftsPerDay  int     `json:"shifts_per_day"`
	ShiftH        float64 `json:"shift_h"`
	DaysPerWeek   int     `json:"days_per_week"`
	StopsPerShift float64 `json:"stops_per_shift"`
	PowerFailures float64 `json:"power_failures_per_year"`
}

// LifeSum is the result for one interval of tests.
type LifeSum struct {
	IntervalH        float64 `json:"interval_h"`
	Tests            int     `json:"tests"`
	Overdue          int     `json:"tests_overdue"`
	NuisanceFailures int     `json:"nuisance_failures"`
	Detections       int     `json:"detections"`
	Missed           int     `json:"missed"`
	LoadDrops        int     `json:"load_drops"`
	Undetected       int     `json:"undetected"`
	Stops            int     `json:"stops"`
	Outages          int     `json:"power_failures"`

	DropLimit struct {
		FromRest  LifeDrops `json:"from_rest"`
		FromSpeed LifeDrops `json:"from_speed"`
	} `json:"drop_limit_missed"`

	ExposureH     LifeSpread `json:"exposure_h"`
	InProductionH LifeSpread `json:"exposure_in_production_h"`
}

// LifeDrops are histories with a time in which the brake did not meet the drop limit.
type LifeDrops struct {
	Histories int `json:"histories"`
}

// LifeSpread is a distribution over histories.
type LifeSpread struct {
	N      int     `json:"n"`
	Mean   float64 `json:"mean"`
	Median float64 `json:"median"`
	P95    float64 `json:"p95"`
	Max    float64 `json:"max"`
}

// Check refuses a file of something else.
func (l *Life) Check() error {
	if l.Values.Life == "" || len(l.Values.ByInterval) == 0 {
		return errNotOf("life --json")
	}
	return nil
}

func (l *Life) study() *Study {
	v := &l.Values
	l.what, l.rig, l.sequence = theLife, v.Life, v.Sequence
	l.noSettings = v.Settings == nil
	if v.Settings != nil {
		l.settings = *v.Settings
	}
	l.valued = func(r *Run) bool {
		got, err := r.Ready.ValuesFingerprint()
		return err == nil && got == v.Documents
	}
	return &l.Study
}

func (l *Life) section() *Section {
	v := &l.Values
	s := &Section{Title: "Exposure of " + page.CleanLine(v.Life) + " over months of production", Notes: []string{
		l.source(),
		fmt.Sprintf("%s, seed %d; %s of %s h each: %d shifts a day of %s h, %d days a week, %s stops a shift, %s power failures a year.", page.CleanLine(sequence.Titled(v.Sequence)), v.Seed, page.Count(v.Histories, "simulated history", "simulated histories"),
			page.Figure(v.Plan.SpanH), v.Plan.ShiftsPerDay, page.Figure(v.Plan.ShiftH), v.Plan.DaysPerWeek, page.Figure(v.Plan.StopsPerShift), page.Figure(v.Plan.PowerFailures)),
	}}
	if !v.Whole {
		s.Items = append(s.Items, Cell{Text: "the study was interrupted: the file has what was done until then", Tone: "bad"})
	}
	t := Table{Caption: "tests, by their interval", Columns: heads(">interval, h", ">tests", ">overdue", ">detections", ">missed", ">nuisance failures", ">load drops", ">never detected")}
	e := Table{Caption: "exposure, by the interval of the test", Columns: heads(">interval, h", ">histories with exposure", ">mean, h", ">median, h", ">95 % below, h", ">largest, h", ">mean in production, h")}
	for i := range v.ByInterval {
		b := &v.ByInterval[i]
		interval := page.Figure(b.IntervalH)
		t.add(interval, strconv.Itoa(b.Tests), strconv.Itoa(b.Overdue), strconv.Itoa(b.Detections), strconv.Itoa(b.Missed), strconv.Itoa(b.NuisanceFailures), strconv.Itoa(b.LoadDrops), strconv.Itoa(b.Undetected))
		x := &b.ExposureH
		e.add(interval, strconv.Itoa(x.N), page.Figure(x.Mean), page.Figure(x.Median), page.Figure(x.P95), page.Figure(x.Max), page.Figure(b.InProductionH.Mean))
	}
	e.Notes = []string{"Exposure is the time from the moment at which the torque of the brake became insufficient until it was detected. " + capital(page.CleanLine(v.Information)) + "."}
	s.Tables = []Table{t, e}
	return s
}

package lifecmd

import (
	"math"
	"time"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/life"
)

// lifeObject is a study as one object.
type lifeObject struct {
	Life         string        `json:"life"`
	Sequence     string        `json:"sequence"`
	Seed         uint64        `json:"seed"`
	Histories    int           `json:"histories"`
	Whole        bool          `json:"whole"` // nothing was interrupted
	Plan         planObject    `json:"plan"`
	DropLimit    neededObject  `json:"drop_limit"`
	LookupTable  []entryObject `json:"lookup_table"`
	Stopped      *stopsObject  `json:"controller_stopped,omitempty"` // nil if the controller never stopped by itself
	Sum          sumObject     `json:"sum"`
	ByInterval   []sumObject   `json:"by_interval"`
	Operations   operations    `json:"operations"`
	Information  string        `json:"information"`
	Exposures    []float64     `json:"exposures_h"`
	Trend        []signObject  `json:"trend"`
	Shown        []pointObject `json:"tests_of_history"`
	ShownStops   []stopObject  `json:"stops_of_history"`
	ShownHistory int           `json:"history_shown"`
	Caution      string        `json:"caution"`
	Settings     []string      `json:"settings"`  // KEY=VALUE of rig and sequence, set by flags or by the scenario of --values-of
	Documents    string        `json:"documents"` // fingerprint of rig and sequence with all values
	command.Origin
}

// stopsObject counts the runs in which the controller stopped by itself.
type stopsObject struct {
	sim.StopCount
	Of int `json:"of"` // runs
}

type planObject struct {
	SpanH           float64    `json:"span_h"`
	IntervalH       float64    `json:"interval_h"`
	ShiftsPerDay    int        `json:"shifts_per_day"`
	ShiftH          float64    `json:"shift_h"`
	DaysPerWeek     int        `json:"days_per_week"`
	CycleS          float64    `json:"cycle_s"`
	WindowsPerShift int        `json:"windows_per_shift"`
	WindowS         float64    `json:"window_s"`
	WindowFits      bool       `json:"window_fits"`
	TestS           float64    `json:"test_s"`
	StopsPerShift   float64    `json:"stops_per_shift"`
	PowerFailures   float64    `json:"power_failures_per_year"`
	Accesses        float64    `json:"accesses_per_shift"`
	DeclinePerDay   float64    `json:"decline_per_day"`
	DeclinePerStop  float64    `json:"decline_per_stop"`
	FailureOnce     bool       `json:"failure_once"`
	FailureEveryH   float64    `json:"failure_every_h"`
	FailureTo       [2]float64 `json:"failure_to"`
	ServiceH        float64    `json:"service_h"`
	WholeRuns       bool       `json:"whole_runs"`
	Runs            int        `json:"runs"`
}

type entryObject struct {
	Ratio  float64 `json:"ratio"`
	Passed int     `json:"passed"`
	Of     int     `json:"of"`
}

type spreadObject struct {
	N         int     `json:"n"`
	Mean      float64 `json:"mean"`
	MeanError float64 `json:"mean_error"`
	Median    float64 `json:"median"`
	P95       float64 `json:"p95"`
	Max       float64 `json:"max"`
}

type sumObject struct {
	IntervalH           float64      `json:"interval_h"`
	TestsDue            int          `json:"tests_due"`
	Tests               int          `json:"tests"`
	InWindow            int          `json:"tests_in_window"`
	Overdue             int          `json:"tests_overdue"`
	AfterService        int          `json:"tests_after_service"`
	NuisanceFailures    int          `json:"nuisance_failures"`
	Detections          int          `json:"detections"`
	Missed              int          `json:"missed"`
	Restored            int          `json:"restored"`
	Failures            int          `json:"failures"`
	Stops               int          `json:"stops"`
	StopsInsufficient   int          `json:"stops_insufficient"`
	Outages             int          `json:"power_failures"`
	OutagesInsufficient int          `json:"power_failures_insufficient"`
	LoadDrops           int          `json:"load_drops"`
	Replaced            int          `json:"replaced"`
	SufficientReplaced  int          `json:"sufficient_replaced"`
	Undetected          int          `json:"undetected"`
	WithoutExposure     int          `json:"histories_without_exposure"`
	ExposureH           spreadObject `json:"exposure_h"`
	InProductionH       spreadObject `json:"exposure_in_production_h"`
	DropLimit           dropsObject  `json:"drop_limit_missed"`
	ScheduledH          float64      `json:"scheduled_h"`
	LostToTestsH        float64      `json:"lost_to_tests_h"`
	LostToFalseAlarmsH  float64      `json:"lost_to_nuisance_failures_h"`
	LostToRepairsH      float64      `json:"lost_to_repairs_h"`
	TestsPerDemand      *float64     `json:"tests_per_demand"` // nil without a demand
}

// dropsObject is the time in all histories with a brake that does not meet the drop limit.
type dropsObject struct {
	FromRest  dropObject `json:"from_rest"`
	FromSpeed dropObject `json:"from_speed"`
}

type dropObject struct {
	Times       int     `json:"times"`
	Histories   int     `json:"histories"`
	TimeH       float64 `json:"time_h"`
	ProductionH float64 `json:"production_h"`
}

// neededObject is what the drop limit takes of a new brake, N·m at the motor shaft; nil if no torque
// is enough.
type neededObject struct {
	LimitMM      float64  `json:"limit_mm"`
	SpeedMMS     float64  `json:"speed_mm_s"`
	FromRestNM   *float64 `json:"from_rest_nm"`
	FromSpeedNM  *float64 `json:"from_speed_nm"`
	FromRest2NM  *float64 `json:"from_rest_brake_2_nm,omitempty"`
	FromSpeed2NM *float64 `json:"from_speed_brake_2_nm,omitempty"`
}

type operations struct {
	DaysPerYear float64  `json:"days_per_year"`
	HoursPerDay float64  `json:"hours_per_day"`
	PerYear     float64  `json:"per_year"`
	B10d        *float64 `json:"b10d"` // nil if it was not given
	T10dYears   *float64 `json:"t10d_years"`
	MTTFdYears  *float64 `json:"mttfd_years"` // of the component
	Channel     *float64 `json:"mttfd_channel_years"`
}

type signObject struct {
	Sign          string       `json:"sign"`
	Replaced      int          `json:"replaced"`
	Warned        int          `json:"warned_earlier"`
	AheadH        spreadObject `json:"ahead_h"`
	FalseWarnings int          `json:"false_warnings"`
}

type pointObject struct {
	AtH     float64 `json:"at_h"`
	Fit     bool    `json:"fit"`
	Ratio   float64 `json:"ratio"`
	Passed  bool    `json:"passed"`
	Cause   string  `json:"cause"`
	Judged  bool    `json:"judged"`
	WindUp  float64 `json:"wind_up_deg"`
	SeenDeg float64 `json:"wind_up_read_deg"`
	SlipDeg float64 `json:"slip_deg"`
}

type stopObject struct {
	AtH        float64 `json:"at_h"`
	DistanceMM float64 `json:"distance_mm"`
}

// object is the study as one object for programs.
func (l *session) object() (lifeObject, error) {
	s, p := l.study, &l.study.Plan
	sum := life.Summarise(s.Records)
	page := lifePage{session: l, plan: p, sum: sum}
	shown := page.shown()
	o := lifeObject{
		Life: s.Case.Rig.Rig, Sequence: s.Case.Sequence.Name, Seed: p.Seed, Histories: len(s.Records),
		Whole: len(s.Records) == p.Histories && len(s.Compared) == len(p.Intervals),
		Plan:  l.planObject(), DropLimit: l.neededObject(), Sum: sumOf(p, p.Interval, &sum), Exposures: append([]float64{}, sum.Exposures...),
		ByInterval: []sumObject{}, Operations: l.operations(), ShownHistory: shown.History + 1,
		Information: "for information; no claim of a category or a performance level", Caution: lifeCaution,
		Shown: []pointObject{}, ShownStops: []stopObject{}, Origin: command.NewOrigin(s.Case),
	}
	o.Settings = append([]string{}, command.NewGiven(scenarios.Overrides{Set: s.Case.Scenario.Set}, nil).Settings...)
	var err error
	if o.Documents, err = s.Case.ValuesFingerprint(); err != nil {
		return o, err
	}
	for i := range s.Table.Entries {
		r := &s.Table.Entries[i]
		o.LookupTable = append(o.LookupTable, entryObject{r.Ratio, r.Passed(), len(r.Outcomes)})
	}
	if stops, runs := s.ControllerStops(); stops.Runs > 0 {
		o.Stopped = &stopsObject{stops, runs}
	}
	for i := range s.Compared {
		o.ByInterval = append(o.ByInterval, sumOf(p, s.Compared[i].Interval, &s.Compared[i].Summary))
	}
	for _, sign := range sum.Indicators {
		o.Trend = append(o.Trend, signObject{sign.Indicator.String(), sign.TakenOut, sign.Warned, spreadOf(sign.AheadH), sign.FalseWarnings})
	}
	for _, t := range shown.TestPoints {
		o.Shown = append(o.Shown, pointObject{t.At.Hours(), t.Sufficient, t.Ratio, t.Passed, t.Cause, t.Judged, t.WindUp, t.MeasuredDeg, t.SlipDeg})
	}
	for _, t := range shown.StopPoints {
		o.ShownStops = append(o.ShownStops, stopObject{t.At.Hours(), t.DistanceMM})
	}
	return o, nil
}

func (l *session) planObject() planObject {
	p := &l.study.Plan
	return planObject{
		SpanH: p.Span.Hours(), IntervalH: p.Interval.Hours(), ShiftsPerDay: p.ShiftsPerDay, ShiftH: p.Shift.Hours(),
		DaysPerWeek: p.DaysPerWeek, CycleS: p.Cycle.Seconds(), WindowsPerShift: p.WindowsPerShift, WindowS: p.Window.Seconds(),
		WindowFits: l.study.WindowFits(), TestS: l.study.Table.LongestTest().Seconds(), StopsPerShift: p.StopsPerShift, PowerFailures: p.PowerFailuresPerYear, Accesses: p.AccessesPerShift,
		DeclinePerDay: p.DeclinePerDay, DeclinePerStop: p.DeclinePerStop, FailureOnce: p.FailureOnce,
		FailureEveryH: p.FailureEvery.Hours(), FailureTo: p.FailureTo, ServiceH: p.Service.Hours(), WholeRuns: p.WholeRuns, Runs: p.RunsPerEntry,
	}
}

func (l *session) neededObject() neededObject {
	d, r := l.study.Drops, &l.study.Case.Rig
	needed := func(second bool, from life.Falling) *float64 {
		if nm := d.NewBrakeNM(second, from); !math.IsInf(nm, 1) {
			return &nm
		}
		return nil
	}
	o := neededObject{
		LimitMM: r.Test.DropLimitMM, SpeedMMS: d.SpeedMMS(life.FromSpeed),
		FromRestNM: needed(false, life.FromRest), FromSpeedNM: needed(false, life.FromSpeed),
	}
	if r.Brake2.Exists() {
		o.FromRest2NM, o.FromSpeed2NM = needed(true, life.FromRest), needed(true, life.FromSpeed)
	}
	return o
}

func dropOf(s life.DropSummary) dropObject {
	return dropObject{Times: s.Times, Histories: s.Histories, TimeH: s.Time.Hours(), ProductionH: s.Production.Hours()}
}

func (l *session) operations() operations {
	o := l.study.Plan.Operations(l.b10d)
	out := operations{DaysPerYear: o.DaysPerYear, HoursPerDay: o.HoursPerDay, PerYear: o.PerYear()}
	if l.b10d > 0 {
		t10d, mttfd, channel := o.T10dYears(), o.MTTFdYears(), o.ChannelMTTFdYears()
		out.B10d, out.T10dYears, out.MTTFdYears, out.Channel = &l.b10d, &t10d, &mttfd, &channel
	}
	return out
}

func spreadOf(s life.Distribution) spreadObject {
	return spreadObject{s.N, s.Mean, s.MeanError, s.Median, s.P95, s.Max}
}

func sumOf(p *life.Plan, interval time.Duration, s *life.Summary) sumObject {
	o := sumObject{
		IntervalH: interval.Hours(), TestsDue: s.Due, Tests: s.Tests, InWindow: s.InWindow, Overdue: s.Overdue, AfterService: s.AfterService,
		NuisanceFailures: s.NuisanceFailures, Detections: s.Detections, Missed: s.Missed, Restored: s.Restored, Failures: s.Failures, Stops: s.Stops, StopsInsufficient: s.StopsInsufficient,
		Outages: s.Outages, OutagesInsufficient: s.OutagesInsufficient, LoadDrops: s.LoadDrops, Replaced: s.Exchanged, SufficientReplaced: s.ExchangedInVain, Undetected: s.Undetected, WithoutExposure: s.WithoutExposure,
		DropLimit: dropsObject{dropOf(s.Drops[life.FromRest]), dropOf(s.Drops[life.FromSpeed])},
		ExposureH: spreadOf(s.Exposure), InProductionH: spreadOf(s.InProduction), ScheduledH: s.Scheduled.Hours(),
		LostToTestsH: s.LostToTests.Hours(), LostToFalseAlarmsH: s.LostToFalseAlarms.Hours(), LostToRepairsH: s.LostToRepairs.Hours(),
	}
	if ratio := p.TestsPerDemand(s); !math.IsNaN(ratio) {
		o.TestsPerDemand = &ratio
	}
	return o
}

// JSON is what life --json prints, for its schema.
func JSON() any { return lifeObject{} }

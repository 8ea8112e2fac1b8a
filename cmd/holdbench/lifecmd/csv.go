package lifecmd

import (
	"encoding/csv"
	"errors"
	"io"
	"strconv"

	"holdbench/sim/csvcell"
	"holdbench/sim/life"
)

// lifeColumn is one column of the table of histories.
type lifeColumn struct {
	name string
	text func(*life.Record) string
}

func lifeColumns() []lifeColumn {
	whole := func(of func(*life.Record) int) func(*life.Record) string {
		return func(r *life.Record) string { return strconv.Itoa(of(r)) }
	}
	number := func(of func(*life.Record) float64) func(*life.Record) string {
		return func(r *life.Record) string { return csvNumber(of(r)) }
	}
	return []lifeColumn{
		{"history", whole(func(r *life.Record) int { return r.History + 1 })},
		{"scheduled_h", number(func(r *life.Record) float64 { return r.Scheduled.Hours() })},
		{"tests_due", whole((*life.Record).Due)},
		{"tests", whole(func(r *life.Record) int { return r.Tests })},
		{"tests_in_window", whole(func(r *life.Record) int { return r.InWindow })},
		{"tests_overdue", whole(func(r *life.Record) int { return r.Overdue })},
		{"tests_after_service", whole(func(r *life.Record) int { return r.AfterService })},
		{"nuisance_failures", whole(func(r *life.Record) int { return r.NuisanceFailures })},
		{"detections", whole(func(r *life.Record) int { return r.Detections })},
		{"missed", whole(func(r *life.Record) int { return r.Missed })},
		{"restored", whole(func(r *life.Record) int { return r.Restored })},
		{"failures", whole(func(r *life.Record) int { return r.Failures })},
		{"stops", whole(func(r *life.Record) int { return r.Stops })},
		{"stops_insufficient", whole(func(r *life.Record) int { return r.StopsInsufficient })},
		{"power_failures", whole(func(r *life.Record) int { return r.Outages })},
		{"power_failures_insufficient", whole(func(r *life.Record) int { return r.OutagesInsufficient })},
		{"load_drops", whole(func(r *life.Record) int { return r.LoadDrops })},
		{"replaced", whole(func(r *life.Record) int { return r.Exchanged })},
		{"exposures", whole(func(r *life.Record) int { return len(r.Exposures) })},
		{"exposure_h", number(exposed)},
		{"drop_limit_missed_rest_h", number(func(r *life.Record) float64 { return r.Drops[life.FromRest].Time.Hours() })},
		{"drop_limit_missed_speed_h", number(func(r *life.Record) float64 { return r.Drops[life.FromSpeed].Time.Hours() })},
		{"lost_to_tests_h", number(func(r *life.Record) float64 { return r.LostToTests.Hours() })},
		{"lost_to_nuisance_failures_h", number(func(r *life.Record) float64 { return r.LostToFalseAlarms.Hours() })},
		{"lost_to_repairs_h", number(func(r *life.Record) float64 { return r.LostToRepairs.Hours() })},
		{"stop_work_j", number(func(r *life.Record) float64 { return r.StopWorkJ })},
		{"power_failure_work_j", number(func(r *life.Record) float64 { return r.OutageWorkJ })},
		{"end_condition", number(func(r *life.Record) float64 { return r.Brake.Condition })},
		{"end_gap_mm", number(func(r *life.Record) float64 { return r.Brake.GapMM })},
		{"end_condition_2", number(func(r *life.Record) float64 { return r.Brake.Second.Condition })},
		{"end_gap_2_mm", number(func(r *life.Record) float64 { return r.Brake.Second.GapMM })},
	}
}

// exposed is the total exposure of a history, h.
func exposed(r *life.Record) float64 {
	sum := 0.0
	for _, e := range r.Exposures {
		sum += e.Length().Hours()
	}
	return sum
}

func csvNumber(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// writeHistories writes one row a history.
func writeHistories(w io.Writer, records []life.Record) error {
	columns := lifeColumns()
	row := make([]string, len(columns))
	for i, c := range columns {
		row[i] = c.name
	}
	out := csv.NewWriter(w)
	err := out.Write(csvcell.Row(row))
	for n := range records {
		for i, c := range columns {
			row[i] = c.text(&records[n])
		}
		err = errors.Join(err, out.Write(csvcell.Row(row)))
	}
	out.Flush()
	return errors.Join(err, out.Error())
}

// writeTests writes one row a test.
func writeTests(w io.Writer, records []life.Record) error {
	out := csv.NewWriter(w)
	err := out.Write([]string{"history", "at_h", "fit", "ratio", "passed", "cause", "duration_s", "wind_up_deg", "wind_up_read_deg", "slip_deg", "slip_work_j"})
	for n := range records {
		for _, p := range records[n].TestPoints {
			windUp, seen, slip := csvNumber(p.WindUp), csvNumber(p.MeasuredDeg), csvNumber(p.SlipDeg)
			if !p.Judged {
				windUp, seen, slip = "", "", "" // the judge was never asked
			}
			err = errors.Join(err, out.Write(csvcell.Row([]string{
				strconv.Itoa(records[n].History + 1), csvNumber(p.At.Hours()), strconv.FormatBool(p.Sufficient), csvNumber(p.Ratio),
				strconv.FormatBool(p.Passed), p.Cause, csvNumber(p.Duration.Seconds()), windUp, seen, slip, csvNumber(p.WorkJ),
			})))
		}
	}
	out.Flush()
	return errors.Join(err, out.Error())
}

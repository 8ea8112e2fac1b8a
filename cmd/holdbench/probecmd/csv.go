package probecmd

import (
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"strings"

	"holdbench/sim/csvcell"
	"holdbench/sim/probe"
)

// csvColumn is one column of the cells' table.
type csvColumn struct {
	name string
	text func(*probe.Outcome) string
}

func csvColumns(p *plan) []csvColumn {
	number := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	return []csvColumn{
		{"fault", func(o *probe.Outcome) string { return o.Fault }},
		{"group", func(o *probe.Outcome) string { return o.Group }},
		{"severity", func(o *probe.Outcome) string { return o.Severity }},
		{"number", func(o *probe.Outcome) string {
			if o.Severity == "" {
				return ""
			}
			return number(o.Number)
		}},
		{"with", func(o *probe.Outcome) string { return o.With }},
		{"state", func(o *probe.Outcome) string { return o.State }},
		{"moment", func(o *probe.Outcome) string { return o.Moment }},
		{"after_s", func(o *probe.Outcome) string { return number(o.AfterS) }},
		{"route", func(o *probe.Outcome) string { return strings.Join(o.Route, " ") }},
		{"spec", func(o *probe.Outcome) string { return o.Spec }},
		{"kind", func(o *probe.Outcome) string { return string(o.Kind) }},
		{"late", func(o *probe.Outcome) string { return strconv.FormatBool(o.Late) }},
		{"never", func(o *probe.Outcome) string { return strconv.FormatBool(o.NeverCame) }},
		{"not_preventable", func(o *probe.Outcome) string { return strconv.FormatBool(o.Unpreventable) }},
		{"accepted", func(o *probe.Outcome) string { return o.Accepted }},
		{"end", func(o *probe.Outcome) string { return o.End }},
		{"ended_in", func(o *probe.Outcome) string { return o.EndedIn }},
		{"verdict", func(o *probe.Outcome) string { return o.Verdict }},
		{"cause", func(o *probe.Outcome) string { return o.Cause }},
		{"class", func(o *probe.Outcome) string { return string(o.Class) }},
		{"broken", func(o *probe.Outcome) string { return strings.Join(o.Broken, " ") }},
		{"load_drop_mm", func(o *probe.Outcome) string { return number(o.LoadDropMM) }},
		{"duration_s", func(o *probe.Outcome) string { return number(o.DurationS) }},
		{"sign_s", func(o *probe.Outcome) string {
			if o.FirstSignS == nil {
				return ""
			}
			return number(*o.FirstSignS)
		}},
		{"controller_stopped", func(o *probe.Outcome) string {
			if o.ControllerStopped == nil {
				return ""
			}
			return o.ControllerStopped.String()
		}},
		{"command", func(o *probe.Outcome) string { return p.commandLine(&o.Cell) }},
	}
}

// writeCSV writes a line a cell.
func writeCSV(w io.Writer, r *report) error {
	columns := csvColumns(r.plan)
	out := csv.NewWriter(w)
	row := make([]string, len(columns))
	for i, c := range columns {
		row[i] = c.name
	}
	err := out.Write(csvcell.Row(row))
	for n := range r.found.Outcomes {
		for i, c := range columns {
			row[i] = c.text(&r.found.Outcomes[n])
		}
		err = errors.Join(err, out.Write(csvcell.Row(row)))
	}
	out.Flush()
	return errors.Join(err, out.Error())
}

package main

import (
	"errors"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/columns"
	"holdbench/sim/sweep"
)

// sweepFiles are the files that a sweep writes: the table as runs come, the plot at the end.
type sweepFiles struct {
	head                *sweep.Head
	table, plot, alarms *target
	rows                columns.Writer
}

// open opens what was asked for, so that what cannot be used is found early.
func (f *sweepOutputs) open(a *app, head *sweep.Head) (*sweepFiles, error) {
	files := &sweepFiles{head: head}
	var err error
	if f.table != "" {
		if files.table, err = openTarget(f.table, a.stdout); err != nil {
			return files, err
		}
		begin := columns.CSV
		if strings.EqualFold(filepath.Ext(f.table), ".parquet") {
			begin = columns.Parquet
		}
		if files.rows, err = begin(files.table, sweepColumns(head)); err != nil {
			return files, cannotWrite(f.table, err)
		}
	}
	if f.plot != "" {
		if files.plot, err = openTarget(f.plot, a.stdout); err != nil {
			return files, err
		}
	}
	if f.plotAlarms != "" {
		files.alarms, err = openTarget(f.plotAlarms, a.stdout)
	}
	return files, err
}

// abandon leaves the files as they were.
func (f *sweepFiles) abandon() {
	if f == nil {
		return
	}
	for _, t := range []*target{f.table, f.plot, f.alarms} {
		if t != nil {
			t.abandon()
		}
	}
}

// sweepColumns are the columns of the table: what a run is, what it drew, what came of it.
func sweepColumns(head *sweep.Head) []columns.Column {
	list := []columns.Column{{Name: "run", Kind: columns.Count}, {Name: "cell", Kind: columns.Count}, {Name: "seed", Kind: columns.Count}}
	for i, key := range head.Columns {
		kind := columns.Word
		if head.Numeric[i] {
			kind = columns.Number
		}
		list = append(list, columns.Column{Name: key, Kind: kind})
	}
	for _, name := range []string{"class", "end", "ended_in", "verdict", "cause"} {
		list = append(list, columns.Column{Name: name, Kind: columns.Word})
	}
	for _, name := range []string{"weight", "capacity_nm", "required_nm", "ratio", "load_drop_mm", "slip_deg", "duration_s"} {
		list = append(list, columns.Column{Name: name, Kind: columns.Number})
	}
	return append(list, columns.Column{Name: "broken", Kind: columns.Count})
}

// row adds a run to the table.
func (f *sweepFiles) row(r *sweep.Record) error {
	if f.rows == nil {
		return nil
	}
	row := []any{int64(r.Run), int64(r.Cell), int64(r.Seed)}
	for i, text := range r.Values {
		if f.head.Numeric[i] {
			row = append(row, numberOf(text))
			continue
		}
		row = append(row, text)
	}
	row = append(row, r.Class, r.End, r.EndedIn, r.Verdict, r.Cause,
		r.Weight, r.CapacityNM, r.RequiredNM, r.Ratio(), r.LoadDropMM, r.SlipDeg, r.DurationS, int64(r.Broken))
	if err := f.rows.Row(row...); err != nil {
		return cannotWrite(f.table.path, err)
	}
	return nil
}

// numberOf is a setting as a number, a duration in s.
func numberOf(text string) float64 {
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return x
	}
	if d, err := time.ParseDuration(text); err == nil {
		return d.Seconds()
	}
	return math.NaN()
}

// finish puts the files in their places.
func (f *sweepFiles) finish(s *sweep.Summary) error {
	var errs []error
	if f.rows != nil {
		if err := f.rows.Close(); err != nil {
			f.table.abandon()
			errs = append(errs, cannotWrite(f.table.path, err))
		} else {
			errs = append(errs, f.table.close())
		}
	}
	if f.plot != nil {
		errs = append(errs, draw(f.plot, picture(s)))
	}
	if f.alarms != nil {
		errs = append(errs, draw(f.alarms, alarmMap(s)))
	}
	return errors.Join(errs...)
}

// drawn is a picture that can be written either way.
type drawn interface {
	SVG(w io.Writer) error
	PNG(w io.Writer) error
}

// draw writes a picture, as the ending says, and puts the file in its place.
func draw(to *target, what drawn) error {
	write := what.SVG
	if strings.EqualFold(filepath.Ext(to.path), ".png") {
		write = what.PNG
	}
	if err := write(to); err != nil {
		to.abandon()
		return cannotWrite(to.path, err)
	}
	return to.close()
}

// picture is the curve, or the map.
func picture(s *sweep.Summary) drawn {
	if len(s.Map) > 0 {
		return missedMap(s)
	}
	return sweepChart(s)
}

// show writes the files and what goes to standard output.
func (f *sweepOutputs) show(a *app, s *sweep.Summary, files *sweepFiles) error {
	fileErr := files.finish(s)
	if f.onStdout() {
		return fileErr
	}
	return errors.Join(fileErr, a.printed(func(w io.Writer) error {
		if f.json {
			return writeJSON(w, s)
		}
		_, err := io.WriteString(w, (&sweepPage{sheet: sheet{screen: a.screen(f.ascii)}, sum: s}).text())
		return err
	}))
}

// sweepChart is the operating curve: what was counted, with its intervals, and the fit.
func sweepChart(s *sweep.Summary) *chart.Chart {
	c := &chart.Chart{
		Title: "chance of a proof, " + cleanLine(s.Sweep) + " on " + cleanLine(s.Rig),
		X:     "true capacity of the brake / required test torque", Y: "chance of a proof", HighY: 1,
		Marks: []chart.Mark{{X: 1, Name: "required"}},
	}
	counted := chart.Series{Name: "counted, with " + strconv.FormatFloat(100*s.Confidence, 'g', 4, 64) + " % interval"}
	for _, p := range s.Curve {
		counted.Points = append(counted.Points, chart.Point{X: p.Mean, Y: p.Rate.Rate, Low: p.Low, High: p.High})
	}
	c.Series = []chart.Series{counted}
	if s.Fit != nil && len(s.Curve) > 0 {
		const steps = 200
		line := chart.Series{Name: "fitted", Line: true}
		from, to := s.Curve[0].From, s.Curve[len(s.Curve)-1].To
		for i := range steps + 1 {
			x := from + (to-from)*float64(i)/steps
			line.Points = append(line.Points, chart.Point{X: x, Y: s.Fit.Chance(x)})
		}
		c.Series = append(c.Series, line)
	}
	return c
}

// missedMap is how many brakes that are not fit are missed, by window and dwell.
func missedMap(s *sweep.Summary) *chart.Heat {
	return rateMap(s, "brakes that are not fit and get a proof", func(c *sweep.Cell) sweep.Rate { return c.Missed })
}

// alarmMap is how many fit ones are refused.
func alarmMap(s *sweep.Summary) *chart.Heat {
	return rateMap(s, "fit brakes that get no proof", func(c *sweep.Cell) sweep.Rate { return c.FalseAlarm })
}

func rateMap(s *sweep.Summary, title string, rate func(*sweep.Cell) sweep.Rate) *chart.Heat {
	h := &chart.Heat{Title: title + ", " + cleanLine(s.Sweep) + " on " + cleanLine(s.Rig), X: "dwell, s", Y: "window, deg", Unit: "%"}
	for _, d := range s.DwellsS {
		h.Columns = append(h.Columns, figure(d))
	}
	for i, w := range s.WindowsDeg {
		h.Rows = append(h.Rows, figure(w))
		var row []float64
		for j := range s.DwellsS {
			r := rate(&s.Map[i*len(s.DwellsS)+j])
			if r.Of == 0 {
				row = append(row, math.NaN())
				continue
			}
			row = append(row, 100*r.Rate)
		}
		h.Cells = append(h.Cells, row)
	}
	return h
}

package sweepcmd

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
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/sweep"
)

// sweepFiles are the files that a sweep writes: the table as runs come, the plot at the end.
type sweepFiles struct {
	head                *sweep.Head
	table, plot, alarms *files.Target
	rows                columns.Writer
}

// open opens the files, so that one that cannot be used is found early.
func (f *sweepOutputs) open(a *command.App, head *sweep.Head) (*sweepFiles, error) {
	opened := &sweepFiles{head: head}
	var err error
	if f.table != "" {
		if opened.table, err = files.Create(f.table, a.Stdout); err != nil {
			return opened, err
		}
		begin := columns.CSV
		if strings.EqualFold(filepath.Ext(f.table), ".parquet") {
			begin = columns.Parquet
		}
		if opened.rows, err = begin(opened.table, sweepColumns(head)); err != nil {
			return opened, files.CannotWrite(f.table, err)
		}
	}
	if f.plot != "" {
		if opened.plot, err = files.Create(f.plot, a.Stdout); err != nil {
			return opened, err
		}
	}
	if f.plotAlarms != "" {
		opened.alarms, err = files.Create(f.plotAlarms, a.Stdout)
	}
	return opened, err
}

// abandon leaves the files as they were.
func (f *sweepFiles) abandon() {
	if f == nil {
		return
	}
	for _, t := range []*files.Target{f.table, f.plot, f.alarms} {
		if t != nil {
			t.Abandon()
		}
	}
}

// sweepColumns are the columns of the table: the run, its draws, its result.
func sweepColumns(head *sweep.Head) []columns.Column {
	list := []columns.Column{{Name: "run", Kind: columns.Count}, {Name: "cell", Kind: columns.Count}, {Name: "seed", Kind: columns.Count}}
	for i, key := range head.Columns {
		kind := columns.Word
		if head.Numeric[i] {
			kind = columns.Number
		}
		list = append(list, columns.Column{Name: key, Kind: kind})
	}
	for _, name := range []string{"class", "end", "ended_in", "verdict", "cause", "refused_for"} {
		list = append(list, columns.Column{Name: name, Kind: columns.Word})
	}
	for _, name := range []string{"weight", "capacity_nm", "required_nm", "ratio", "load_drop_mm", "slip_deg", "duration_s"} {
		list = append(list, columns.Column{Name: name, Kind: columns.Number})
	}
	return append(list, columns.Column{Name: "broken", Kind: columns.Count}, columns.Column{Name: "controller_stopped", Kind: columns.Word})
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
	row = append(row, r.Class, r.End, r.EndedIn, r.Verdict, r.Cause, string(r.Refused),
		r.Weight, r.CapacityNM, r.RequiredNM, r.Ratio(), r.LoadDropMM, r.SlipDeg, r.DurationS, int64(r.Broken), stopText(r))
	if err := f.rows.Row(row...); err != nil {
		return files.CannotWrite(f.table.Path, err)
	}
	return nil
}

// stopText is where the controller stopped by itself; empty if it did not.
func stopText(r *sweep.Record) string {
	if r.ControllerStopped == nil {
		return ""
	}
	return r.ControllerStopped.String()
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
			f.table.Abandon()
			errs = append(errs, files.CannotWrite(f.table.Path, err))
		} else {
			errs = append(errs, f.table.Close())
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

// drawn is a picture that can be written in both formats.
type drawn interface {
	SVG(w io.Writer) error
	PNG(w io.Writer) error
}

// draw writes a picture in the format of its ending, and puts the file in its place.
func draw(to *files.Target, what drawn) error {
	write := what.SVG
	if strings.EqualFold(filepath.Ext(to.Path), ".png") {
		write = what.PNG
	}
	if err := write(to); err != nil {
		to.Abandon()
		return files.CannotWrite(to.Path, err)
	}
	return to.Close()
}

// picture is the curve, or the map.
func picture(s *sweep.Summary) drawn {
	if len(s.Map) > 0 {
		return missedMap(s)
	}
	return withBand(sweepChart(s), s)
}

// withBand adds the band of a curve without a shape, which would hide the counts in a text.
func withBand(c *chart.Chart, s *sweep.Summary) *chart.Chart {
	if s.Fit == nil || s.Fit.Normal != nil {
		return c
	}
	level := strconv.FormatFloat(100*s.Confidence, 'g', 4, 64) + " % band"
	lower, upper := chart.Series{Name: "lower end of the " + level, Line: true}, chart.Series{Name: "upper end of the " + level, Line: true}
	for _, p := range c.Series[len(c.Series)-1].Points {
		if low, high, ok := s.Fit.Band(p.X, s.Confidence); ok {
			lower.Points = append(lower.Points, chart.Point{X: p.X, Y: low})
			upper.Points = append(upper.Points, chart.Point{X: p.X, Y: high})
		}
	}
	c.Series = append(c.Series, lower, upper)
	return c
}

// show writes the files and what goes to standard output.
func (f *sweepOutputs) show(a *command.App, s *sweep.Summary, opened *sweepFiles) error {
	fileErr := opened.finish(s)
	if f.onStdout() {
		return fileErr
	}
	return errors.Join(fileErr, a.Printed(func(w io.Writer) error {
		if f.json {
			return files.WriteJSON(w, newObject(s))
		}
		_, err := io.WriteString(w, (&sweepPage{Sheet: page.NewSheet(a.Screen(f.ascii)), sum: s}).text())
		return err
	}))
}

// sweepChart is the operating characteristic: the counts with their intervals, and the fit.
func sweepChart(s *sweep.Summary) *chart.Chart {
	c := &chart.Chart{
		Title: "probability of a proof, " + page.CleanLine(s.Sweep) + " on " + page.CleanLine(s.Rig),
		X:     "true capacity of the brake / required test torque", Y: "probability of a proof", HighY: 1,
		Marks: []chart.Mark{{X: 1, Name: "required"}},
	}
	counted := chart.Series{Name: "counted, with " + strconv.FormatFloat(100*s.Confidence, 'g', 4, 64) + " % interval"}
	if n := s.Apart.Count; n > 0 {
		counted.Name += ", without " + page.Count(n, "run", "runs") + " that ended for another cause"
	}
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
			line.Points = append(line.Points, chart.Point{X: x, Y: s.Fit.Probability(x)})
		}
		c.Series = append(c.Series, line)
	}
	return c
}

// missedMap is the rate of missed brakes, by window and dwell.
func missedMap(s *sweep.Summary) *chart.Heat {
	return rateMap(s, "release with insufficient torque", func(c *sweep.Cell) sweep.Rate { return c.Missed })
}

// alarmMap is the rate of false alarms.
func alarmMap(s *sweep.Summary) *chart.Heat {
	return rateMap(s, "no release with sufficient torque", func(c *sweep.Cell) sweep.Rate { return c.FalseAlarm })
}

func rateMap(s *sweep.Summary, title string, rate func(*sweep.Cell) sweep.Rate) *chart.Heat {
	h := &chart.Heat{Title: title + ", " + page.CleanLine(s.Sweep) + " on " + page.CleanLine(s.Rig), X: "dwell, s", Y: "window, deg", Unit: "%"}
	for _, d := range s.DwellsS {
		h.Columns = append(h.Columns, page.Figure(d))
	}
	for i, w := range s.WindowsDeg {
		h.Rows = append(h.Rows, page.Figure(w))
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

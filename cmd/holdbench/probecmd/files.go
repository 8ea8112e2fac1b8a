package probecmd

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/probe"
)

// probeFile is a file that is written when the probe is done.
type probeFile struct {
	to    *files.Target
	write func(io.Writer, *probing) error
}

// open opens every file before anything runs, so that one that cannot be used is found
// early.
func (p *probing) open() error {
	f := p.flags
	if f.baseline != "" {
		b, err := readBaseline(f.baseline)
		if err != nil {
			return err
		}
		if b.head.Pairs != f.pairs {
			return fmt.Errorf("--baseline %s tries %s at once where this probe tries %s; must be a probe of the same kind",
				f.baseline, atOnce(b.head.Pairs), atOnce(f.pairs))
		}
		p.baseline = b
	}
	for _, wanted := range []struct {
		path  string
		write func(io.Writer, *probing) error
	}{{f.csv, writeProbeCSV}, {f.html, writeProbeHTML}} {
		if wanted.path == "" {
			continue
		}
		to, err := files.Create(wanted.path, p.app.Stdout)
		if err != nil {
			return err
		}
		p.files = append(p.files, probeFile{to, wanted.write})
	}
	if f.keep == "" {
		return nil
	}
	var err error
	p.journal, p.options.Earlier, err = openProbeJournal(f.keep, p.head, f.anew)
	return err
}

// abandon leaves the files as they were.
func (p *probing) abandon() {
	for _, f := range p.files {
		f.to.Abandon()
	}
}

// writeFiles writes what was found and puts the files in their places.
func (p *probing) writeFiles() error {
	var errs []error
	for _, f := range p.files {
		if err := f.write(f.to, p); err != nil {
			f.to.Abandon()
			errs = append(errs, files.CannotWrite(f.to.Path, err))
			continue
		}
		errs = append(errs, f.to.Close())
	}
	return errors.Join(errs...)
}

// csvColumn is one column of the cells' table.
type csvColumn struct {
	name string
	text func(*probe.Outcome) string
}

func csvColumns(again *command.Rerun) []csvColumn {
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
		{"helpless", func(o *probe.Outcome) string { return strconv.FormatBool(o.Unpreventable) }},
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
		{"command", func(o *probe.Outcome) string { return commandLine(again, &o.Cell) }},
	}
}

// writeProbeCSV writes a line a cell.
func writeProbeCSV(w io.Writer, p *probing) error {
	columns := csvColumns(p.again)
	out := csv.NewWriter(w)
	row := make([]string, len(columns))
	for i, c := range columns {
		row[i] = c.name
	}
	err := out.Write(row)
	for n := range p.found.Outcomes {
		for i, c := range columns {
			row[i] = c.text(&p.found.Outcomes[n])
		}
		err = errors.Join(err, out.Write(row))
	}
	out.Flush()
	return errors.Join(err, out.Error())
}

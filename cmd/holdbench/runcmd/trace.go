package runcmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/columns"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sequence"
	"holdbench/sim"
)

// traceFormat is a form of a trace, chosen by the ending of its file.
type traceFormat struct {
	ending string
	begin  func(out io.Writer, ready *sim.Case) (traceWriter, error)
}

// traceWriter is a tracer with an end.
type traceWriter interface {
	sim.Tracer
	Close() error
}

// traceFormats lists the forms of a trace; a stream gets the first.
func traceFormats() []traceFormat {
	return []traceFormat{{".csv", beginCSV}, {".vcd", beginVCD}, {".parquet", beginParquet}}
}

// traceEndings are the endings of a trace's file.
func traceEndings() []string {
	var list []string
	for _, f := range traceFormats() {
		list = append(list, f.ending)
	}
	return list
}

// formatOf is the form of a path; false without an ending that stands for one.
func formatOf(path string) (traceFormat, bool) {
	list := traceFormats()
	if files.IsDevice(path) {
		return list[0], true
	}
	i := slices.IndexFunc(list, func(f traceFormat) bool { return strings.EqualFold(filepath.Ext(path), f.ending) })
	if i < 0 {
		return traceFormat{}, false
	}
	return list[i], true
}

// outputs are the files of a run.
type outputs struct{ trace, plot *files.Target }

// openOutputs opens the files before the run, so that one that cannot be used is found early.
func openOutputs(a *command.App, f *runFlags) (*outputs, error) {
	o := &outputs{}
	for _, file := range []struct {
		path string
		to   **files.Target
	}{{f.trace, &o.trace}, {f.plot, &o.plot}} {
		if file.path == "" {
			continue
		}
		var err error
		if *file.to, err = files.Create(file.path, a.Stdout); err != nil {
			o.abandon()
			return nil, err
		}
	}
	return o, nil
}

// abandon leaves the files as they were.
func (o *outputs) abandon() {
	for _, t := range []*files.Target{o.trace, o.plot} {
		if t != nil {
			t.Abandon()
		}
	}
}

// runCase runs a case, records what strips and plot need where they are drawn, fills what it is compared with and
// writes the trace, if there is one.
func (o *outputs) runCase(ctx context.Context, ready *sim.Case, compared *against, drawn bool) (*sim.Result, *traceBuffer, error) {
	buffer := &traceBuffer{}
	defer buffer.finish()
	var recorder sim.Tracer
	if drawn {
		recorder = buffer
	}
	if compared != nil {
		recorder = joined(recorder, compared)
	}
	if o.trace == nil {
		result, err := sim.RunUntil(ctx, ready, recorder)
		return result, buffer, err
	}
	result, err := o.traced(ctx, ready, recorder)
	switch {
	case errors.Is(err, context.Canceled):
		return nil, nil, fmt.Errorf("no trace in %s: %w", o.trace.Path, err)
	case err != nil:
		return nil, nil, files.CannotWrite(o.trace.Path, err)
	}
	written := o.trace
	o.trace = nil // it is in its place, or gone
	return result, buffer, written.Close()
}

func (o *outputs) traced(ctx context.Context, ready *sim.Case, recorder sim.Tracer) (*sim.Result, error) {
	format, ok := formatOf(o.trace.Path)
	if !ok {
		return nil, fmt.Errorf("it ends in %q; must end in %s", filepath.Ext(o.trace.Path), strings.Join(traceEndings(), ", "))
	}
	trace, err := format.begin(o.trace, ready)
	if err != nil {
		return nil, err
	}
	result, err := sim.RunUntil(ctx, ready, joined(recorder, trace))
	if err != nil {
		return nil, err
	}
	return result, trace.Close()
}

// joined combines two tracers, of which the first may be nil.
func joined(first, second sim.Tracer) sim.Tracer {
	if first == nil {
		return second
	}
	return both{first, second}
}

// both combines two tracers.
type both struct{ first, second sim.Tracer }

// Row passes the row to both.
func (b both) Row(r *sim.Row) error { return errors.Join(b.first.Row(r), b.second.Row(r)) }

// csvTrace is a trace of comma-separated values, which has nothing at its end.
type csvTrace struct{ sim.Tracer }

func (csvTrace) Close() error { return nil }

func beginCSV(out io.Writer, ready *sim.Case) (traceWriter, error) {
	trace, err := sim.NewCSVTrace(out, ready.Sequence)
	return csvTrace{trace}, err
}

// parquetTrace has the columns of a trace of comma-separated values, in their order.
type parquetTrace struct {
	table   columns.Writer
	columns []sim.Column
	values  []any
	text    []byte
}

// garbageOfTable is how much garbage, in % of what is kept, there may be beside a group of rows, which is most of it.
const garbageOfTable = 30

func beginParquet(out io.Writer, ready *sim.Case) (traceWriter, error) {
	debug.SetGCPercent(garbageOfTable) // to the end of the command
	t := &parquetTrace{columns: sim.Columns(ready.Sequence)}
	list := []columns.Column{{Name: "t_s", Kind: columns.Number}}
	for i := range t.columns {
		list = append(list, columns.Column{Name: t.columns[i].Name, Kind: columnKind(t.columns[i].Kind)})
	}
	t.values = make([]any, len(list))
	var err error
	t.table, err = columns.Parquet(out, list)
	return t, err
}

func columnKind(k sequence.Kind) columns.Kind {
	switch k {
	case sequence.KindBoolean:
		return columns.Boolean
	case sequence.KindWord:
		return columns.Word
	}
	return columns.Number
}

// Row adds a row.
func (t *parquetTrace) Row(r *sim.Row) error {
	t.values[0] = r.TS
	for i := range t.columns {
		c := &t.columns[i]
		switch c.Kind {
		case sequence.KindBoolean:
			t.values[i+1] = c.Number(r) != 0
		case sequence.KindWord:
			t.text = c.AppendText(t.text[:0], r)
			t.values[i+1] = string(t.text)
		default:
			t.values[i+1] = c.Number(r)
		}
	}
	return t.table.Row(t.values...)
}

func (t *parquetTrace) Close() error { return t.table.Close() }

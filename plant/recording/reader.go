package recording

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
)

// errSpanEnds ends the reading behind the span.
var errSpanEnds = errors.New("the span ends here")

// reader reads lines of values.
type reader struct {
	dialect
	options   *Options
	recording *Recording
	time      binding
	signals   []binding // one for each channel
	width     int       // columns of the heading, 0 without one
	fewest    int       // cells that a line must have
	words     []map[string]int
	cells     []cell

	times  growing
	values []growing // one for each channel

	first   int64 // of date-time stamps, ns
	stamped bool
	rows    int     // with a time of their own
	newest  float64 // time of the newest row
	keeps   bool    // the newest row is kept
	most    int     // values that are kept
}

func newReader(h *head, f found, o *Options) (*reader, error) {
	var names, units []string
	if f.names >= 0 {
		names = h.cells(f.names, f.dialect)
	}
	if f.units >= 0 {
		units = h.cells(f.units, f.dialect)
	}
	if !o.Simulated && slices.ContainsFunc(names, func(name string) bool { return plainName(name) == "capacity_nm" }) {
		return nil, at(h.numbers[f.names], 0, "the column capacity_nm is known to a simulation only; must be a recording of the axis, not a trace of a run")
	}
	first, _ := split(nil, h.texts[f.values], f.separator)
	list, leftOut, err := bind(headings(names, units), max(len(names), len(first)), o)
	if err != nil {
		if place := new(placeError); errors.As(err, &place) && f.names >= 0 && place.line == 0 {
			place.line = h.numbers[f.names]
		}
		return nil, err
	}
	r := &reader{dialect: f.dialect, options: o, width: len(names), fewest: fewestCells(names, first), most: o.MaxValues, newest: math.Inf(-1)}
	if r.most == 0 {
		r.most = DefaultMaxValues
	}
	r.recording = &Recording{Simulated: o.Simulated, Layout: Layout{Separator: rune(f.separator), Decimal: rune(f.decimal), LeftOut: leftOut}}
	if f.names >= 0 {
		r.recording.Layout.Heading = h.numbers[f.names]
	}
	if f.units >= 0 {
		r.recording.Layout.Units = h.numbers[f.units]
	}
	slices.SortStableFunc(list, func(a, b binding) int { return a.index - b.index })
	for _, b := range list {
		if b.kind == timeOf {
			r.time = b
			continue
		}
		r.signals = append(r.signals, b)
		r.words = append(r.words, map[string]int{})
		r.values = append(r.values, growing{})
		r.recording.Channels = append(r.recording.Channels, Channel{Signal: b.Name, Unit: b.Unit, Column: b.name, ReadAs: b.readAs, Turned: b.turned, Words: slices.Clone(b.Words)})
	}
	return r, nil
}

// line reads one line.
func (r *reader) line(text []byte, line int) error {
	if isComment(text) || len(bytes.TrimSpace(text)) == 0 {
		return nil
	}
	var closed bool
	if r.cells, closed = split(r.cells[:0], text, r.separator); !closed {
		return at(line, 0, "a cell in quotes does not end, or has text behind it; must be closed within the line")
	}
	if err := r.surplus(text, line); err != nil {
		return err
	}
	t, err := r.timeOf(text, line)
	if err != nil {
		return err
	}
	if t < r.newest {
		return at(line, r.place(text, r.time.index), "the time %s s comes after %s s; must rise from line to line", figure(t), figure(r.newest))
	}
	again := t == r.newest
	if !again {
		if err := r.begin(t, line); err != nil {
			return err
		}
	}
	if !r.keeps {
		return nil
	}
	filled, err := r.fill(text, line)
	if again && filled == 0 {
		r.recording.Layout.Repeated++
	}
	return err
}

// fewestCells is how many cells each line must have: as many as the first line of values, and not more than the heading.
func fewestCells(names []string, first []cell) int {
	named := len(names)
	for named > 0 && names[named-1] == "" {
		named--
	}
	if named == 0 {
		return len(first)
	}
	return min(named, len(first))
}

// surplus refuses cells behind the columns of the heading, and a line that ends before them.
func (r *reader) surplus(text []byte, line int) error {
	if n := len(r.cells); n < r.fewest {
		return at(line, character(text, len(text)), "the line ends after %s of %d; must be all, blank where there is no value: a line that was cut off is to be deleted", numbered(n, "cell", "cells"), r.fewest)
	}
	if r.width == 0 {
		return nil
	}
	for _, c := range r.cells[min(r.width, len(r.cells)):] {
		if len(c.text) > 0 {
			return at(line, character(text, c.start), "there is a cell %q behind the %d columns of the heading; must be as many as there (decimal sign %q, separator %s)%s", shown(c.text), r.width, string(r.decimal), quoted(rune(r.separator)), r.clash())
		}
	}
	return nil
}

// clash says what a comma may be beside the separator.
func (r *reader) clash() string {
	if r.separator != ',' {
		return ""
	}
	return "; if the comma is the decimal sign as well, numbers and cells cannot be told apart: export the file with another separator, or with a decimal point"
}

// begin begins a row of gaps, where it is kept.
func (r *reader) begin(t float64, line int) error {
	r.newest = t
	r.rows++
	span := r.options.Span
	if span != nil && t > span.To {
		return errSpanEnds
	}
	r.keeps = (span == nil || t >= span.From) && (r.options.Every <= 1 || (r.rows-1)%r.options.Every == 0)
	if !r.keeps {
		return nil
	}
	r.times.add(t)
	if kept := r.times.length * (1 + len(r.values)); kept > r.most {
		return at(line, 0, "there are more than %d values of %d columns; must be fewer: a part of the time (span), every so many lines (every), or fewer columns", r.most, 1+len(r.values))
	}
	for i := range r.values {
		r.values[i].add(math.NaN())
	}
	return nil
}

// fill fills the newest row from a line, and says how many gaps of the row it filled. Two lines of one time fill each other's.
func (r *reader) fill(text []byte, line int) (filled int, err error) {
	for i := range r.signals {
		b := &r.signals[i]
		if b.index >= len(r.cells) || isGap(r.cells[b.index].text) {
			continue
		}
		x, err := r.value(i, r.cells[b.index].text)
		if err != nil {
			return filled, at(line, r.place(text, b.index), "column %s: %s", shown([]byte(b.name)), err)
		}
		to := r.values[i].newest()
		if !math.IsNaN(*to) && *to != x {
			return filled, at(line, r.place(text, b.index), "column %s: the time %s s is there twice, with %s and %s; must be one value at a time", shown([]byte(b.name)), figure(r.newest), figure(*to), figure(x))
		}
		if math.IsNaN(*to) {
			filled++
		}
		*to = x
	}
	return filled, nil
}

// place is where a column begins in a line, as a character from 1.
func (r *reader) place(text []byte, column int) int {
	if column >= len(r.cells) {
		return character(text, len(text))
	}
	return character(text, r.cells[column].start)
}

// finish checks what was read, and puts late signals to their times.
func (r *reader) finish() (*Recording, error) {
	rec := r.recording
	rec.Time = r.times.joined()
	for i := range r.values {
		rec.Channels[i].Values = r.values[i].joined()
	}
	if len(rec.Time) < 2 {
		what := "the file"
		if s := r.options.Span; s != nil {
			what = fmt.Sprintf("the span %s s to %s s", figure(s.From), figure(s.To))
		}
		return nil, at(0, 0, "%s has %s; must be at least 2", what, numbered(len(rec.Time), "sample", "samples"))
	}
	if len(r.options.Late) > 0 {
		rec.step = usualStep(rec.Time)
	}
	for i := range r.options.Late {
		rec.earlier(r.options.Late[i])
	}
	rec.withoutEmpty()
	if len(rec.Channels) == 0 {
		return nil, at(0, 0, "no column of a signal has a value; must be at least one")
	}
	return rec, nil
}

// withoutEmpty leaves out channels without a value.
func (r *Recording) withoutEmpty() {
	r.Channels = slices.DeleteFunc(r.Channels, func(c Channel) bool {
		empty := !slices.ContainsFunc(c.Values, func(x float64) bool { return !math.IsNaN(x) })
		if empty {
			r.Layout.LeftOut = append(r.Layout.LeftOut, c.Column)
		}
		return empty
	})
}

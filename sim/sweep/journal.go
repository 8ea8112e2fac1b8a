package sweep

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"holdbench/sim"
)

// Head is the first line of a sweep in a file: all that must be the same for two files to be
// of one sweep. It is enough to sum up what follows, without the documents.
type Head struct {
	Sweep      string    `json:"sweep"` // name of the scenario
	Rig        string    `json:"rig"`
	Sequence   string    `json:"sequence"`
	Documents  string    `json:"documents"` // fingerprint of scenario, rig and sequence
	Seed       uint64    `json:"seed"`
	Runs       int       `json:"runs"` // at most, in each cell of a map
	Spreads    []Written `json:"spreads"`
	WindowsDeg []float64 `json:"windows_deg"` // of a map, none without
	DwellsS    []float64 `json:"dwells_s"`
	Until      float64   `json:"until"` // 0: all runs are done
	Confidence float64   `json:"confidence"`
	Exact      bool      `json:"exact"` // Clopper-Pearson, else Wilson
	Rare       sim.Class `json:"rare"`  // empty: everything is counted
	Tilt       []Tilt    `json:"tilt"`
	Sought     int       `json:"sought"`  // runs that it took to find the tilt
	Columns    []string  `json:"columns"` // keys of what differs from run to run
	Numeric    []bool    `json:"numeric"` // which of these are numbers, or durations
	Again      []string  `json:"again"`   // the command of a run, up to its seed and its columns
	Part       int       `json:"part"`
	Parts      int       `json:"parts"`
}

// Written is a spread as it was given.
type Written struct {
	Key     string `json:"key"`
	As      string `json:"as"`
	Assumed bool   `json:"assumed"` // nobody asked for it
}

// Head describes the sweep, once it is prepared.
func (p *Plan) Head() (Head, error) {
	documents, err := p.Case.Fingerprint()
	if err != nil {
		return Head{}, fmt.Errorf("sweep: %w", err)
	}
	h := Head{
		Sweep: p.Case.Scenario.Scenario, Rig: p.Case.Rig.Rig, Sequence: p.Case.Program.Name(), Documents: documents,
		Seed: p.Seed, Runs: p.Runs, Spreads: []Written{}, WindowsDeg: append([]float64{}, p.Windows...), DwellsS: []float64{},
		Until: p.Until, Confidence: p.Confidence, Exact: p.Exact, Rare: p.Rare, Tilt: append([]Tilt{}, p.tilt...), Sought: p.sought,
		Columns: append([]string{}, p.Columns()...), Numeric: []bool{}, Again: append([]string{}, p.Again...), Part: p.Part, Parts: p.Parts,
	}
	for _, key := range h.Columns {
		b, err := baseOf(p.Case, key)
		h.Numeric = append(h.Numeric, err == nil && b.numeric)
	}
	for _, s := range p.Spreads {
		h.Spreads = append(h.Spreads, Written{s.Key, s.Text, slices.Contains(p.Assumed, s.Key)})
	}
	for _, d := range p.Dwells {
		h.DwellsS = append(h.DwellsS, d.Seconds())
	}
	return h, nil
}

// Same is whether two heads are of the same sweep and part. How a document was named does not
// matter.
func (h Head) Same(other *Head) bool {
	h.Again = other.Again
	a, _ := json.Marshal(h) // plain data
	b, _ := json.Marshal(other)
	return bytes.Equal(a, b)
}

// Tally is an empty one for the runs under this head.
func (h *Head) Tally() *Tally { return NewTally(len(h.Spreads), h.cells()) }

func (h *Head) cells() int { return max(1, len(h.WindowsDeg)*len(h.DwellsS)) }

// due is how many runs the part has.
func (h *Head) due() int { return (h.Runs*h.cells() - h.Part + h.Parts) / h.Parts }

// Tail is the last line of a sweep that came to its end.
type Tail struct {
	Runs int `json:"runs"`
}

// Reader reads a sweep from a file, a line at a time.
type Reader struct {
	Head  Head
	Bytes int64 // of the whole lines without the tail: where to go on
	Whole bool  // the tail was read
	Runs  int

	in   *bufio.Reader
	line int
}

// NewReader reads the head. The error names the line.
func NewReader(r io.Reader) (*Reader, error) {
	reader := &Reader{in: bufio.NewReader(r)}
	line, err := reader.next()
	if err != nil {
		return reader, err
	}
	if line == nil || sim.ReadStrictly(line, &reader.Head) != nil || reader.Head.check() != nil {
		return reader, errors.New("line 1: no head of a sweep; must be a file that holdbench sweep has written")
	}
	reader.Bytes = int64(len(line))
	return reader, nil
}

// check refuses a head that nothing can follow.
func (h *Head) check() error {
	if h.Documents == "" || h.Runs < 1 || h.Runs > mostRuns || h.Part < 1 || h.Part > h.Parts || h.Parts > mostParts || h.cells() > mostCells || !(h.Confidence > 0 && h.Confidence < 1) ||
		(len(h.WindowsDeg) == 0) != (len(h.DwellsS) == 0) || len(h.Tilt) > 0 && len(h.Tilt) != len(h.Spreads) || len(h.Numeric) != len(h.Columns) {
		return errors.New("no head")
	}
	return nil
}

// next is the next whole line, nil at the end. A line without its end broke off.
func (r *Reader) next() ([]byte, error) {
	r.line++
	line, err := r.in.ReadBytes('\n')
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	return line, err
}

// Next is the next run, or false at the end of what is whole.
func (r *Reader) Next() (Record, bool, error) {
	line, err := r.next()
	if err != nil || line == nil {
		return Record{}, false, err
	}
	if r.Whole {
		return Record{}, false, fmt.Errorf("line %d: there is more behind its end", r.line)
	}
	var end Tail
	if bytes.HasPrefix(line, []byte(`{"runs"`)) && sim.ReadStrictly(line, &end) == nil {
		if end.Runs != r.Runs {
			return Record{}, false, fmt.Errorf("line %d: its end tells of %d runs and there are %d; must be the file as it was written", r.line, end.Runs, r.Runs)
		}
		r.Whole = true
		return r.Next()
	}
	var rec Record
	if err := sim.ReadStrictly(line, &rec); err != nil {
		return Record{}, false, fmt.Errorf("line %d: no run of a sweep: %w", r.line, err)
	}
	if err := r.expect(&rec); err != nil {
		return Record{}, false, fmt.Errorf("line %d: %w", r.line, err)
	}
	r.Runs++
	r.Bytes += int64(len(line))
	return rec, true, nil
}

// expect refuses a run that is not the one that comes next.
func (r *Reader) expect(rec *Record) error {
	h := &r.Head
	if want := r.Runs*h.Parts + h.Part - 1; rec.Run != want || r.Runs >= h.due() {
		return fmt.Errorf("run %d where run %d of %d is due; must be the file as it was written", rec.Run, want, h.Runs*h.cells())
	}
	if rec.Cell != rec.Run%h.cells() || len(rec.Values) != len(h.Columns) || len(rec.Upper) != len(h.Spreads) {
		return fmt.Errorf("run %d has cell %d, %d values and %d halves; its head has %d cells, %d columns and %d spreads", rec.Run, rec.Cell, len(rec.Values), len(rec.Upper), h.cells(), len(h.Columns), len(h.Spreads))
	}
	if !slices.Contains(sim.Classes(), sim.Class(rec.Class)) {
		return fmt.Errorf("run %d is of class %q; must be one of %v", rec.Run, rec.Class, sim.Classes())
	}
	if !slices.Contains([]string{"proven", "failed", "none"}, rec.Verdict) {
		return fmt.Errorf("run %d has verdict %q; must be proven, failed or none", rec.Run, rec.Verdict)
	}
	if rec.Weight <= 0 || rec.Weight > 1/untilted+1e-9 {
		return fmt.Errorf("run %d has weight %g; must be above 0 and at most %g", rec.Run, rec.Weight, 1/untilted)
	}
	for _, x := range []float64{rec.CapacityNM, rec.RequiredNM, rec.LoadDropMM, rec.DurationS, math.Abs(rec.SlipDeg)} {
		if !finite(x) || x < 0 {
			return fmt.Errorf("run %d has a figure of %g; must be what a run can come to", rec.Run, x)
		}
	}
	return nil
}

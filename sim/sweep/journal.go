package sweep

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/journal"
)

// Head is the first line of a sweep in a file: all that two files of one sweep have in common.
// With it the following lines can be summed up without the documents.
type Head struct {
	Sweep        string          `json:"sweep"` // name of the scenario
	Rig          string          `json:"rig"`
	Sequence     string          `json:"sequence"`
	Documents    string          `json:"documents"` // fingerprint of scenario, rig and sequence
	Seed         uint64          `json:"seed"`
	Runs         int             `json:"runs"` // at most, in each cell of a map
	Spreads      []WrittenSpread `json:"spreads"`
	WindowsDeg   []float64       `json:"windows_deg"` // of a map, none without
	DwellsS      []float64       `json:"dwells_s"`
	Until        float64         `json:"until"` // 0: all runs are done
	Confidence   float64         `json:"confidence"`
	Exact        bool            `json:"exact"` // Clopper-Pearson, else Wilson
	Rare         sim.Class       `json:"rare"`  // empty: everything is counted
	Tilt         []Tilt          `json:"tilt"`
	SearchedRuns int             `json:"search_runs"` // runs of the search for the tilt
	Columns      []string        `json:"columns"`     // keys of what varies between runs
	Numeric      []bool          `json:"numeric"`     // which of these are numbers, or durations
	Command      []string        `json:"command"`     // the command of a run, without its seed and its columns
	Part         int             `json:"part"`
	Parts        int             `json:"parts"`
	SelfTest     string          `json:"self_test,omitempty"` // [plant.SelfTest] of the machine; older sweeps have none
	Sources      []sim.Document  `json:"sources,omitempty"`   // the files that the sweep was made from; older sweeps have none
}

// WrittenSpread is a spread as it was written.
type WrittenSpread struct {
	Key     string `json:"key"`
	As      string `json:"as"`
	Assumed bool   `json:"assumed"` // not given by the user
}

// Head describes the sweep, once it is prepared.
func (p *Plan) Head() (Head, error) {
	documents, err := p.Case.Fingerprint()
	if err != nil {
		return Head{}, fmt.Errorf("sweep: %w", err)
	}
	h := Head{
		Sweep: p.Case.Scenario.Scenario, Rig: p.Case.Rig.Rig, Sequence: p.Case.Sequence.Name, Documents: documents,
		Seed: p.Seed, Runs: p.Runs, Spreads: []WrittenSpread{}, WindowsDeg: append([]float64{}, p.Windows...), DwellsS: []float64{},
		Until: p.Until, Confidence: p.Confidence, Exact: p.Exact, Rare: p.Rare, Tilt: append([]Tilt{}, p.tilt...), SearchedRuns: p.searchedRuns,
		Columns: append([]string{}, p.Columns()...), Numeric: []bool{}, Command: append([]string{}, p.Command...), Part: p.Part, Parts: p.Parts,
		SelfTest: plant.SelfTest(), Sources: p.Case.Sources,
	}
	for _, key := range h.Columns {
		b, err := baseValueOf(p.Case, key)
		h.Numeric = append(h.Numeric, err == nil && b.numeric)
	}
	for _, s := range p.Spreads {
		h.Spreads = append(h.Spreads, WrittenSpread{s.Key, s.Text, slices.Contains(p.AssumedKeys, s.Key)})
	}
	for _, d := range p.Dwells {
		h.DwellsS = append(h.DwellsS, d.Seconds())
	}
	return h, nil
}

// Same is whether two heads are of the same sweep and part. The names of the documents on the
// command line and their files do not matter: a comment in a file changes no run.
func (h Head) Same(other *Head) bool {
	h.Command, h.Sources = other.Command, other.Sources
	a, _ := json.Marshal(h) // plain data
	b, _ := json.Marshal(other)
	return bytes.Equal(a, b)
}

// Tally is an empty one for the runs under this head.
func (h *Head) Tally() *Tally { return NewTally(len(h.Spreads), h.cells()) }

func (h *Head) cells() int { return max(1, len(h.WindowsDeg)*len(h.DwellsS)) }

// runsOfPart is how many runs the part has.
func (h *Head) runsOfPart() int { return (h.Runs*h.cells() - h.Part + h.Parts) / h.Parts }

// Tail is the last line of a sweep that was finished.
type Tail struct {
	Runs int `json:"runs"`
}

// Reader reads a sweep from a file, a line at a time.
type Reader struct {
	Head     Head
	Bytes    int64 // of the complete lines without the tail: where to continue
	Complete bool  // the tail was read
	Runs     int

	in *journal.Reader
}

// NewReader reads the head. The error names the line.
func NewReader(r io.Reader) (*Reader, error) {
	reader := &Reader{in: journal.NewReader(r)}
	line, err := reader.nextLine()
	if err != nil {
		return reader, err
	}
	if line == nil || sim.ReadStrictly(line, &reader.Head) != nil || reader.Head.check() != nil {
		return reader, errors.New("line 1: no head of a sweep; must be a file that holdbench sweep has written")
	}
	reader.Bytes = reader.in.Bytes()
	return reader, nil
}

// check refuses a head that is not valid.
func (h *Head) check() error {
	if h.Documents == "" || h.Runs < 1 || h.Runs > MaxRuns || h.Part < 1 || h.Part > h.Parts || h.Parts > maxParts || h.cells() > maxCells || !(h.Confidence > 0 && h.Confidence < 1) ||
		(len(h.WindowsDeg) == 0) != (len(h.DwellsS) == 0) || len(h.Tilt) > 0 && len(h.Tilt) != len(h.Spreads) || len(h.Numeric) != len(h.Columns) {
		return errors.New("no head")
	}
	return nil
}

// nextLine is the next complete line, nil at the end. A line without its end was interrupted.
func (r *Reader) nextLine() ([]byte, error) {
	line, err := r.in.Next()
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	return line, err
}

// Next is the next run, or false at the end of what is complete.
func (r *Reader) Next() (Record, bool, error) {
	line, err := r.nextLine()
	if err != nil || line == nil {
		return Record{}, false, err
	}
	if r.Complete {
		return Record{}, false, fmt.Errorf("line %d: there are lines behind the last one of a sweep", r.in.Line())
	}
	var end Tail
	if bytes.HasPrefix(line, []byte(`{"runs"`)) && sim.ReadStrictly(line, &end) == nil {
		if end.Runs != r.Runs {
			return Record{}, false, fmt.Errorf("line %d: the last line counts %d runs and there are %d; must be the file as it was written", r.in.Line(), end.Runs, r.Runs)
		}
		r.Complete = true
		return r.Next()
	}
	var rec Record
	if err := sim.ReadStrictly(line, &rec); err != nil {
		return Record{}, false, fmt.Errorf("line %d: no run of a sweep: %w", r.in.Line(), err)
	}
	if err := r.checkRecord(&rec); err != nil {
		return Record{}, false, fmt.Errorf("line %d: %w", r.in.Line(), err)
	}
	r.Runs++
	r.Bytes = r.in.Bytes()
	return rec, true, nil
}

// checkRecord refuses a run that is not the next one.
func (r *Reader) checkRecord(rec *Record) error {
	h := &r.Head
	if want := r.Runs*h.Parts + h.Part - 1; rec.Run != want || r.Runs >= h.runsOfPart() {
		return fmt.Errorf("run %d in place of run %d of %d; must be the file as it was written", rec.Run, want, h.Runs*h.cells())
	}
	if rec.Cell != rec.Run%h.cells() || len(rec.Values) != len(h.Columns) || len(rec.Upper) != len(h.Spreads) {
		return fmt.Errorf("run %d has cell %d, %d values and %d halves; its head has %d cells, %d columns and %d spreads", rec.Run, rec.Cell, len(rec.Values), len(rec.Upper), h.cells(), len(h.Columns), len(h.Spreads))
	}
	if !slices.Contains(sim.Classes(), sim.Class(rec.Class)) {
		return fmt.Errorf("run %d is of class %q; must be one of %v", rec.Run, rec.Class, sim.Classes())
	}
	if !slices.Contains([]string{proven, failed, none}, rec.Verdict) {
		return fmt.Errorf("run %d has verdict %q; must be proven, failed or none", rec.Run, rec.Verdict)
	}
	if !rec.consistent() {
		return fmt.Errorf("run %d has verdict %s and is refused for %q; must be brake or other without a proof, and empty with one: files of an earlier holdbench do not have it", rec.Run, rec.Verdict, rec.Refused)
	}
	if rec.Weight <= 0 || rec.Weight > 1/defensiveShare+1e-9 {
		return fmt.Errorf("run %d has weight %g; must be above 0 and at most %g", rec.Run, rec.Weight, 1/defensiveShare)
	}
	for _, x := range []float64{rec.CapacityNM, rec.RequiredNM, rec.LoadDropMM, rec.DurationS, math.Abs(rec.SlipDeg)} {
		if !finite(x) || x < 0 {
			return fmt.Errorf("run %d has a value of %g; must be one that a run can have", rec.Run, x)
		}
	}
	return nil
}

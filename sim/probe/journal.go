package probe

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/journal"
)

// Head is the first line of a probe in a file: what was probed. Two probes of the same documents
// and options have the same head, but for the run without a fault, the version and the files, which
// older files do not have.
type Head struct {
	Probe     string   `json:"probe"` // name of the scenario
	Rig       string   `json:"rig"`
	Sequence  string   `json:"sequence"`
	Seed      uint64   `json:"seed"`
	Documents string   `json:"documents"` // fingerprint of scenario, rig, sequence and catalogue
	Faults    []string `json:"faults"`    // chosen; none: all
	States    []string `json:"states"`
	Through   []string `json:"through"` // faults that may lead to states; none: all
	Pairs     bool     `json:"pairs"`
	Nominal   *Nominal `json:"without_fault,omitempty"` // the run without a fault; follows from all else

	Version string         `json:"version,omitempty"` // of the program that probed
	Sources []sim.Document `json:"sources,omitempty"` // the files that the probe was made from
}

// NewHead describes a probe of a case.
func NewHead(c *sim.Case, o Options) (Head, error) {
	documents, err := c.Fingerprint(catalogueValues(c))
	if err != nil {
		return Head{}, err
	}
	return Head{
		Probe: c.Scenario.Scenario, Rig: c.Rig.Rig, Sequence: c.Sequence.Name, Seed: c.Seed,
		Documents: documents, Faults: orEmpty(o.Faults), States: orEmpty(o.States), Through: orEmpty(o.Through), Pairs: o.Pairs,
		Sources: c.Sources,
	}, nil
}

// catalogueValues are the values of all faults on a rig, which may differ between versions.
func catalogueValues(c *sim.Case) [][]any {
	var list [][]any
	for _, f := range catalogue.Entries() {
		for _, s := range severities(&f) {
			list = append(list, []any{f.Name, f.Values(&c.Rig, s.value), f.Duration})
		}
	}
	return list
}

// orEmpty is a list that is never null in a file.
func orEmpty(names []string) []string { return append([]string{}, names...) }

// Same is whether two heads are of the same probe.
func (h Head) Same(other Head) bool {
	for _, x := range []*Head{&h, &other} {
		x.Nominal, x.Version, x.Sources = nil, "", nil // a comment in a file changes no run
	}
	a, _ := json.Marshal(h) // plain data
	b, _ := json.Marshal(other)
	return bytes.Equal(a, b)
}

// Tail is the last line of a complete probe.
type Tail struct {
	Cells int `json:"cells"`
}

// Record is a probe in a file.
type Record struct {
	Head     Head
	Outcomes []Outcome
	Bytes    int64 // of the complete lines without the tail: where to continue
	Complete bool  // it has a tail
}

// Read reads a probe from a file: its head, one outcome a line, and the tail of a complete one. Of
// an interrupted file it takes the complete lines. The error names the line.
func Read(r io.Reader) (Record, error) {
	in := journal.NewReader(r)
	var had Record
	for {
		line, err := in.Next()
		switch {
		case errors.Is(err, io.EOF) && in.Line() == 1:
			return had, noHeadError(1)
		case errors.Is(err, io.EOF):
			return had, nil // a line without its end was interrupted
		case err != nil:
			return had, err
		case in.Bytes() > mostBytes:
			return had, fmt.Errorf("line %d: the file has more than %d bytes; must be a probe that memory holds", in.Line(), mostBytes)
		}
		if err := had.readLine(in.Line(), line); err != nil {
			return had, err
		}
		if !had.Complete {
			had.Bytes = in.Bytes()
		}
	}
}

func noHeadError(n int) error {
	return fmt.Errorf("line %d: no head of a probe; must be a file that holdbench probe has written", n)
}

// readLine takes one line.
func (had *Record) readLine(n int, line []byte) error {
	if n == 1 {
		if err := sim.ReadStrictly(line, &had.Head); err != nil || had.Head.Documents == "" {
			return noHeadError(n)
		}
		return nil
	}
	if had.Complete {
		return fmt.Errorf("line %d: there are lines behind the last one of a probe", n)
	}
	var end Tail
	if sim.ReadStrictly(line, &end) == nil {
		if end.Cells != len(had.Outcomes) {
			return fmt.Errorf("line %d: the last line counts %d cells and there are %d; must be the file as it was written", n, end.Cells, len(had.Outcomes))
		}
		had.Complete = true
		return nil
	}
	var o struct {
		Outcome
		Command string `json:"command"` // that runs the cell again, for whoever reads the file
	}
	if err := sim.ReadStrictly(line, &o); err != nil {
		return fmt.Errorf("line %d: no outcome of a probe: %w", n, err)
	}
	if o.Kind.Rank() < 0 || o.Fault == "" {
		return fmt.Errorf("line %d: fault %q has the outcome %q; must be one of %v", n, o.Fault, o.Kind, Kinds())
	}
	had.Outcomes = append(had.Outcomes, o.Outcome)
	return nil
}

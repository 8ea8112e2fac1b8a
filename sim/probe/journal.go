package probe

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"

	"holdbench/plant"
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
	Part      int      `json:"part,omitempty"`          // of a part: its number, from 1
	Parts     int      `json:"parts,omitempty"`         // and that of all
	Nominal   *Nominal `json:"without_fault,omitempty"` // the run without a fault; follows from all else

	Version  string         `json:"version,omitempty"`   // of the program that probed
	SelfTest string         `json:"self_test,omitempty"` // [plant.SelfTest] of the machine; older files have none
	Sources  []sim.Document `json:"sources,omitempty"`   // the files that the probe was made from
}

// NewHead describes a probe of a case.
func NewHead(c *sim.Case, o Options) (Head, error) {
	documents, err := c.Fingerprint(catalogueValues(c))
	if err != nil {
		return Head{}, err
	}
	h := Head{
		Probe: c.Scenario.Scenario, Rig: c.Rig.Rig, Sequence: c.Sequence.Name, Seed: c.Seed,
		Documents: documents, Faults: orEmpty(o.Faults), States: orEmpty(o.States), Through: orEmpty(o.Through), Pairs: o.Pairs,
		SelfTest: plant.SelfTest(), Sources: c.Sources,
	}
	if o.Part.Of > 1 {
		h.Part, h.Parts = o.Part.Number, o.Part.Of
	}
	return h, nil
}

// part is the part that the head is of; a whole is the only one.
func (h *Head) part(name string) journal.Part {
	return journal.Part{Name: name, Number: max(1, h.Part), Of: max(1, h.Parts)}
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

// Tail is the last line of a complete probe, or of a part of it.
type Tail struct {
	Cells int `json:"cells"`
	// Order is a checksum of the cells in their order. Older files have none, and do not say what follows.
	Order     string   `json:"order,omitempty"`
	Unreached []string `json:"unreached,omitempty"` // states that no route leads to
	Plan      *Extent  `json:"plan,omitempty"`      // of two faults at once
}

// Tail is the last line of a probe with these results.
func (m *Results) Tail() Tail {
	var order order
	for i := range m.Outcomes {
		order.add(&m.Outcomes[i])
	}
	t := Tail{Cells: len(m.Outcomes), Order: order.String(), Unreached: m.Unreached}
	if m.Plan != (Extent{}) {
		t.Plan = &m.Plan
	}
	return t
}

// order is a checksum of cells in their order.
type order uint32

func (o *order) add(of *Outcome) {
	*o = order(crc32.Update(uint32(*o), crc32.IEEETable, []byte(of.Key()+"\n")))
}

func (o order) String() string { return fmt.Sprintf("%08x", uint32(o)) }

// Record is a probe in a file.
type Record struct {
	Head     Head
	Outcomes []Outcome
	Tail     Tail
	Bytes    int64 // of the complete lines without the tail: where to continue
	Complete bool  // it has a tail
}

// Read reads a probe from a file: its head, one outcome a line, and the tail of a complete one. Of
// an interrupted file it takes the complete lines. The error names the line.
func Read(r io.Reader) (Record, error) {
	in, err := NewReader(r)
	had := Record{Head: in.Head}
	for more := err == nil; more; {
		var o Outcome
		if o, more, err = in.Next(); more {
			had.Outcomes = append(had.Outcomes, o)
		}
		if more && in.lines.Bytes() > mostBytes {
			return had, fmt.Errorf("line %d: the file has more than %d bytes; must be a probe that memory holds", in.lines.Line(), mostBytes)
		}
	}
	had.Tail, had.Bytes, had.Complete = in.Tail, in.Bytes, in.Complete
	return had, err
}

// Reader reads a probe from a file, a line at a time.
type Reader struct {
	Head     Head
	Tail     Tail  // once it was read
	Bytes    int64 // of the complete lines without the tail: where to continue
	Cells    int
	Complete bool // the tail was read

	order order
	lines *journal.Reader
	line  []byte // that was read last, without its checksum
}

// NewReader reads the head. The error names the line.
func NewReader(r io.Reader) (*Reader, error) {
	in := &Reader{lines: journal.NewReader(r)}
	line, err := in.lines.Next()
	switch {
	case errors.Is(err, io.EOF):
		return in, noHeadError()
	case err != nil:
		return in, err
	}
	if err := sim.ReadStrictly(line, &in.Head); err != nil || in.Head.Documents == "" || in.Head.Parts != 0 && !in.Head.part("").Sound() {
		return in, noHeadError()
	}
	in.Bytes = in.lines.Bytes()
	return in, nil
}

func noHeadError() error {
	return errors.New("line 1: no head of a probe; must be a file that holdbench probe has written")
}

// Next is the next outcome, or false at the end of what is complete.
func (in *Reader) Next() (Outcome, bool, error) {
	line, err := in.lines.Next()
	n := in.lines.Line()
	switch {
	case errors.Is(err, io.EOF):
		return Outcome{}, false, nil // a line without its end was interrupted
	case err != nil:
		return Outcome{}, false, err
	case in.Complete:
		return Outcome{}, false, fmt.Errorf("line %d: there are lines behind the last one of a probe", n)
	}
	var end Tail
	if sim.ReadStrictly(line, &end) == nil {
		if end.Cells != in.Cells {
			return Outcome{}, false, fmt.Errorf("line %d: the last line counts %d cells and there are %d; must be the file as it was written", n, end.Cells, in.Cells)
		}
		if end.Order != "" && end.Order != in.order.String() {
			return Outcome{}, false, fmt.Errorf("line %d: the cells ahead of the last line are not in the order in which they were written; must be the file as it was written", n)
		}
		in.Tail, in.Complete = end, true
		return in.Next()
	}
	var o struct {
		Outcome
		Command string `json:"command"` // that runs the cell again, for whoever reads the file
	}
	if err := sim.ReadStrictly(line, &o); err != nil {
		return Outcome{}, false, fmt.Errorf("line %d: no outcome of a probe: %w", n, err)
	}
	if o.Kind.Rank() < 0 || o.Fault == "" {
		return Outcome{}, false, fmt.Errorf("line %d: fault %q has the outcome %q; must be one of %v", n, o.Fault, o.Kind, Kinds())
	}
	in.Cells++
	in.order.add(&o.Outcome)
	in.Bytes, in.line = in.lines.Bytes(), line
	return o.Outcome, true, nil
}

package probe

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"holdbench/sim"
)

// Head is the first line of a probe in a file: what was probed. Two probes of the same
// documents and options have the same.
type Head struct {
	Probe     string   `json:"probe"` // name of the scenario
	Rig       string   `json:"rig"`
	Sequence  string   `json:"sequence"`
	Seed      uint64   `json:"seed"`
	Documents string   `json:"documents"` // fingerprint of scenario, rig and sequence
	Faults    []string `json:"faults"`    // asked for; none: all
	States    []string `json:"states"`
	Pairs     bool     `json:"pairs"`
}

// NewHead describes a probe of a case.
func NewHead(c *sim.Case, o Options) (Head, error) {
	s := c.Scenario
	s.Expect, s.Lesson, s.Rig, s.Sequence = sim.Expect{}, nil, sim.Reference{}, sim.Reference{}
	text, err := json.Marshal([]any{s, c.Rig, c.Program.Document(), c.Program.Params()})
	if err != nil {
		return Head{}, fmt.Errorf("probe: fingerprint of the documents: %w", err)
	}
	sum := sha256.Sum256(text)
	return Head{
		Probe: s.Scenario, Rig: c.Rig.Rig, Sequence: c.Program.Name(), Seed: c.Seed,
		Documents: hex.EncodeToString(sum[:8]), Faults: list(o.Faults), States: list(o.States), Pairs: o.Pairs,
	}, nil
}

// list is never null in a file.
func list(names []string) []string { return append([]string{}, names...) }

// Same is whether two heads are of the same probe.
func (h Head) Same(other Head) bool {
	a, _ := json.Marshal(h) // plain data
	b, _ := json.Marshal(other)
	return bytes.Equal(a, b)
}

// Read reads a probe from a file of one head and one outcome a line. Of a file that broke
// off it takes what is whole; whole is how many bytes that is. The error names the line.
func Read(r io.Reader) (head Head, outcomes []Outcome, whole int64, err error) {
	in := bufio.NewReader(r)
	for n := 1; ; n++ {
		line, readErr := in.ReadBytes('\n')
		switch {
		case errors.Is(readErr, io.EOF):
			if n == 1 {
				return head, nil, 0, errors.New("line 1: no head of a probe; must be a file that holdbench probe has written")
			}
			return head, outcomes, whole, nil // a line without its end broke off
		case readErr != nil:
			return head, outcomes, whole, readErr
		}
		if err := readLine(n, line, &head, &outcomes); err != nil {
			return head, outcomes, whole, fmt.Errorf("line %d: %w", n, err)
		}
		whole += int64(len(line))
	}
}

func readLine(n int, line []byte, head *Head, outcomes *[]Outcome) error {
	decode := json.NewDecoder(bytes.NewReader(line))
	decode.DisallowUnknownFields()
	if n == 1 {
		if err := decode.Decode(head); err != nil || head.Documents == "" {
			return errors.New("no head of a probe; must be a file that holdbench probe has written")
		}
		return nil
	}
	var o struct {
		Outcome
		Command string `json:"command"` // that runs it again; whoever writes the line may add it
	}
	if err := decode.Decode(&o); err != nil {
		return fmt.Errorf("no outcome of a probe: %w", err)
	}
	if o.Kind.Rank() < 0 || o.Fault == "" {
		return fmt.Errorf("fault %q came out as %q; must be one of %v", o.Fault, o.Kind, Kinds())
	}
	*outcomes = append(*outcomes, o.Outcome)
	return nil
}

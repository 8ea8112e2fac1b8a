package life

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/journal"
)

// Head is the first line of a file of histories: what two files of one study have in common.
type Head struct {
	Life      string         `json:"life"` // name of the rig
	Sequence  string         `json:"sequence"`
	Documents string         `json:"documents"` // fingerprint of rig, sequence and settings
	Plan      Plan           `json:"plan"`
	Part      int            `json:"part,omitempty"`      // of a part: its number, from 1
	Parts     int            `json:"parts,omitempty"`     // and that of all
	Version   string         `json:"version"`             // of the program
	SelfTest  string         `json:"self_test,omitempty"` // [plant.SelfTest] of the machine; older files have none
	Sources   []sim.Document `json:"sources,omitempty"`
}

// Head describes the study.
func (s *Study) Head(version string) (Head, error) {
	documents, err := s.Case.Fingerprint()
	if err != nil {
		return Head{}, fmt.Errorf("life: %w", err)
	}
	h := Head{Life: s.Case.Rig.Rig, Sequence: s.Case.Sequence.Name, Documents: documents, Plan: s.Plan, Version: version, SelfTest: plant.SelfTest(), Sources: s.Case.Sources}
	if s.Part.Of > 1 {
		h.Part, h.Parts = s.Part.Number, s.Part.Of
	}
	return h, nil
}

// part is the part that the head is of; a whole is the only one.
func (h *Head) part(name string) journal.Part {
	return journal.Part{Name: name, Number: max(1, h.Part), Of: max(1, h.Parts)}
}

// Same is whether two heads are of the same study and part. A comment in a file changes no history, and intervals
// are compared when all histories are there.
func (h Head) Same(other Head) bool {
	for _, x := range []*Head{&h, &other} {
		x.Sources, x.Plan.Intervals = nil, nil
	}
	a, _ := json.Marshal(h) // plain data
	b, _ := json.Marshal(other)
	return bytes.Equal(a, b)
}

// Differences says in what the head of a file differs from another one.
func Differences(had, head Head) string {
	for _, x := range [][3]string{
		{"rig", had.Life, head.Life}, {"sequence", had.Sequence, head.Sequence}, {"the version", had.Version, head.Version},
		{"the self-test", cmp.Or(had.SelfTest, "none"), cmp.Or(head.SelfTest, "none")},
		{"the part", had.part("").String(), head.part("").String()}, {"the plan", planText(had.Plan), planText(head.Plan)},
	} {
		if x[1] != x[2] {
			return fmt.Sprintf("%s is %s there and %s here", x[0], x[1], x[2])
		}
	}
	return "its documents have changed"
}

func planText(p Plan) string {
	p.Intervals = nil
	text, _ := json.Marshal(p) // plain data
	return string(text)
}

// tail is the last line of a study whose histories are complete.
type tail struct {
	Histories int `json:"histories"`
}

// piece is a line of a history: some of its tests and stops, and at its end the rest.
type piece struct {
	History int         `json:"history"`
	Tests   []TestPoint `json:"tests,omitempty"`
	Stops   []StopPoint `json:"stop_points,omitempty"`
	Rest    *Record     `json:"record,omitempty"` // without tests and stops
}

// pointsInLine bounds the tests and stops of a line.
const pointsInLine = 1000

// Lines are the lines of a history in a file.
func (r *Record) Lines() ([]byte, error) {
	var text []byte
	add := func(p piece) error {
		line, err := journal.Line(p)
		text = append(text, line...)
		return err
	}
	tests, stops := r.TestPoints, r.StopPoints
	for len(tests) > 0 || len(stops) > 0 {
		n, m := min(len(tests), pointsInLine), min(len(stops), pointsInLine)
		if err := add(piece{History: r.History, Tests: tests[:n], Stops: stops[:m]}); err != nil {
			return nil, err
		}
		tests, stops = tests[n:], stops[m:]
	}
	rest := *r
	rest.TestPoints, rest.StopPoints = nil, nil
	err := add(piece{History: r.History, Rest: &rest})
	return text, err
}

// TailLine is the last line of a file with so many histories.
func TailLine(histories int) ([]byte, error) { return journal.Line(tail{histories}) }

// Reader reads the histories of a file, one at a time.
type Reader struct {
	Head     Head
	Bytes    int64 // of the complete histories: where to continue
	Count    int
	Complete bool // the tail was read

	lines *journal.Reader
	raw   []byte // the lines of the history that was read last
}

// NewReader reads the head. The error names the line.
func NewReader(r io.Reader) (*Reader, error) {
	in := &Reader{lines: journal.NewReader(r)}
	line, err := in.lines.Next()
	if err != nil && !errors.Is(err, io.EOF) {
		return in, err
	}
	if err != nil || sim.ReadStrictly(line, &in.Head) != nil || in.Head.Documents == "" || !in.Head.part("").Sound() {
		return in, errors.New("line 1: no head of a life; must be a file that holdbench life has written")
	}
	in.Bytes = in.lines.Bytes()
	return in, nil
}

// Next is the next history, or false at the end of those that are complete.
func (in *Reader) Next() (r Record, more bool, err error) {
	in.raw = in.raw[:0]
	for {
		line, err := in.lines.Next()
		n := in.lines.Line()
		switch {
		case errors.Is(err, io.EOF):
			return Record{}, false, nil // what was interrupted is done again
		case err != nil:
			return Record{}, false, err
		case in.Complete:
			return Record{}, false, fmt.Errorf("line %d: there are lines behind the last one of a life", n)
		}
		checked, err := journal.Checked(line)
		if err != nil {
			return Record{}, false, err
		}
		in.raw = append(in.raw, checked...)
		var end tail
		if bytes.HasPrefix(line, []byte(`{"histories"`)) && sim.ReadStrictly(line, &end) == nil {
			if end.Histories != in.Count {
				return Record{}, false, fmt.Errorf("line %d: the last line counts %d histories and there are %d; must be the file as it was written", n, end.Histories, in.Count)
			}
			in.Complete = true
			continue
		}
		var p piece
		if err := sim.ReadStrictly(line, &p); err != nil {
			return Record{}, false, fmt.Errorf("line %d: no history of a life: %w", n, err)
		}
		if part := in.Head.part(""); p.History != in.Count*part.Of+part.Number-1 || p.History >= in.Head.Plan.Histories {
			return Record{}, false, fmt.Errorf("line %d: history %d in place of history %d of %d; must be the file as it was written", n, p.History, in.Count*part.Of+part.Number-1, in.Head.Plan.Histories)
		}
		r.TestPoints, r.StopPoints = append(r.TestPoints, p.Tests...), append(r.StopPoints, p.Stops...)
		if p.Rest == nil {
			continue
		}
		p.Rest.TestPoints, p.Rest.StopPoints = r.TestPoints, r.StopPoints
		in.Count++
		in.Bytes = in.lines.Bytes()
		return *p.Rest, true, nil
	}
}

// Merge writes the lines of all parts of a study as those of one: its head, the histories in their order, its last
// line. The names are for errors. It returns the number of histories.
func Merge(parts []*Reader, names []string, write func(line []byte) error) (histories int, err error) {
	first := parts[0].Head
	list := make([]journal.Part, len(parts))
	for at, p := range parts {
		alike := p.Head
		alike.Part, alike.Parts = first.Part, first.Parts
		if err := journal.CheckSelfTests(names[0], first.SelfTest, names[at], alike.SelfTest); err != nil {
			return 0, err
		}
		if !alike.Same(first) {
			return 0, fmt.Errorf("%s and %s are not of one life: %s", names[0], names[at], Differences(first, p.Head))
		}
		list[at] = p.Head.part(names[at])
	}
	order, err := journal.Order(list)
	if err != nil {
		return 0, err
	}
	whole := parts[order[0]].Head
	whole.Part, whole.Parts = 0, 0
	head, err := journal.Line(whole)
	if err != nil {
		return 0, err
	}
	if err := write(head); err != nil {
		return 0, err
	}
	for n := range whole.Plan.Histories {
		at := order[n%len(order)]
		_, more, err := parts[at].Next()
		switch {
		case err != nil:
			return n, fmt.Errorf("%s: %w", names[at], err)
		case !more:
			return n, fmt.Errorf("%s ends after %d of %d histories; must be finished first: the same command continues it", names[at], parts[at].Count, list[at].Share(whole.Plan.Histories))
		}
		if err := write(parts[at].raw); err != nil {
			return n, err
		}
	}
	return whole.Plan.Histories, mergeEnds(parts, names, write, whole.Plan.Histories)
}

// mergeEnds requires the last line of every part, and writes that of the whole.
func mergeEnds(parts []*Reader, names []string, write func(line []byte) error, histories int) error {
	for at, p := range parts {
		if _, _, err := p.Next(); err != nil {
			return fmt.Errorf("%s: %w", names[at], err)
		}
		if !p.Complete {
			return fmt.Errorf("%s has all its histories but not its last line; the same command writes it", names[at])
		}
	}
	line, err := TailLine(histories)
	if err != nil {
		return err
	}
	return write(line)
}

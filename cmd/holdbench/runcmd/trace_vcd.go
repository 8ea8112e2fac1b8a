package runcmd

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/vcd"
	"holdbench/sequence"
	"holdbench/sim"
)

// vcdTrace is a trace as a value change dump. A word is a whole number, its place among the words of its
// variable; a comment has the words, and one that is not known ahead is told before it comes first.
type vcdTrace struct {
	out     io.Writer
	ready   *sim.Case
	columns []sim.Column
	words   []map[string]int // of a column of words
	dump    *vcd.Dump        // begun with the first row
	values  []float64
	text    []byte
}

func beginVCD(out io.Writer, ready *sim.Case) (traceWriter, error) {
	return &vcdTrace{out: out, ready: ready}, nil
}

// begin writes the heading. A column without a value at the start has none later, and no variable.
func (t *vcdTrace) begin(r *sim.Row) error {
	h := vcd.Heading{Version: "holdbench " + command.Version(), Top: "bench", Tick: t.ready.Rig.Clock.Tick}
	h.Comments = append(h.Comments, fmt.Sprintf("scenario %q, rig %q, sequence %q, seed %d", t.ready.Scenario.Scenario, t.ready.Rig.Rig, t.ready.Sequence.Name, t.ready.Seed))
	h.Comments = append(h.Comments, changes(&t.ready.Scenario)...)
	var variables []vcd.Variable
	for _, c := range sim.Columns(t.ready.Sequence) {
		v := vcd.Variable{Scope: string(c.Group), Name: c.Name, Kind: vcd.Real}
		var words map[string]int
		switch c.Kind {
		case sequence.KindBoolean:
			v.Kind = vcd.Wire
		case sequence.KindWord:
			v.Kind, words = vcd.Integer, map[string]int{}
			h.Comments = append(h.Comments, wordsComment(c.Name, c.Words, words))
		default:
			if r != nil && math.IsNaN(c.Number(r)) {
				continue
			}
		}
		t.columns, t.words, variables = append(t.columns, c), append(t.words, words), append(variables, v)
	}
	t.values = make([]float64, len(variables))
	var err error
	t.dump, err = vcd.New(t.out, h, variables)
	return err
}

// changes are the values and the faults of a run, those of the command line among them.
func changes(s *sim.Scenario) []string {
	var list []string
	for _, key := range slices.Sorted(maps.Keys(s.Set)) {
		list = append(list, fmt.Sprintf("set %s = %q", key, s.Set[key]))
	}
	for i := range s.Faults {
		for _, key := range slices.Sorted(maps.Keys(s.Faults[i].Set)) {
			list = append(list, fmt.Sprintf("fault %s = %q", key, s.Faults[i].Set[key]))
		}
	}
	return list
}

// wordsComment tells the words of a variable and notes them. The empty word is the first of free text.
func wordsComment(name string, words []string, known map[string]int) string {
	if words == nil {
		words = []string{""}
	}
	parts := make([]string, len(words))
	for i, w := range words {
		known[w] = i
		parts[i] = wordPart(i, w)
	}
	return name + ": " + strings.Join(parts, ", ")
}

func wordPart(i int, word string) string { return strconv.Itoa(i) + " " + strconv.Quote(word) }

// Row writes what has changed.
func (t *vcdTrace) Row(r *sim.Row) error {
	if t.dump == nil {
		if err := t.begin(r); err != nil {
			return err
		}
	}
	for i := range t.columns {
		c := &t.columns[i]
		if c.Kind != sequence.KindWord {
			t.values[i] = c.Number(r)
			continue
		}
		t.text = c.AppendText(t.text[:0], r)
		place, ok := t.words[i][string(t.text)]
		if !ok {
			place = len(t.words[i])
			t.words[i][string(t.text)] = place
			if err := t.dump.Comment(c.Name + ": " + wordPart(place, string(t.text))); err != nil {
				return err
			}
		}
		t.values[i] = float64(place)
	}
	return t.dump.Moment(time.Duration(math.Round(r.TS*float64(time.Second))), t.values)
}

// Close writes the end.
func (t *vcdTrace) Close() error {
	if t.dump == nil {
		if err := t.begin(nil); err != nil {
			return err
		}
	}
	return t.dump.Close()
}

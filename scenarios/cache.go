package scenarios

import (
	"maps"
	"slices"
	"sync"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// cache keeps the documents that were read without an error, so that each is read and
// checked once a process. What it holds does not leave the package: callers get copies,
// which are theirs to change. It holds a limited number of documents; once it is full it is
// emptied, which costs time and nothing else.
type cache struct {
	mu    sync.Mutex
	known map[content]*document
}

// mostKnown is some times the number of the built-in documents.
const mostKnown = 1000

// content is what a document is known by: not its place alone, for a file may change.
type content struct {
	kind       Kind
	name, text string
	reach      Reach // of the document of a program, whose text is read with it
}

// document is what a text came to; what it is not stays empty.
type document struct {
	rig      plant.Rig
	logic    sequence.Logic
	scenario sim.Scenario
	warnings problem.List
	program  programText // of a binding
}

//nolint:gochecknoglobals // a memo: the answer is the same without it, only later
var shared cache

// look returns the entry of a key, nil if there is none.
func (c *cache) look(key content) *document {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.known[key]
}

// read is whether a document was read without an error.
func (c *cache) read(kind Kind, name string, text []byte) bool {
	return c.look(content{kind: kind, name: name, text: string(text)}) != nil || c.look(content{kind, name, string(text), Anywhere}) != nil
}

func (c *cache) keep(key content, d *document) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.known == nil || len(c.known) >= mostKnown {
		c.known = map[content]*document{}
	}
	c.known[key] = d
}

// rig reads a rig.
func (c *cache) rig(name string, text []byte) (*plant.Rig, problem.List, error) {
	key := content{kind: RigKind, name: name, text: string(text)}
	d := c.look(key)
	if d == nil {
		src, err := readAs(RigKind, name, text)
		if err != nil {
			return nil, nil, err
		}
		rig, warnings, err := src.rig("$", src.root())
		if err != nil {
			return rig, warnings, err
		}
		d = &document{rig: *rig, warnings: warnings}
		c.keep(key, d)
	}
	rig := d.rig
	rig.Sequence = maps.Clone(rig.Sequence)
	return &rig, slices.Clone(d.warnings), nil
}

// sequence reads and vets a sequence; of a binding the program too.
func (c *cache) sequence(name string, text []byte, reach Reach) (sequence.Logic, programText, problem.List, error) {
	key := content{SequenceKind, name, string(text), reach}
	d := c.look(key)
	if d == nil || d.program.changed() {
		src, err := readAs(SequenceKind, name, text)
		if err != nil {
			return nil, programText{}, nil, err
		}
		src.reach = reach
		of, warnings, err := src.sequence("$", src.root())
		if err != nil {
			return nil, src.program, warnings, err
		}
		d = &document{logic: of, warnings: warnings, program: src.program}
		c.keep(key, d)
	}
	return d.logic, d.program, slices.Clone(d.warnings), nil
}

// scenario reads a scenario, without what it names.
func (c *cache) scenario(name string, text []byte) (sim.Scenario, *source, error) {
	key := content{kind: ScenarioKind, name: name, text: string(text)}
	if d := c.look(key); d != nil {
		return d.scenario.Clone(), &source{name: name, text: text}, nil
	}
	src, err := readAs(ScenarioKind, name, text)
	if err != nil {
		return sim.Scenario{}, nil, err
	}
	s, err := src.scenario()
	if err == nil {
		c.keep(key, &document{scenario: s.Clone()})
	}
	return s, src, err
}

// readAs parses a document of a kind.
func readAs(kind Kind, name string, text []byte) (*source, error) {
	src, err := read(name, text)
	if err == nil {
		err = src.refuseKind(kind, "")
	}
	if err != nil {
		return nil, err
	}
	return src, nil
}

package sequence

import (
	"crypto/sha256"
	"encoding/binary"
	"maps"
	"slices"
	"sync"

	"github.com/expr-lang/expr/ast"

	"holdbench/plant/problem"
)

// checked is the result of analysing a document with its values. It is shared and
// never changed.
type checked struct {
	program   *Program // nil if something is wrong
	problems  problem.List
	reactions problem.List // that are missing

	guardReactions problem.List // that are missing on a machine with a guard
}

// trees are the expressions of a document by their text. They do not depend on values,
// are shared by all analyses of the document and never changed.
type trees map[string]ast.Node

type digest [sha256.Size]byte

// store keeps values by the digest of what they were made from. It holds a limited
// number: once it is full it is emptied, which costs time and nothing else.
type store[T any] struct {
	mu    sync.Mutex
	limit int
	known map[digest]T
}

// get returns the value of a key, or computes and keeps it. Two callers may
// compute it at the same time, with the same result.
func (s *store[T]) get(key digest, compute func() T) T {
	s.mu.Lock()
	v, ok := s.known[key]
	s.mu.Unlock()
	if ok {
		return v
	}
	v = compute()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.known == nil || len(s.known) >= s.limit {
		s.known = map[digest]T{}
	}
	s.known[key] = v
	return v
}

// A document is checked and compiled once a process with the same values, by its
// content. What is kept cannot change: it is made from a copy of the document, a program
// is immutable, and problems are copied on their way out.
//
//nolint:gochecknoglobals // a memo: the answer is the same without it, only later
var (
	checks      = store[checked]{limit: 256}
	expressions = store[trees]{limit: 64}
)

// check analyses the document with values, once for each content.
func check(d Document, values Values) checked {
	document := d.appendTo(make([]byte, 0, 64<<10))
	of := sha256.Sum256(document)
	return checks.get(sha256.Sum256(values.appendTo(of[:])), func() checked {
		d := d.Clone()
		a := analyse(d, values, expressions.get(of, func() trees { return treesOf(d) }))
		c := checked{problems: a.problems, reactions: a.reactions, guardReactions: a.guardReactions}
		if _, err := a.problems.Split(); err == nil {
			c.program = a.program()
		}
		return c
	})
}

// treesOf parses every expression of a document. What cannot be parsed is left out, so
// that the analysis reports it at its location.
func treesOf(d Document) trees {
	t := trees{}
	add := func(text Text) {
		if _, ok := t[string(text)]; ok || text == "" {
			return
		}
		if e, err := ParseExpr(string(text)); err == nil {
			t[e.Text] = e.Node
		}
	}
	for _, p := range d.Params {
		add(p.Value)
	}
	for _, list := range d.transitions() {
		for i := range list {
			add(list[i].When)
		}
	}
	for _, s := range d.States {
		for _, kept := range s.Keep {
			add(kept.Value)
		}
		for _, set := range s.Set {
			add(set.Value)
		}
	}
	return t
}

// transitions lists the document's transitions, those under any first.
func (d Document) transitions() [][]Transition {
	all := [][]Transition{d.Any}
	for i := range d.States {
		all = append(all, d.States[i].Go)
	}
	return all
}

// Clone is a copy that shares no list with the document.
func (d Document) Clone() Document {
	d.Params, d.Any, d.States, d.Ends = slices.Clone(d.Params), slices.Clone(d.Any), slices.Clone(d.States), slices.Clone(d.Ends)
	d.Roles = slices.Clone(d.Roles)
	for i := range d.States {
		s := &d.States[i]
		s.Keep, s.Set, s.Go, s.OptOut = slices.Clone(s.Keep), slices.Clone(s.Set), slices.Clone(s.Go), slices.Clone(s.OptOut)
	}
	return d
}

// appendTo writes all that the document holds, so that two documents differ
// in it if they differ.
func (d Document) appendTo(b []byte) []byte {
	b = appendTexts(b, d.Sequence, d.Note, d.Start, d.AfterPowerLoss)
	b = appendCount(b, len(d.Params))
	for i := range d.Params {
		b = appendTexts(b, d.Params[i].Name, string(d.Params[i].Value), d.Params[i].Note)
	}
	b = appendCount(b, len(d.Roles))
	for i := range d.Roles {
		b = appendTexts(b, d.Roles[i].Role, string(d.Roles[i].Param))
	}
	b = appendCount(b, len(d.States))
	for i := range d.States {
		b = d.States[i].appendTo(b)
	}
	b = appendTransitions(b, d.Any)
	b = appendCount(b, len(d.Ends))
	for i := range d.Ends {
		b = appendTexts(b, d.Ends[i].State, string(d.Ends[i].Kind))
	}
	return b
}

func (s *State) appendTo(b []byte) []byte {
	b = appendTexts(b, s.Name, s.Note)
	b = appendCount(b, len(s.Keep))
	for i := range s.Keep {
		b = appendTexts(b, s.Keep[i].Name, string(s.Keep[i].Value))
	}
	b = appendCount(b, len(s.Set))
	for i := range s.Set {
		b = appendTexts(b, s.Set[i].Output, string(s.Set[i].Value))
	}
	b = appendTransitions(b, s.Go)
	b = appendCount(b, len(s.OptOut))
	b = appendTexts(b, s.OptOut...)
	if s.SlipsBrake {
		return append(b, 1)
	}
	return append(b, 0)
}

func appendTransitions(b []byte, list []Transition) []byte {
	b = appendCount(b, len(list))
	for i := range list {
		t := &list[i]
		b = appendTexts(b, t.To, string(t.When), string(t.For), string(t.After), string(t.Times), string(t.Cause))
	}
	return b
}

func (v Values) appendTo(b []byte) []byte {
	for _, name := range slices.Sorted(maps.Keys(v)) {
		b = appendTexts(b, name, v[name])
	}
	return b
}

func appendTexts(b []byte, texts ...string) []byte {
	for _, text := range texts {
		b = append(appendCount(b, len(text)), text...)
	}
	return b
}

func appendCount(b []byte, n int) []byte { return binary.AppendUvarint(b, uint64(n)) } //nolint:gosec // a length is not negative

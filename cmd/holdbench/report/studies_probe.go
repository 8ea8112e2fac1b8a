package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// Probe is the output of holdbench probe --json, with what is accepted by name.
type Probe struct {
	Study
	Head     probe.Head
	Results  probe.Results
	Accepted string // the document of what is accepted; empty without one
}

func (p *Probe) study() *Study {
	h := &p.Head
	p.what, p.scenario, p.rig, p.sequence, p.Version, p.Sources = theProbe, h.Probe, h.Rig, h.Sequence, h.Version, h.Sources
	p.same = fingerprinted(h.Documents, h.Seed, func(c *sim.Case) (string, error) {
		head, err := probe.NewHead(c, probe.Options{})
		return head.Documents, err
	})
	return &p.Study
}

func (p *Probe) section(n int) *Section {
	h := p.Head
	s := &Section{Title: "Probe of " + page.CleanLine(h.Probe) + ": every fault in every state", Notes: []string{
		p.source(),
		fmt.Sprintf("rig %s, %s, seed %d, documents %s; %s.", page.CleanLine(h.Rig), page.CleanLine(sequence.Titled(h.Sequence)), h.Seed, page.CleanLine(h.Documents), page.Count(len(p.Results.Outcomes), "cell", "cells")),
	}}
	if p.Accepted != "" {
		s.Notes = append(s.Notes, "Accepted by name: "+page.CleanLine(p.Accepted)+".")
	}
	if len(h.Faults)+len(h.States)+len(h.Through) > 0 {
		s.Notes = append(s.Notes, "Only a part was probed: faults "+chosen(h.Faults)+"; states "+chosen(h.States)+"; reached through "+chosen(h.Through)+".")
	}
	if !p.Results.Complete {
		s.Items = append(s.Items, Cell{Text: "the probe was interrupted: the file has what was done until then", Tone: "bad"})
	}
	s.Tables = []Table{p.counts(), p.findings()}
	if !h.Pairs {
		s.Tables = append(s.Tables, p.matrix(n)...)
	}
	return s
}

// chosen are names of a choice; none is all.
func chosen(names []string) string {
	if len(names) == 0 {
		return "all"
	}
	return page.CleanLine(strings.Join(names, ", "))
}

func (p *Probe) counts() Table {
	t := Table{Caption: "cells by outcome", Columns: heads("outcome", "sign", ">open", ">not detectable or not preventable", ">accepted by name")}
	n := probe.Count(p.Results.Outcomes)
	for _, k := range probe.Kinds() {
		open := number(n.Open[k], k != probe.Fine && k != probe.FalseAlarm)
		t.addCells(Cell{Text: kindText(k)}, Cell{Text: kindSign(k)}, open, number(n.Excused[k], false), number(n.Accepted[k], false))
	}
	return t
}

func kindText(k probe.Kind) string {
	switch k {
	case probe.Missed:
		return "missed: operation released with insufficient torque, or with a load that was not held"
	case probe.Dropped:
		return "dropped: the load dropped more than the limit"
	case probe.Stale:
		return "stale: pass on an old proof"
	case probe.Endless:
		return "endless: the run did not end"
	case probe.Broken:
		return "broken: another obligation was broken"
	case probe.FalseAlarm:
		return "false alarm: no release, and no fault"
	}
	return "fine"
}

func kindSign(k probe.Kind) string {
	if k == probe.Fine {
		return "·"
	}
	return strings.ToUpper(string(k)[:1])
}

// finding is a group of cells with the same outcome, in words.
type finding struct {
	probe.Finding
	accepted string
}

func (p *Probe) groups() []finding {
	var list []finding
	for _, f := range p.Results.Findings() {
		list = append(list, finding{f, f.Accepted})
	}
	return list
}

func (f *finding) words() string {
	text := fmt.Sprintf("%s, %s, class %s", page.Count(len(f.Cells), "cell", "cells"), f.Kind, f.Class)
	if f.Cause != "" {
		text += ", cause " + page.CleanLine(f.Cause)
	}
	if len(f.Broken) > 0 {
		text += ", breaks " + page.CleanLine(strings.Join(f.Broken, " and "))
	}
	return text + "; faults " + page.CleanLine(strings.Join(f.Faults, ", ")) + "; states " + stateNames(f.States)
}

func stateNames(states []string) string {
	list := make([]string, len(states))
	for i, s := range states {
		list[i] = page.CleanLine(s)
		if s == "" {
			list[i] = "the whole run"
		}
	}
	return strings.Join(list, ", ")
}

func (p *Probe) findings() Table {
	t := Table{Caption: "findings", Columns: heads("status", "finding", "reason or rule")}
	for _, f := range p.groups() {
		status, reason := Cell{Text: "to review", Tone: "bad"}, ""
		switch {
		case f.Excused:
			status, reason = Cell{Text: "set aside by rule"}, "not detectable in time from the signals, or not preventable with any reaction of drive and brake"
		case f.accepted != "":
			status, reason = Cell{Text: "accepted by name"}, page.CleanLine(f.accepted)
		case f.Kind == probe.FalseAlarm:
			status, reason = Cell{Text: "false alarm", Tone: "warn"}, "not dangerous by itself; frequent false alarms lead to tests that are switched off"
		}
		t.addCells(status, Cell{Text: f.words()}, Cell{Text: reason})
	}
	if len(t.Rows) == 0 {
		t.add("", "none: every cell is fine", "")
	}
	return t
}

// matrix has a row a fault and a column a state, with the worst outcome of each square, and the key of
// the columns ahead of it.
func (p *Probe) matrix(int) []Table {
	m := Table{Class: "matrix", Caption: "worst outcome of each fault in each state", Columns: heads("fault"), Notes: []string{
		"Signs are those of the table of outcomes; a small letter is set aside by rule or accepted by name; an empty square was not tried.",
	}}
	key := Table{Caption: "columns of the matrix", Columns: heads("state", "state", "state", "state")}
	squares := p.Results.Matrix()
	var used []int
	for c, name := range append([]string{""}, p.Results.States...) {
		if slices.ContainsFunc(squares, func(row []probe.MatrixCell) bool { return row[c].Cells > 0 }) {
			used = append(used, c)
			m.Columns = append(m.Columns, Column{Name: strconv.Itoa(len(used))})
			text := strconv.Itoa(len(used)) + " " + stateNames([]string{name})
			if last := len(key.Rows) - 1; last >= 0 && len(key.Rows[last]) < len(key.Columns) {
				key.Rows[last] = append(key.Rows[last], Cell{Text: text})
			} else {
				key.add(text)
			}
		}
	}
	if last := len(key.Rows) - 1; last >= 0 {
		for len(key.Rows[last]) < len(key.Columns) {
			key.Rows[last] = append(key.Rows[last], Cell{})
		}
	}
	for i, fault := range p.Results.Faults {
		row := []Cell{{Text: page.CleanLine(fault)}}
		for _, c := range used {
			row = append(row, squareCell(&squares[i][c]))
		}
		m.Rows = append(m.Rows, row)
	}
	return []Table{key, m}
}

func squareCell(s *probe.MatrixCell) Cell {
	o := s.Worst
	switch {
	case o == nil:
		return Cell{}
	case o.Kind == probe.Fine:
		return Cell{Text: kindSign(o.Kind), Tone: "soft"}
	case o.SetAside():
		return Cell{Text: strings.ToLower(kindSign(o.Kind)), Tone: "warn"}
	}
	return Cell{Text: kindSign(o.Kind), Tone: "bad"}
}

package report

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
	"holdbench/sim/mutation"
	"holdbench/sim/probe"
	"holdbench/sim/sweep"
)

// Studies are the files of other commands that the record takes in.
type Studies struct {
	Probes    []*Probe
	Mutations []*Mutation
	Sweeps    []*Sweep
	Lives     []*Life
}

// Probe is the output of holdbench probe --json, with what is accepted by name.
type Probe struct {
	File     string
	SHA256   string
	Head     probe.Head
	Results  probe.Results
	Accepted string // the document of what is accepted; empty without one
}

// Mutation is the output of holdbench check --mutate --json.
type Mutation struct {
	File    string
	SHA256  string
	Mutants []Mutant
}

// Mutant is a line of it.
type Mutant struct {
	Mutant   string `json:"mutant"`
	Operator string `json:"operator"`
	File     string `json:"file"`
	Fate     string `json:"fate"`
	Because  string `json:"because"`
	Missing  string `json:"missing"`
}

// Sweep is the output of holdbench sweep --json.
type Sweep struct {
	File    string
	SHA256  string
	Summary sweep.Summary
}

// Life is the output of holdbench life --json.
type Life struct {
	File   string
	SHA256 string
	Values LifeValues
}

// LifeValues are those of its figures that the record shows.
type LifeValues struct {
	Life        string    `json:"life"`
	Sequence    string    `json:"sequence"`
	Seed        uint64    `json:"seed"`
	Histories   int       `json:"histories"`
	Whole       bool      `json:"whole"`
	Plan        LifePlan  `json:"plan"`
	ByInterval  []LifeSum `json:"by_interval"`
	Information string    `json:"information"`
}

// LifePlan is the production that was simulated.
type LifePlan struct {
	SpanH         float64 `json:"span_h"`
	IntervalH     float64 `json:"interval_h"`
	ShiftsPerDay  int     `json:"shifts_per_day"`
	ShiftH        float64 `json:"shift_h"`
	DaysPerWeek   int     `json:"days_per_week"`
	StopsPerShift float64 `json:"stops_per_shift"`
	PowerFailures float64 `json:"power_failures_per_year"`
}

// LifeSum is the result for one interval of tests.
type LifeSum struct {
	IntervalH        float64    `json:"interval_h"`
	Tests            int        `json:"tests"`
	Overdue          int        `json:"tests_overdue"`
	NuisanceFailures int        `json:"nuisance_failures"`
	Detections       int        `json:"detections"`
	Missed           int        `json:"missed"`
	LoadDrops        int        `json:"load_drops"`
	Undetected       int        `json:"undetected"`
	ExposureH        LifeSpread `json:"exposure_h"`
	InProductionH    LifeSpread `json:"exposure_in_production_h"`
}

// LifeSpread is a distribution over histories.
type LifeSpread struct {
	N      int     `json:"n"`
	Mean   float64 `json:"mean"`
	Median float64 `json:"median"`
	P95    float64 `json:"p95"`
	Max    float64 `json:"max"`
}

// errNotOf is what a file must be.
func errNotOf(command string) error {
	return errors.New("must be what holdbench " + command + " prints")
}

// Check refuses a file of something else.
func (s *Sweep) Check() error {
	if s.Summary.Sweep == "" || s.Summary.Done == 0 {
		return errNotOf("sweep --json")
	}
	return nil
}

// Check refuses a file of something else.
func (l *Life) Check() error {
	if l.Values.Life == "" || len(l.Values.ByInterval) == 0 {
		return errNotOf("life --json")
	}
	return nil
}

// Check refuses a file of something else.
func (m *Mutation) Check() error {
	for i, x := range m.Mutants {
		switch mutation.Status(x.Fate) {
		case mutation.Refused, mutation.Detected, mutation.Equivalent, mutation.Survived:
		default:
			return fmt.Errorf("line %d: mutant %q has the fate %q; %w", i+1, x.Mutant, x.Fate, errNotOf("check --mutate --json"))
		}
	}
	if len(m.Mutants) == 0 {
		return errNotOf("check --mutate --json")
	}
	return nil
}

// missing are the studies that were not given.
func (s *Studies) missing() []string {
	var list []string
	if len(s.Probes) == 0 {
		list = append(list, "every fault in every state (holdbench probe --json, --probe of this command): not given")
	}
	if len(s.Mutations) == 0 {
		list = append(list, "whether the test cases notice mistakes in the sequence (holdbench check --mutate --json, --mutation): not given")
	}
	if len(s.Sweeps) == 0 {
		list = append(list, "how often an insufficient brake is missed when data spread (holdbench sweep --json, --sweep): not given")
	}
	if len(s.Lives) == 0 {
		list = append(list, "exposure over months of production (holdbench life --json, --life): not given")
	}
	return list
}

// chapter shows the studies that were given.
func (s *Studies) chapter(*Input) *Section {
	c := &Section{ID: "studies", Title: "Further studies"}
	for i, p := range s.Probes {
		c.Parts = append(c.Parts, p.section(i+1))
	}
	for _, m := range s.Mutations {
		c.Parts = append(c.Parts, m.section())
	}
	for _, w := range s.Sweeps {
		c.Parts = append(c.Parts, w.section())
	}
	for _, l := range s.Lives {
		c.Parts = append(c.Parts, l.section())
	}
	c.Notes = []string{"Studies are taken from the files of other commands as they were given; that they belong to the documents of this record has to be seen from the names and hashes."}
	if len(c.Parts) == 0 {
		c.Notes = []string{"None was given; see what was not tested."}
	}
	return c
}

func source(file, sha string) string {
	return "From " + page.CleanLine(file) + ", SHA-256 " + sha + "."
}

func (p *Probe) section(n int) *Section {
	h := p.Head
	s := &Section{Title: "Probe of " + page.CleanLine(h.Probe) + ": every fault in every state", Notes: []string{
		source(p.File, p.SHA256),
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

func (m *Mutation) section() *Section {
	s := &Section{Title: "Mistakes in the sequence that the test cases notice", Notes: []string{source(m.File, m.SHA256)}}
	t := Table{Caption: "mutants by kind of mistake", Columns: heads("mistake", ">made", ">noticed", ">survived", ">equivalent", ">refused by vet", ">noticed, of those that count")}
	count := map[string]map[mutation.Status]int{}
	var order []string
	for _, x := range m.Mutants {
		for _, key := range []string{x.Operator, "all"} {
			if count[key] == nil {
				count[key] = map[mutation.Status]int{}
				order = append(order, key)
			}
			count[key][mutation.Status(x.Fate)]++
		}
	}
	order = append(slices.DeleteFunc(order, func(k string) bool { return k == "all" }), "all")
	for _, key := range order {
		n := count[key]
		relevant := n[mutation.Detected] + n[mutation.Survived]
		share := "–"
		if relevant > 0 {
			share = fmt.Sprintf("%.1f %%", 100*float64(n[mutation.Detected])/float64(relevant))
		}
		t.add(page.CleanLine(key), strconv.Itoa(relevant+n[mutation.Equivalent]+n[mutation.Refused]), strconv.Itoa(n[mutation.Detected]), strconv.Itoa(n[mutation.Survived]), strconv.Itoa(n[mutation.Equivalent]), strconv.Itoa(n[mutation.Refused]), share)
	}
	s.Tables = []Table{t, m.list("mistakes that no test case notices", mutation.Survived, "missing test case", func(x *Mutant) string { return x.Missing }),
		m.list("mistakes that no test case can notice", mutation.Equivalent, "argument", func(x *Mutant) string { return x.Because })}
	return s
}

func (m *Mutation) list(caption string, fate mutation.Status, head string, text func(*Mutant) string) Table {
	t := Table{Caption: caption, Columns: heads("mistake", head)}
	for i := range m.Mutants {
		if x := &m.Mutants[i]; mutation.Status(x.Fate) == fate {
			t.add(page.CleanLine(x.Mutant), page.CleanLine(text(x)))
		}
	}
	if len(t.Rows) == 0 {
		t.add("none", "")
	}
	return t
}

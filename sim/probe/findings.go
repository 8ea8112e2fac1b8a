package probe

import (
	"cmp"
	"slices"
	"strings"

	"holdbench/sim"
)

// Finding is a group of cells with the same outcome: one kind, class and cause, the same obligations
// broken, and a controller that stopped by itself or did not.
type Finding struct {
	Kind     Kind
	Excused  bool   // no sequence could have detected or prevented it
	Accepted string // the reason for which it is accepted by name; empty if it is not
	Class    sim.Class
	Cause    string
	Broken   []string
	Cells    []int // indices of Results.Outcomes, the most instructive one first
	Faults   []string
	States   []string // empty text: the whole run
}

// Findings groups all outcomes that are not fine, the most dangerous first: those to review, those
// that no sequence could have detected or prevented, those accepted by name; then by kind, then by
// the size of the group.
func (m *Results) Findings() []Finding {
	places := map[string]int{}
	var list []Finding
	for i := range m.Outcomes {
		o := &m.Outcomes[i]
		if o.Kind == Fine {
			continue
		}
		key := o.groupKey()
		at, known := places[key]
		if !known {
			at = len(list)
			places[key] = at
			list = append(list, Finding{Kind: o.Kind, Excused: o.Excused(), Accepted: o.Accepted, Class: o.Class, Cause: o.Cause, Broken: o.Broken})
		}
		list[at].add(i, o)
	}
	for i := range list {
		m.worstAhead(&list[i])
	}
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(a.asideRank(), b.asideRank()),
			cmp.Compare(a.Kind.Rank(), b.Kind.Rank()),
			cmp.Compare(len(b.Cells), len(a.Cells)),
		)
	})
	return list
}

// groupKey is what the outcomes of a finding have in common.
func (o *Outcome) groupKey() string {
	excused, stopped := "", ""
	if o.Excused() {
		excused = "excused"
	}
	if o.ControllerStopped != nil {
		stopped = "stopped"
	}
	return strings.Join(append([]string{string(o.Kind), excused, o.Accepted, string(o.Class), o.Cause, stopped}, o.Broken...), "|")
}

// asideRank orders findings by whether a person has to review them.
func (f *Finding) asideRank() int {
	switch {
	case f.Excused:
		return 1
	case f.Accepted != "":
		return 2
	}
	return 0
}

func lastIf(last bool) int {
	if last {
		return 1
	}
	return 0
}

func (f *Finding) add(i int, o *Outcome) {
	f.Cells = append(f.Cells, i)
	for _, name := range o.faults() {
		if !slices.Contains(f.Faults, name) {
			f.Faults = append(f.Faults, name)
		}
	}
	if !slices.Contains(f.States, o.State) {
		f.States = append(f.States, o.State)
	}
}

// faults are the one of a cell, or the two of a pair.
func (o *Outcome) faults() []string {
	if o.With == "" {
		return []string{o.Fault}
	}
	return []string{o.With, o.Fault}
}

// worstAhead puts the cell first that shows the finding best: reached without other faults,
// ended in a pass, with the largest load drop.
func (m *Results) worstAhead(f *Finding) {
	slices.SortStableFunc(f.Cells, func(i, j int) int {
		a, b := &m.Outcomes[i], &m.Outcomes[j]
		return cmp.Or(
			cmp.Compare(len(a.Route), len(b.Route)),
			-cmp.Compare(lastIf(a.End == "pass"), lastIf(b.End == "pass")),
			-cmp.Compare(a.LoadDropMM, b.LoadDropMM),
		)
	})
}

// MatrixCell sums up one fault in one state, at all its moments and severities.
type MatrixCell struct {
	Cells int      // 0: not tried
	Worst *Outcome // nil: not tried
}

// Matrix has a row for each fault, in the order of Faults, and a column for the whole run and for
// each state, in the order of States.
func (m *Results) Matrix() [][]MatrixCell {
	rows := make([][]MatrixCell, len(m.Faults))
	for i := range rows {
		rows[i] = make([]MatrixCell, len(m.States)+1)
	}
	for i := range m.Outcomes {
		o := &m.Outcomes[i]
		row, column := slices.Index(m.Faults, o.Fault), slices.Index(m.States, o.State)+1
		if row < 0 {
			continue
		}
		rows[row][column].count(o)
	}
	return rows
}

// count takes one more outcome. Of equally urgent ones the first is shown.
func (c *MatrixCell) count(o *Outcome) {
	if c.Worst == nil || worse(o, c.Worst) {
		c.Worst = o
	}
	c.Cells++
}

// worse is whether a is more urgent than b.
func worse(a, b *Outcome) bool { return slices.Compare(urgency(a), urgency(b)) < 0 }

// urgency orders outcomes: those that could have been prevented first, then by kind.
func urgency(o *Outcome) []int {
	switch {
	case o.Dangerous():
		return []int{0, o.Kind.Rank()}
	case o.failed():
		return []int{2, o.Kind.Rank()}
	case o.Kind == FalseAlarm:
		return []int{1, 0}
	}
	return []int{3, 0}
}

// Stops counts the outcomes in which the controller stopped by itself.
func Stops(outcomes []Outcome) sim.StopCount {
	var n sim.StopCount
	for i := range outcomes {
		n.Add(outcomes[i].ControllerStopped)
	}
	return n
}

// Counts are the cells of each kind: to review or fine, set aside by rule, accepted by name.
type Counts struct{ Open, Excused, Accepted map[Kind]int }

// Count counts outcomes.
func Count(outcomes []Outcome) Counts {
	n := Counts{map[Kind]int{}, map[Kind]int{}, map[Kind]int{}}
	for i := range outcomes {
		o := &outcomes[i]
		switch {
		case o.Excused():
			n.Excused[o.Kind]++
		case o.Accepted != "":
			n.Accepted[o.Kind]++
		default:
			n.Open[o.Kind]++
		}
	}
	return n
}

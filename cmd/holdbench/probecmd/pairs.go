package probecmd

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/probe"
)

// blankPairWhat stands beside the blank of a matrix of pairs.
const blankPairWhat = "not tried: both set the same value, or no state has both"

// faultName is the fault of a cell, or both faults of a pair.
func faultName(c *probe.Cell) string {
	if c.With == "" {
		return c.Fault
	}
	return c.With + " + " + c.Fault
}

// pairWords are the pairs of a finding.
func pairWords(m *probe.Results, f *probe.Finding) []string {
	var list []string
	seen := map[string]bool{}
	for _, i := range f.Cells {
		if pair := faultName(&m.Outcomes[i].Cell); !seen[pair] {
			seen[pair], list = true, append(list, pair)
		}
	}
	return list
}

// planWords describe a plan of two faults at once.
func planWords(p probe.Extent) string {
	return fmt.Sprintf("Two faults at once, by pairwise covering: %s %s of values of fault, severity, state and moment, each at least once; all combinations would take %s.",
		page.Count(p.Runs, "run covers", "runs cover"), page.Count(p.Pairs, "pair", "pairs"), page.Count(p.All, "run", "runs"))
}

// neverWords count the pairs of which only one fault occurred; empty if there are none.
func neverWords(m *probe.Results) string {
	n := 0
	for i := range m.Outcomes {
		if m.Outcomes[i].NeverCame {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("In %s the second fault never occurred, as the first one had changed the path.", page.Count(n, "cell", "cells"))
}

// triangle is the worst of every two faults, below the diagonal.
type triangle struct {
	m       *probe.Results
	squares [][]probe.MatrixCell
	faults  []int // places in Results.Faults, of those that have cells
	groups  []string
}

func newTriangle(m *probe.Results) *triangle {
	x := &triangle{m: m, squares: m.PairMatrix()}
	for i, row := range x.squares {
		if slices.ContainsFunc(row, func(s probe.MatrixCell) bool { return s.Cells > 0 }) {
			x.faults, x.groups = append(x.faults, i), append(x.groups, groupOf(m.Faults[i]))
		}
	}
	return x
}

func (x *triangle) name(n int) string { return x.m.Faults[x.faults[n]] }

// worst is the outcome of the n-th fault with an earlier one, nil where there is none.
func (x *triangle) worst(n, earlier int) *probe.Outcome {
	if earlier >= n {
		return nil
	}
	return x.squares[x.faults[n]][x.faults[earlier]].Worst
}

// print prints the pairs. The numbers of the columns are those of the rows, which start
// with the first column of each block.
func (x *triangle) print(v *sheet) {
	v.Section("worst of every two faults")
	label := 0
	columns := []int{} // all but the last, which has nothing below it
	for n := range x.faults {
		label = max(label, signCells+1+page.Cells(x.name(n)))
		columns = append(columns, n)
	}
	columns = columns[:max(0, len(columns)-1)]
	for i, block := range blocks(columns, (v.full-label)/signCells) {
		if i > 0 {
			v.Line()
		}
		x.block(v, block, label)
	}
	v.Line()
	v.legend(blankPairWhat)
}

func (x *triangle) block(v *sheet, block []int, label int) {
	for n := block[0]; n < len(x.faults); n++ {
		if n == block[0] || x.groups[n] != x.groups[n-1] {
			x.head(v, block, n, label)
		}
		var line strings.Builder
		for _, c := range block {
			sign := " "
			if o := x.worst(n, c); o != nil {
				sign = v.sign(o)
			}
			line.WriteString(strings.Repeat(" ", signCells-1) + sign)
		}
		number := v.Style.Faint.Render(page.PadLeft(strconv.Itoa(n+1), signCells))
		v.Line(number, " ", page.Pad(x.name(n), label-signCells-1), line.String())
	}
}

// head names a group, and the columns that its rows have something in.
func (x *triangle) head(v *sheet, block []int, first, label int) {
	last := first
	for last+1 < len(x.groups) && x.groups[last+1] == x.groups[first] {
		last++
	}
	var heads strings.Builder
	for _, c := range block {
		if c < last {
			heads.WriteString(page.PadLeft(strconv.Itoa(c+1), signCells))
		}
	}
	if first > block[0] {
		v.Line()
	}
	v.Line(v.Style.Strong.Render(page.Pad(x.groups[first], label)), v.Style.Faint.Render(heads.String()))
}

package compare

import (
	"cmp"
	"math"
	"slices"

	"holdbench/sequence"
	"holdbench/sim"
)

// Divergence is the first time that a signal differs.
type Divergence struct {
	Signal      string   `json:"signal"`
	Group       string   `json:"group"`
	AtAS        float64  `json:"at_a_s"`
	AtBS        float64  `json:"at_b_s"`
	StateA      string   `json:"state_a"`
	StateB      string   `json:"state_b"`
	A           string   `json:"a"`
	B           string   `json:"b"`
	Difference  *float64 `json:"difference"`
	Tolerance   *float64 `json:"tolerance"`
	Frozen      string   `json:"frozen"`       // a or b, if the signal stands still in that run alone
	StatesApart bool     `json:"states_apart"` // the runs are in different states already
}

// grid is the moments at which both runs have a row, from the moment on at which they are aligned.
type grid struct {
	*Comparison
	rowsA, rowsB []int
	slack        int // moments by which chance alone can shift an event
}

func newGrid(c *Comparison) *grid {
	g := &grid{Comparison: c}
	step := max(c.A.EveryS, c.B.EveryS)
	g.slack = int(math.Ceil(max(c.A.slackS(), c.B.slackS())/step - 1e-6))
	if len(c.A.at) == 0 || len(c.B.at) == 0 {
		return g
	}
	const rounding = 1e-9
	for k := 0; ; k++ {
		a, b := c.AlignA+float64(float64(k)*step), c.AlignB+float64(float64(k)*step)
		if a > c.A.EndS()+rounding || b > c.B.EndS()+rounding {
			return g
		}
		g.rowsA, g.rowsB = append(g.rowsA, c.A.row(a)), append(g.rowsB, c.B.row(b))
	}
}

// divergences are the first differences of all signals, the earliest first; those at the same time in the order
// of a trace.
func (g *grid) divergences() []Divergence {
	type found struct {
		Divergence
		place int
	}
	var list []found
	apart := len(g.rowsA)
	for i := range g.A.columns {
		a := &g.A.columns[i]
		b := g.B.column(a.Name)
		if b == nil || b.Kind != a.Kind || a.Name == "in_state_s" { // the time in a state follows from the states
			continue
		}
		place, frozen, ok := g.first(a, b)
		if !ok {
			continue
		}
		if i == 0 {
			apart = place
		}
		d := g.divergence(a, b, place)
		d.Frozen, d.StatesApart = frozen, place > apart
		list = append(list, found{d, place})
	}
	slices.SortStableFunc(list, func(x, y found) int { return cmp.Compare(x.place, y.place) })
	sorted := make([]Divergence, len(list))
	for i := range list {
		sorted[i] = list[i].Divergence
	}
	return sorted
}

// first is the place from which on a signal differs, or an input stands still in one of the runs.
func (g *grid) first(a, b *column) (place int, frozen string, ok bool) {
	place, ok = g.firstDifference(a, b)
	if a.Kind != sequence.KindNumber || a.Group != sim.InputGroup || g.otherNoise() { // other noise may stand still by chance
		return place, "", ok
	}
	if still, found := frozenSince(g.valuesA(a), g.valuesB(b)); found && (!ok || still+g.slack < place) {
		place, frozen, ok = still, "a", true
	}
	if still, found := frozenSince(g.valuesB(b), g.valuesA(a)); found && (!ok || still+g.slack < place) {
		place, frozen, ok = still, "b", true
	}
	return place, frozen, ok
}

func (g *grid) valuesA(c *column) func(k int) (float64, bool) { return valuesOf(c, g.rowsA) }
func (g *grid) valuesB(c *column) func(k int) (float64, bool) { return valuesOf(c, g.rowsB) }

// valuesOf gives the value at a moment, and whether there is such a moment.
func valuesOf(c *column, rows []int) func(k int) (float64, bool) {
	return func(k int) (float64, bool) {
		if k >= len(rows) {
			return 0, false
		}
		return c.values[rows[k]], true
	}
}

// A signal is frozen if it does not change for frozenScans in which the other one changed at least
// otherChanges times.
const (
	frozenScans  = 200
	otherChanges = 20
)

// frozenSince finds the place from which on a signal no longer changes while the other one does.
func frozenSince(one, other func(k int) (float64, bool)) (place int, found bool) {
	lasts, changes := 0, 0
	before, _ := one(0)
	otherBefore, _ := other(0)
	for k := 1; ; k++ {
		x, more := one(k)
		y, _ := other(k)
		switch {
		case !more:
			return 0, false
		case x != before:
			lasts, changes = 0, 0
		default:
			lasts++
			if y != otherBefore {
				changes++
			}
		}
		if lasts >= frozenScans && changes >= otherChanges {
			return k - lasts + 1, true
		}
		before, otherBefore = x, y
	}
}

// firstDifference is the place from which on a signal differs for longer than the slack.
func (g *grid) firstDifference(a, b *column) (place int, found bool) {
	lasts := 0
	for k := range g.rowsA {
		if !g.differs(a, b, k) {
			lasts = 0
			continue
		}
		if lasts++; lasts > g.slack {
			return g.onset(a, b, k-g.slack), true
		}
	}
	return 0, false
}

// onset goes back to where a difference began: within the slack it does not count yet.
func (g *grid) onset(a, b *column, place int) int {
	for least := max(0, place-g.slack); place > least; place-- {
		rowA, rowB := g.rowsA[place-1], g.rowsB[place-1]
		if same(a, b, rowA, rowB, g.tolerance(a, b, rowA, rowB)) {
			return place
		}
	}
	return place
}

// differs is whether the value of each run is none that the other one has within the slack.
func (g *grid) differs(a, b *column, k int) bool {
	tolerance := g.tolerance(a, b, g.rowsA[k], g.rowsB[k])
	if same(a, b, g.rowsA[k], g.rowsB[k], tolerance) {
		return false
	}
	for j := max(0, k-g.slack); j <= min(k+g.slack, len(g.rowsA)-1); j++ {
		if g.same(a, b, g.rowsA[k], g.rowsB[j], tolerance) || g.same(a, b, g.rowsA[j], g.rowsB[k], tolerance) {
			return false
		}
	}
	return true
}

// same is whether two values are the same within the tolerance of their rows, and at least another one.
func (g *grid) same(a, b *column, rowA, rowB int, least float64) bool {
	return same(a, b, rowA, rowB, max(least, g.tolerance(a, b, rowA, rowB)))
}

// same is whether two values are the same within a tolerance.
func same(a, b *column, rowA, rowB int, tolerance float64) bool {
	x, y := a.values[rowA], b.values[rowB]
	switch a.Kind {
	case sequence.KindWord:
		return a.texts[int(x)] == b.texts[int(y)]
	case sequence.KindBoolean:
		return x == y
	}
	return math.Abs(x-y) <= tolerance || math.IsNaN(x) && math.IsNaN(y) || x == y
}

func (g *grid) divergence(a, b *column, place int) Divergence {
	rowA, rowB := g.rowsA[place], g.rowsB[place]
	p := pair(a, b, rowA, rowB, g.tolerance(a, b, rowA, rowB))
	return Divergence{
		Signal: p.Signal, Group: p.Group, AtAS: g.A.at[rowA], AtBS: g.B.at[rowB],
		StateA: g.A.columns[0].text(rowA), StateB: g.B.columns[0].text(rowB),
		A: p.A, B: p.B, Difference: p.Difference, Tolerance: p.Tolerance,
	}
}

func groupOf(c *column) string {
	if c.Group == "" {
		return stateGroup
	}
	return string(c.Group)
}

func isTruth(c *column) bool { return c.Group == sim.TruthGroup }

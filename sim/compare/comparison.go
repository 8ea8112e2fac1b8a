package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sim"
)

// Comparison is run B held against run A. Differences are B − A.
type Comparison struct {
	A, B   *Run
	By     Alignment
	AlignA float64 // s, the moment of A that belongs to AlignB
	AlignB float64

	// Visible are the first differences of the signals that the sequence reads, sets and keeps; Truth are those of
	// the truth. The earliest come first. They are sought from the moment on at which the runs are aligned, as
	// far as both runs go.
	Visible, Truth []Divergence
	Path           Path
	Outcome        []Outcome
}

// Of compares two runs. The error says which run does not come to what they are aligned at.
func Of(a, b *Run, by Alignment) (*Comparison, error) {
	c := &Comparison{A: a, B: b, By: by}
	var err error
	if c.AlignA, err = by.Moment(a.Result); err != nil {
		return nil, fmt.Errorf("run A: %w", err)
	}
	if c.AlignB, err = by.Moment(b.Result); err != nil {
		return nil, fmt.Errorf("run B: %w", err)
	}
	g := newGrid(c)
	for _, d := range g.divergences() {
		if d.Group == string(sim.TruthGroup) {
			c.Truth = append(c.Truth, d)
		} else {
			c.Visible = append(c.Visible, d)
		}
	}
	c.Path = pathOf(a.Result.Visits, b.Result.Visits)
	c.Outcome = outcomeOf(a, b)
	return c, nil
}

// ShiftS is the time of B less that of A at the same moment.
func (c *Comparison) ShiftS() float64 { return c.AlignB - c.AlignA }

// First is the earliest difference, of a visible signal if one of the truth comes at the same time; nil if there
// is none.
func (c *Comparison) First() *Divergence {
	switch {
	case len(c.Visible) == 0 && len(c.Truth) == 0:
		return nil
	case len(c.Truth) == 0 || len(c.Visible) > 0 && c.Visible[0].AtAS <= c.Truth[0].AtAS:
		return &c.Visible[0]
	}
	return &c.Truth[0]
}

// Same is whether nothing differs: no signal, no state on the path, nothing of the outcome.
func (c *Comparison) Same() bool {
	return c.First() == nil && c.Path.Same() && !slices.ContainsFunc(c.Outcome, func(o Outcome) bool { return o.Differs })
}

// Values are all signals that both runs have, at a moment of A and the one of B that belongs to it.
func (c *Comparison) Values(atAS float64) []Pair {
	if len(c.A.at) == 0 || len(c.B.at) == 0 {
		return nil
	}
	rowA, rowB := c.A.row(atAS), c.B.row(atAS+c.ShiftS())
	var list []Pair
	for i := range c.A.columns {
		a := &c.A.columns[i]
		if b := c.B.column(a.Name); b != nil && a.exists(rowA, b, rowB) {
			list = append(list, pair(a, b, rowA, rowB, c.tolerance(a, b, rowA, rowB)))
		}
	}
	return list
}

// exists is whether a signal has a value in one of two rows.
func (c *column) exists(row int, other *column, otherRow int) bool {
	return c.Kind == other.Kind && (c.Kind != sequence.KindNumber || !math.IsNaN(c.values[row]) || !math.IsNaN(other.values[otherRow]))
}

// otherNoise is whether the noise of the sensors differs at the same moment: it follows from the seed and the time.
func (c *Comparison) otherNoise() bool { return c.A.Result.Seed != c.B.Result.Seed || c.ShiftS() != 0 }

// tolerance is the larger tolerance of two runs in their states, and that of the unit at least. With other noise, what
// the sequence keeps and sets from inputs differs by it, and torque, current and speed settle otherwise within the
// friction.
func (c *Comparison) tolerance(x, y *column, rowA, rowB int) float64 {
	if x.Kind != sequence.KindNumber {
		return 0
	}
	tolerance := max(floor(x.Name), x.tolerances[c.A.columns[0].values[rowA]], y.tolerances[c.B.columns[0].values[rowB]])
	if !c.otherNoise() {
		return tolerance
	}
	if !isPlace(x.Name) {
		tolerance = max(tolerance, x.ofRun, y.ofRun)
	}
	return max(tolerance, x.read, y.read)
}

// ToleranceText says how far numbers may differ.
func ToleranceText() string {
	return strings.Join(strings.Fields(`A number differs if it is farther from all values of the other run within two functional scans and one
safety scan than 6 standard deviations of its noise, 2 % of its range in the state, 1/10000 of its range in the run
and 0.01 mm, N·m, A or deg, and does so for longer than that time.`), " ")
}

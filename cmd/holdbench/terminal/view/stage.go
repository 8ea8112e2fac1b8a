package view

import (
	"math"
	"sort"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim/history"
)

// stage is a scene with values that several panes need.
type stage struct {
	*Scene
	nowS     float64 // of the cursor
	mmPerInc float64 // travel of the load for one increment of the encoder
	states   []sequence.StateInfo
	scaleInc float64 // half the scale of the window, in increments
	check    *check  // shown in the window, nil before the first
}

// staged prepares a scene; false without one.
func staged(s *Scene) (*stage, bool) {
	if s == nil || s.Case == nil || s.Case.Sequence == nil || s.View == nil {
		return nil, false
	}
	g := &stage{Scene: s, nowS: s.View.TS, states: s.Case.Sequence.States}
	g.mmPerInc = plant.Derive(&s.Case.Rig).MMPerRad * s.View.Judge.IncDeg * math.Pi / 180
	g.check = g.lastCheck()
	return g, true
}

// past is whether a moment is not after the cursor.
func (g *stage) past(ts float64) bool { return ts <= g.nowS+1e-6 }

// stateName is the name of a state by its place.
func (g *stage) stateName(i int) string {
	if i < 0 || i >= len(g.states) {
		return "—"
	}
	return g.states[i].Name
}

// role is a number of the sequence by its role, false if no parameter has it.
func (g *stage) role(role string) (float64, bool) {
	p, ok := g.Case.Sequence.Role(role)
	return p.Number, ok
}

// windowMM is the judge's window at the load.
func (g *stage) windowMM() float64 { return math.Abs(g.View.Judge.WindowInc * g.mmPerInc) }

// check is one check of the judge from its latch on.
type check struct {
	from, to float64 // s; to is the cursor while it runs
	atMM     float64 // measured at the latch
	over     bool
}

// lastCheck is the judge's newest check if it has latched a position.
func (g *stage) lastCheck() *check {
	j := &g.View.Judge
	if !j.Latched || len(g.Samples) == 0 {
		return nil
	}
	c := &check{from: j.LatchedS, to: g.nowS, over: !j.Verdict.Busy}
	if c.over {
		c.to = j.CheckEndedS
	}
	i := min(at(g.Samples, c.from), len(g.Samples)-1)
	c.atMM = float64(g.Samples[i].PositionMM)
	return c
}

// away is how far a measured position is from the latch, in increments.
func (g *stage) away(mm float64) float64 {
	if g.mmPerInc == 0 || g.check == nil {
		return 0
	}
	return (mm - g.check.atMM) / g.mmPerInc
}

// at is the place of the first sample at a moment or after it.
func at(samples []history.Sample, ts float64) int {
	return sort.Search(len(samples), func(i int) bool { return samples[i].TS >= ts-1e-6 })
}

// between are the samples from one moment to another.
func between(samples []history.Sample, from, to float64) []history.Sample {
	first := at(samples, from)
	last := first + sort.Search(len(samples)-first, func(i int) bool { return samples[first+i].TS > to+1e-6 })
	return samples[first:last]
}

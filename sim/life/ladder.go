package life

import (
	"context"
	"math/rand/v2"
	"slices"
	"time"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// Ladder is what whole runs said of brakes from none to new: rungs of one ratio of static
// capacity to required test torque each, with the outcomes of some runs. A test of a brake
// between two rungs is one of the outcomes of either, the nearer the likelier, so that the
// chances in between lie on a line. It knows of the brake by that ratio alone.
type Ladder struct {
	rig   plant.Rig
	Rungs []Rung // by rising ratio
}

// Rung is a brake and what runs said of it.
type Rung struct {
	Ratio    float64
	Outcomes []Outcome
}

// Passed counts the runs that ended in a pass.
func (r *Rung) Passed() int {
	n := 0
	for i := range r.Outcomes {
		if r.Outcomes[i].Passed {
			n++
		}
	}
	return n
}

// rungs are the ratios up to that of a new brake: close together where the verdict turns,
// from what the judge may let through to what a press with margin asks.
func rungs(top float64) []float64 {
	var list []float64
	add := func(from, to, step float64) {
		for i := 0; from+float64(i)*step < to-step/2; i++ {
			if x := from + float64(i)*step; x < top {
				list = append(list, x)
			}
		}
	}
	add(0, 0.8, 0.1)
	add(0.8, 0.9, 0.05)
	add(0.9, 1.2, 0.01)
	add(1.2, 1.5, 0.05)
	add(1.5, 4, 0.5)
	return append(list, top)
}

// newRungRuns is how many times more runs a new brake gets than another: nearly all tests
// of a life are of one.
const newRungRuns = 8

// step is one run of the ladder.
type step struct{ rung, outcome int }

// newLadder has rungs without outcomes, and the runs that it takes to find them.
func newLadder(rig *plant.Rig, runs int) (*Ladder, []step) {
	l := &Ladder{rig: *rig}
	full := max(exchanged(rig).coldRatio(rig), initial(rig).coldRatio(rig))
	ratios := rungs(full)
	var steps []step
	for i, ratio := range ratios {
		n := runs
		if i == len(ratios)-1 {
			n *= newRungRuns
		}
		l.Rungs = append(l.Rungs, Rung{Ratio: ratio, Outcomes: make([]Outcome, n)})
		for k := range n {
			steps = append(steps, step{i, k})
		}
	}
	return l, steps
}

// MeasureLadder runs the case with every rung's brake so many times, a new one more often.
func MeasureLadder(ctx context.Context, c *sim.Case, runs, workers int, seed uint64, progress func(done, all int)) (*Ladder, error) {
	l, steps := newLadder(&c.Rig, runs)
	top := exchanged(&c.Rig)
	perCondition := top.coldRatio(&c.Rig)
	type outcome struct {
		Outcome
		err error
	}
	var failed error
	err := fanout.InOrder(ctx, len(steps), workers, func(i int) (outcome, bool) {
		b := top
		b.Condition = l.Rungs[steps[i].rung].Ratio / perCondition
		draw := rand.New(rand.NewPCG(seed, ^uint64(i)))
		o, err := Bench{c}.Test(b, draw)
		return outcome{o, err}, err == nil || ctx.Err() == nil
	}, func(i int, o outcome) {
		if o.err != nil && failed == nil {
			failed = o.err
		}
		l.Rungs[steps[i].rung].Outcomes[steps[i].outcome] = o.Outcome
		progress(i+1, len(steps))
	})
	if err == nil {
		err = failed
	}
	return l, err
}

// Test draws an outcome for a brake.
func (l *Ladder) Test(b Brake, draw *rand.Rand) (Outcome, error) {
	r := l.near(b.ratio(l.rig), draw.Float64())
	return r.Outcomes[draw.IntN(len(r.Outcomes))], nil
}

// near is the rung above a ratio with the share of the way up to it, else the one below.
func (l *Ladder) near(ratio, chance float64) *Rung {
	above, _ := slices.BinarySearchFunc(l.Rungs, ratio, func(r Rung, x float64) int {
		if r.Ratio < x {
			return -1
		}
		return 1
	})
	switch {
	case above == 0:
		return &l.Rungs[0]
	case above == len(l.Rungs):
		return &l.Rungs[above-1]
	}
	low, high := &l.Rungs[above-1], &l.Rungs[above]
	if chance < (ratio-low.Ratio)/(high.Ratio-low.Ratio) {
		return high
	}
	return low
}

// Runs is how many runs the ladder is made of.
func (l *Ladder) Runs() int {
	n := 0
	for i := range l.Rungs {
		n += len(l.Rungs[i].Outcomes)
	}
	return n
}

// Sound counts the runs of brakes that are fit with room to spare, and those of them that
// passed. A rig and a sequence that suit each other pass all of them.
func (l *Ladder) Sound() (passed, runs int) {
	for i := range l.Rungs {
		if r := &l.Rungs[i]; r.Ratio >= SoundRatio || i == len(l.Rungs)-1 {
			passed, runs = passed+r.Passed(), runs+len(r.Outcomes)
		}
	}
	return passed, runs
}

// SoundRatio is what a brake with room to spare has of the required torque: more than any
// usual margin of a press.
const SoundRatio = 1.25

// New is the rung of a new brake.
func (l *Ladder) New() *Rung { return &l.Rungs[len(l.Rungs)-1] }

// TestTakes is how long a test of a new brake takes at the longest.
func (l *Ladder) TestTakes() time.Duration {
	longest := time.Duration(0)
	for i := range l.New().Outcomes {
		longest = max(longest, l.New().Outcomes[i].Took)
	}
	return longest
}

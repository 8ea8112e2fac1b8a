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

// LookupTable holds the outcomes of whole runs, by the ratio of the static capacity to the
// required test torque, from a brake without torque to a new one. A test of a brake between
// two entries is one of the outcomes of either, with a probability in proportion to the
// distance, so that probabilities are interpolated linearly. The ratio is all that the table
// knows about the brake.
type LookupTable struct {
	rig     plant.Rig
	Entries []Entry // by rising ratio
}

// Entry is a brake and the outcomes of its runs.
type Entry struct {
	Ratio    float64
	Outcomes []Outcome
}

// Passed counts the runs that ended in a pass.
func (r *Entry) Passed() int {
	n := 0
	for i := range r.Outcomes {
		if r.Outcomes[i].Passed {
			n++
		}
	}
	return n
}

// tableRatios are the ratios up to that of a new brake: close together where the verdict
// changes, from what the judge may accept to what a press with margin requires.
func tableRatios(top float64) []float64 {
	var list []float64
	add := func(from, to, step float64) {
		for i := 0; from+float64(float64(i)*step) < to-float64(step/2); i++ {
			if x := from + float64(float64(i)*step); x < top {
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

// newBrakeFactor is how many times more runs the entry of a new brake has: nearly all tests of a
// history are of one.
const newBrakeFactor = 8

// tableRun is one run of the table.
type tableRun struct{ entry, outcome int }

// newLookupTable has entries without outcomes, and returns the runs that are to be done for it.
func newLookupTable(rig *plant.Rig, runs int) (*LookupTable, []tableRun) {
	t := &LookupTable{rig: *rig}
	full := max(exchanged(rig).coldRatio(rig), initial(rig).coldRatio(rig))
	ratios := tableRatios(full)
	var steps []tableRun
	for i, ratio := range ratios {
		n := runs
		if i == len(ratios)-1 {
			n *= newBrakeFactor
		}
		t.Entries = append(t.Entries, Entry{Ratio: ratio, Outcomes: make([]Outcome, n)})
		for k := range n {
			steps = append(steps, tableRun{i, k})
		}
	}
	return t, steps
}

// MeasureTable runs the case with the brake of every entry so many times, the new one more often.
func MeasureTable(ctx context.Context, c *sim.Case, runs, workers int, seed uint64, progress func(done, all int)) (*LookupTable, error) {
	t, steps := newLookupTable(&c.Rig, runs)
	top := exchanged(&c.Rig)
	type outcome struct {
		Outcome
		err error
	}
	var failed error
	err := fanout.InOrder(ctx, len(steps), workers, func(i int) (outcome, bool) {
		b := top
		b.weaken(&c.Rig, steps[i].outcome, t.Entries[steps[i].entry].Ratio)
		draw := rand.New(rand.NewPCG(seed, ^uint64(i)))
		o, err := BenchTester{c}.Test(b, draw)
		return outcome{o, err}, err == nil || ctx.Err() == nil
	}, func(i int, o outcome) {
		if o.err != nil && failed == nil {
			failed = o.err
		}
		t.Entries[steps[i].entry].Outcomes[steps[i].outcome] = o.Outcome
		progress(i+1, len(steps))
	})
	if err == nil {
		err = failed
	}
	return t, err
}

// Test draws an outcome for a brake.
func (t *LookupTable) Test(b Brake, draw *rand.Rand) (Outcome, error) {
	r := t.entryFor(b.ratio(t.rig), draw.Float64())
	return r.Outcomes[draw.IntN(len(r.Outcomes))], nil
}

// entryFor is the entry above a ratio with a probability in proportion to the distance, else the
// one below.
func (t *LookupTable) entryFor(ratio, chance float64) *Entry {
	above, _ := slices.BinarySearchFunc(t.Entries, ratio, func(r Entry, x float64) int {
		if r.Ratio < x {
			return -1
		}
		return 1
	})
	switch {
	case above == 0:
		return &t.Entries[0]
	case above == len(t.Entries):
		return &t.Entries[above-1]
	}
	low, high := &t.Entries[above-1], &t.Entries[above]
	if chance < (ratio-low.Ratio)/(high.Ratio-low.Ratio) {
		return high
	}
	return low
}

// Runs is the number of runs of the table.
func (t *LookupTable) Runs() int {
	n := 0
	for i := range t.Entries {
		n += len(t.Entries[i].Outcomes)
	}
	return n
}

// SufficientRuns counts the runs of brakes with a reserve of torque, and those of them that
// passed. With a rig and a sequence that fit each other all of them pass.
func (t *LookupTable) SufficientRuns() (passed, runs int) {
	for i := range t.Entries {
		if r := &t.Entries[i]; r.Ratio >= ReserveRatio || i == len(t.Entries)-1 {
			passed, runs = passed+r.Passed(), runs+len(r.Outcomes)
		}
	}
	return passed, runs
}

// ReserveRatio is the ratio from which on a brake has a reserve of torque: more than any usual
// margin of a press.
const ReserveRatio = 1.25

// NewBrake is the entry of a new brake.
func (t *LookupTable) NewBrake() *Entry { return &t.Entries[len(t.Entries)-1] }

// LongestTest is the longest test of a new brake.
func (t *LookupTable) LongestTest() time.Duration {
	longest := time.Duration(0)
	for i := range t.NewBrake().Outcomes {
		longest = max(longest, t.NewBrake().Outcomes[i].Duration)
	}
	return longest
}

package history

import (
	"slices"
	"sort"
	"time"

	"holdbench/sim"
)

// Run is a run with its past. It belongs to one goroutine; the samples that it has
// handed out do not change any more.
type Run struct {
	head    *sim.Bench
	samples []Sample
	blocks  []Block
	marks   []copied // in the order of time
	thinAt  int
	every   int64 // ticks from mark to mark
}

// markEvery bounds what going back costs: so much is simulated anew at most.
const markEvery = time.Second

// New makes a run at its beginning.
func New(c *sim.Case) *Run {
	r := &Run{every: int64(markEvery / c.Rig.Clock.Tick), thinAt: mostMarks}
	r.adopt(sim.NewBench(c, nil))
	r.mark(false)
	return r
}

// adopt makes a bench the head, and lets it fill the samples.
func (r *Run) adopt(b *sim.Bench) {
	r.head = b
	b.Trace(sampler{r})
}

// copied is the run at one of its moments.
type copied struct {
	*sim.Bench
	edited bool // just after a change, which what follows cannot be made without
}

// mark keeps a copy of the newest moment. Of many, the older half is thinned, so that a
// long run keeps a bounded number and it takes longer only to go far back.
func (r *Run) mark(edited bool) {
	r.marks = append(r.marks, copied{r.head.Clone(), edited})
	if len(r.marks) >= r.thinAt {
		r.thin()
	}
}

// mostMarks is when marks are thinned.
const mostMarks = 200

func (r *Run) thin() {
	old := len(r.marks) / 2
	var kept []copied
	for i, m := range r.marks {
		if m.edited || i == 0 || i >= old || i%2 == 0 {
			kept = append(kept, m)
		}
	}
	r.marks, r.thinAt = kept, len(kept)+mostMarks/4
}

// Case is what is run.
func (r *Run) Case() *sim.Case { return r.head.Case() }

// Ticks is how far the run is.
func (r *Run) Ticks() int64 { return r.head.Ticks() }

// Done is whether nothing more will happen.
func (r *Run) Done() bool { return r.head.Done() }

// Samples are one for each functional scan so far.
func (r *Run) Samples() []Sample { return r.samples[:len(r.samples):len(r.samples)] }

// Events are those that came so far.
func (r *Run) Events() []sim.Event { return r.head.Events() }

// PlayedScenario is the scenario with all that was done to the run.
func (r *Run) PlayedScenario() sim.Scenario { return r.head.PlayedScenario() }

// EffectiveScenario is the same without faults that never came; see [sim.Bench.EffectiveScenario].
func (r *Run) EffectiveScenario() sim.Scenario { return r.head.EffectiveScenario() }

// Result sums up the run so far.
func (r *Run) Result() (*sim.Result, error) { return r.head.Result() }

// View looks at the newest moment.
func (r *Run) View() *sim.View { return r.head.View() }

// Advance goes on until so many ticks are done in all, the run is over, or until tells
// after a tick that this was the one. It tells whether until did; until may be nil.
func (r *Run) Advance(ticks int64, until func(*sim.Bench) bool) bool {
	for r.head.Ticks() < ticks && !r.head.Done() {
		r.head.Tick()
		if r.head.Ticks()%r.every == 0 {
			r.mark(false)
		}
		if until != nil && until(r.head) {
			return true
		}
	}
	return false
}

// At copies the run as it was when so many ticks were done, at most those of the head.
func (r *Run) At(ticks int64) *sim.Bench {
	if ticks >= r.head.Ticks() {
		return r.head.Clone()
	}
	after := sort.Search(len(r.marks), func(i int) bool { return r.marks[i].Ticks() > ticks })
	b := r.marks[max(0, after-1)].Clone()
	for b.Ticks() < ticks && b.Tick() {
		continue
	}
	return b
}

// Branch is a run of its own with this one's past up to a moment. This one stays as
// it is.
func (r *Run) Branch(ticks int64) *Run {
	b := &Run{every: r.every, thinAt: r.thinAt}
	b.adopt(r.At(ticks))
	keep := sort.Search(len(r.marks), func(i int) bool { return r.marks[i].Ticks() > ticks })
	b.marks = slices.Clone(r.marks[:keep])
	seen := sort.Search(len(r.samples), func(i int) bool { return r.samples[i].Tick >= ticks })
	b.samples = slices.Clone(r.samples[:seen])
	b.blocks = slices.Clone(r.blocks[:seen/BlockSamples])
	return b
}

// Inject adds a fault from the head on; see [sim.Bench.Inject].
func (r *Run) Inject(f sim.Fault) error { return r.edit(r.head.Inject(f)) }

// RemoveFault takes a fault away from the head on; see [sim.Bench.RemoveFault].
func (r *Run) RemoveFault(fault int) error { return r.edit(r.head.RemoveFault(fault)) }

// SetButton sets a button from the head on; see [sim.Bench.SetButton].
func (r *Run) SetButton(button string, on bool) error { return r.edit(r.head.SetButton(button, on)) }

// edit marks the moment after a change, so that going back to what follows finds it.
func (r *Run) edit(err error) error {
	if err != nil {
		return err
	}
	r.mark(true)
	return nil
}

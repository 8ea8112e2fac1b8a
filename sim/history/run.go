package history

import (
	"slices"
	"sort"
	"time"

	"holdbench/sim"
)

// Run is a run with its past. It belongs to one goroutine; the samples that it has returned do
// not change any more.
type Run struct {
	head        *sim.Bench
	samples     []Sample
	blocks      []Block
	checkpoints []checkpoint // in the order of time
	thinAt      int
	every       int64 // ticks between checkpoints
}

// checkpointEvery limits the cost of going back: at most so much is simulated again.
const checkpointEvery = time.Second

// New makes a run at its beginning.
func New(c *sim.Case) *Run {
	r := &Run{every: int64(checkpointEvery / c.Rig.Clock.Tick), thinAt: maxCheckpoints}
	b := sim.NewBench(c, nil)
	b.Attend()
	r.adopt(b)
	r.keepCheckpoint(false)
	return r
}

// adopt makes a bench the head, which fills the samples.
func (r *Run) adopt(b *sim.Bench) {
	r.head = b
	b.Trace(sampler{r})
}

// checkpoint is a copy of the run at one of its moments.
type checkpoint struct {
	*sim.Bench
	edited bool // just after a change, without which what follows cannot be reproduced
}

// keepCheckpoint keeps a copy of the newest moment. Of many, the older half is thinned out, so
// that a long run keeps a limited number, and only going far back takes longer.
func (r *Run) keepCheckpoint(edited bool) {
	r.checkpoints = append(r.checkpoints, checkpoint{r.head.Keep(), edited})
	if len(r.checkpoints) >= r.thinAt {
		r.thin()
	}
}

// maxCheckpoints is the number from which on checkpoints are thinned out.
const maxCheckpoints = 200

// thin removes every other checkpoint of the older half.
func (r *Run) thin() {
	old := len(r.checkpoints) / 2
	var kept []checkpoint
	for i, m := range r.checkpoints {
		if m.edited || i == 0 || i >= old || i%2 == 0 {
			kept = append(kept, m)
		}
	}
	r.checkpoints, r.thinAt = kept, len(kept)+maxCheckpoints/4
}

// Case is what is run.
func (r *Run) Case() *sim.Case { return r.head.Case() }

// Ticks is the number of ticks done.
func (r *Run) Ticks() int64 { return r.head.Ticks() }

// Done is whether the run is over.
func (r *Run) Done() bool { return r.head.Done() }

// Samples are those of each functional scan so far.
func (r *Run) Samples() []Sample { return r.samples[:len(r.samples):len(r.samples)] }

// Events are those of the run so far.
func (r *Run) Events() []sim.Event { return r.head.Events() }

// Recorded is how many events there were so far, with those that are left out.
func (r *Run) Recorded() int { return r.head.Recorded() }

// PlayedScenario is the scenario with all changes of the run.
func (r *Run) PlayedScenario() sim.Scenario { return r.head.PlayedScenario() }

// EffectiveScenario is the same without faults that never came; see [sim.Bench.EffectiveScenario].
func (r *Run) EffectiveScenario() sim.Scenario { return r.head.EffectiveScenario() }

// Result sums up the run so far.
func (r *Run) Result() (*sim.Result, error) { return r.head.Result() }

// View is the newest moment.
func (r *Run) View() *sim.View { return r.head.View() }

// RunAgain is how many ticks were run again to make this run from another one, which is so where the
// controller cannot be copied.
func (r *Run) RunAgain() int64 { return r.head.RunAgain() }

// Advance continues until so many ticks are done in all, the run is over, or until is true
// after a tick. It returns whether until was true; until may be nil.
func (r *Run) Advance(ticks int64, until func(*sim.Bench) bool) bool {
	for r.head.Ticks() < ticks && !r.head.Done() {
		r.head.Tick()
		if r.head.Ticks()%r.every == 0 {
			r.keepCheckpoint(false)
		}
		if until != nil && until(r.head) {
			return true
		}
	}
	return false
}

// At is a copy of the run after so many ticks, at most those of the head.
func (r *Run) At(ticks int64) *sim.Bench {
	if ticks >= r.head.Ticks() {
		return r.head.Clone()
	}
	after := sort.Search(len(r.checkpoints), func(i int) bool { return r.checkpoints[i].Ticks() > ticks })
	b := r.checkpoints[max(0, after-1)].Clone()
	b.Advance(ticks - b.Ticks())
	return b
}

// Branch is a new run with the past of this one up to a moment. This one is not changed.
func (r *Run) Branch(ticks int64) *Run {
	b := &Run{every: r.every, thinAt: r.thinAt}
	b.adopt(r.At(ticks))
	keep := sort.Search(len(r.checkpoints), func(i int) bool { return r.checkpoints[i].Ticks() > ticks })
	b.checkpoints = slices.Clone(r.checkpoints[:keep])
	seen := sort.Search(len(r.samples), func(i int) bool { return r.samples[i].Tick >= ticks })
	b.samples = slices.Clone(r.samples[:seen])
	b.blocks = slices.Clone(r.blocks[:seen/BlockSamples])
	return b
}

// Change changes the run from the head on; see [sim.Bench.Inject], [sim.Bench.RemoveFault] and
// [sim.Bench.SetButton]. It keeps a checkpoint after the change, from which what follows can be
// reproduced.
func (r *Run) Change(what func(*sim.Bench) error) error {
	if err := what(r.head); err != nil {
		return err
	}
	r.keepCheckpoint(true)
	return nil
}

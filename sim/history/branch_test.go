package history_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/history"
	"holdbench/sim/internal/uncopied"
)

// deeds are what is done to a run, each when so many ticks are done.
type deeds map[int64]func(*sim.Bench) error

func condition(text string) func(*sim.Bench) error {
	return inject(sim.Fault{Set: map[string]string{"brake.condition": text}})
}

func inject(f sim.Fault) func(*sim.Bench) error {
	return func(b *sim.Bench) error { return b.Inject(f) }
}

func push(button string) func(*sim.Bench) error {
	return func(b *sim.Bench) error { return b.SetButton(button, true) }
}

// goes on to a tick and does what is to be done on the way.
func goes(t *testing.T, r *history.Run, ticks int64, d deeds) {
	t.Helper()
	for r.Ticks() < ticks && !r.Done() {
		if do := d[r.Ticks()]; do != nil {
			require.NoError(t, r.Change(do))
		}
		r.Advance(r.Ticks()+500, nil)
	}
}

// everything is what a run says of itself, as text, since no NaN equals another.
func everything(t *testing.T, r *history.Run) string {
	t.Helper()
	return fmt.Sprint(result(t, r), r.Samples(), r.Blocks(), r.PlayedScenario().Script, len(r.PlayedScenario().Faults))
}

// A run and its branches go on side by side; each is as if it were alone, samples and all.
func TestBranchesGoOnEachByItself(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down")
	requireBranchesAlone(t, c, []int64{12_000, 14_500}) // at the head, and into the past
	requireBranchesAlone(t, uncopied.Case(c), []int64{14_500})
}

// requireBranchesAlone lets a run and two branches of it go on from a moment.
func requireBranchesAlone(t *testing.T, c *sim.Case, moments []int64) {
	t.Helper()
	const at, end = 12_000, 24_000
	own := []deeds{
		{12_500: condition("0.5"), 15_000: push("cancel")},
		{12_000: push("estop")},
		{13_000: condition("0.2")},
	}
	for _, from := range moments {
		whole := history.New(c)
		goes(t, whole, from, nil)
		side := []*history.Run{whole, whole.Branch(at), whole.Branch(at)}
		wholeDeeds := own[0]
		if from > at {
			wholeDeeds = deeds{15_000: push("cancel")}
		}
		all := []deeds{wholeDeeds, own[1], own[2]}
		for ticks := int64(at); ticks < end; ticks += 500 {
			for i, r := range side {
				goes(t, r, ticks, all[i])
			}
		}
		for i, r := range side {
			r.Advance(beyond, nil)
			alone := history.New(c)
			goes(t, alone, end-500, all[i])
			alone.Advance(beyond, nil)
			if everything(t, alone) != everything(t, r) { // too long to be printed
				require.Fail(t, "a branch is not the run that it would be alone", "number %d, branched from %d ticks", i, from)
			}
		}
	}
}

// Marks stand at whole seconds. A branch at one of them, or beside it, has each sample
// once, and what was changed there stays in its past, for branches of it too.
func TestBranchAtAMark(t *testing.T) {
	c := load(t, "healthy-down")
	requireBranchesAtAMark(t, c)
	requireBranchesAtAMark(t, uncopied.Case(c))
}

func requireBranchesAtAMark(t *testing.T, c *sim.Case) {
	t.Helper()
	const mark, scan = 4000, 8
	r := history.New(c)
	r.Advance(mark, nil)
	require.NoError(t, r.Change(condition("0.9")))
	views := map[int64]*sim.View{}
	for _, ticks := range []int64{mark, mark + 1, 2*mark - 1, 2 * mark, 2*mark + 1, 2*mark + scan} {
		r.Advance(ticks, nil)
		views[ticks] = r.View()
	}
	r.Advance(3*mark, nil)
	samples := r.Samples()
	for ticks, want := range views {
		b := r.Branch(ticks)
		require.Equal(t, want, b.View(), "branched at %d", ticks)
		require.Len(t, b.Samples(), int(ticks+scan-1)/scan, "one a scan up to tick %d", ticks)
		b.Advance(3*mark, nil)
		require.Equal(t, fmt.Sprint(samples), fmt.Sprint(b.Samples()), "branched at %d", ticks)
		require.Equal(t, views[mark], b.At(mark).View(), "the change at the mark stays in the past of the branch at %d", ticks)
		require.Equal(t, want, b.Branch(ticks).View(), "a branch of the branch at %d", ticks)
		require.Empty(t, b.At(mark-1).PlayedScenario().Faults)
	}
}

// A branch at a mark keeps the mark: what was changed there cannot be made again from an
// earlier one.
func TestBranchKeepsTheMarkItIsAt(t *testing.T) {
	r := history.New(load(t, "healthy-down"))
	r.Advance(6100, nil) // between marks of the clock
	require.NoError(t, r.Change(push("cancel")))
	b := r.Branch(6100)
	require.Equal(t, history.Marks(r), history.Marks(b))
	b.Advance(9000, nil)
	require.Len(t, b.At(6101).PlayedScenario().Script, 2, "the trigger that every run has, and the push")
	require.Len(t, b.Branch(7000).PlayedScenario().Script, 2)
}

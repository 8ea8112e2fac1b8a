package probe_test

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/internal/uncopied"
	"holdbench/sim/probe"
)

const parking = "testdata/parking.yaml"

func load(t require.TestingT, reference string) *sim.Case {
	c, _, err := scenarios.LoadCase(reference, scenarios.Overrides{})
	require.NoError(t, err)
	return c
}

// coarseReference is a test down and up on the demo rig, with a tick of eight and a functional
// scan of two of its own: what is stated here holds for it as well, in a quarter of the time.
func coarseReference() (*sim.Case, error) {
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "2ms", "rig.clock.functional_scan": "4ms"}})
	return c, err
}

func reference(t require.TestingT) *sim.Case {
	c, err := coarseReference()
	require.NoError(t, err)
	return c
}

// longTest leaves a test with hundreds of cells out of a short run.
func longTest(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("hundreds of cells")
	}
}

func run(t require.TestingT, c *sim.Case, o probe.Options) *probe.Results {
	m, err := probe.Run(context.Background(), c, o, nil)
	require.NoError(t, err)
	require.True(t, m.Complete)
	return m
}

// outcome finds one cell of a map.
func outcome(t *testing.T, m *probe.Results, fault, severity, state, moment string) *probe.Outcome {
	t.Helper()
	i := slices.IndexFunc(m.Outcomes, func(o probe.Outcome) bool {
		return o.Fault == fault && o.Severity == severity && o.State == state && o.Moment == moment
	})
	require.GreaterOrEqual(t, i, 0, "%s %s %s %s", fault, severity, state, moment)
	return &m.Outcomes[i]
}

// A sequence small enough to say by hand what each fault does. It holds, closes the brake,
// waits for its switch and lets go. Load 2.81 N·m, brake 9 N·m.
func TestResultsOfASmallSequenceByHand(t *testing.T) {
	t.Parallel()
	m := run(t, load(t, parking), few("lining-worn", "brake-stays-open", "drive-trips", "encoder-noisy"))
	assert.Equal(t, []string{"ready", "close_brake", "parked"}, m.States)
	assert.Empty(t, m.Unreached)
	type want struct {
		fault, severity, state, moment string
		kind                           probe.Kind
		excused                        bool
	}
	for _, w := range []want{
		// The switch never comes, and nothing limits the wait.
		{"brake-stays-open", "", "ready", probe.Entry, probe.Endless, false},
		{"brake-stays-open", "", "ready", probe.Change, probe.Endless, false},
		{"brake-stays-open", "", "close_brake", probe.Entry, probe.Endless, false},
		{"brake-stays-open", "", "close_brake", probe.Midway, probe.Endless, false},
		// In the scan that switches the drive off, the fault is not detectable yet.
		{"brake-stays-open", "", "close_brake", probe.Change, probe.Dropped, true},
		// The drive is off by then, and takes its time to come back.
		{"brake-stays-open", "", "parked", probe.Entry, probe.Dropped, true},
		// 0.75 of 9 N·m is fit; 0.35 is not, yet holds the load at rest; 0.15 is 1.35 N·m.
		{"lining-worn", "mild", "ready", probe.Entry, probe.Fine, false},
		{"lining-worn", "usual", "ready", probe.Entry, probe.Fine, false},
		// While the drive holds nothing shows, and then the load falls.
		{"lining-worn", "severe", "ready", probe.Entry, probe.Dropped, false},
		{"lining-worn", "severe", "close_brake", probe.Midway, probe.Dropped, false},
		{"lining-worn", "usual", "parked", probe.Midway, probe.Fine, false},
		// On the brake alone it does not matter that the drive trips. Nothing was wrong until
		// the end, and there is no proof: that is what the class calls a false alarm.
		{"drive-trips", "", "parked", probe.Entry, probe.FalseAlarm, false},
		// The brake has closed by the middle of the stay.
		{"drive-trips", "", "close_brake", probe.Midway, probe.Fine, false},
		// The load falls for a quarter of a second before the test begins, at some 650 mm/s:
		// it cannot be stopped within 5 mm.
		{"drive-trips", "", "ready", probe.Midway, probe.Dropped, true},
		// What is read does not matter to who reads nothing but a switch.
		{"encoder-noisy", "severe", "parked", probe.Entry, probe.FalseAlarm, false},
	} {
		o := outcome(t, m, w.fault, w.severity, w.state, w.moment)
		assert.Equal(t, w.kind, o.Kind, "%+v: %+v", w, o)
		assert.Equal(t, w.excused, o.Excused(), "%+v: %+v", w, o)
	}
}

// The moments of a stay: at its entry, in its middle, a scan before its last one, and in
// the scan that leaves. A stay of one scan has but two.
func TestMoments(t *testing.T) {
	t.Parallel()
	m := run(t, load(t, "healthy-down-and-up"), in(few("encoder-lost"), "permissives", "close_brake", "passed"))
	moments := map[string][]string{}
	for _, o := range m.Outcomes {
		moments[o.State] = append(moments[o.State], o.Moment)
	}
	assert.Equal(t, []string{probe.Entry, probe.Midway, probe.Change}, moments["permissives"], "a stay of one scan: its last scan is its first")
	assert.Equal(t, []string{probe.Entry, probe.Midway, probe.Leaving, probe.Change}, moments["close_brake"])
	assert.Equal(t, []string{probe.Entry, probe.Midway}, moments["passed"], "nothing leaves an end")
	leaving, change := outcome(t, m, "encoder-lost", "", "close_brake", probe.Leaving), outcome(t, m, "encoder-lost", "", "close_brake", probe.Change)
	assert.InDelta(t, 0.002, change.AfterS-leaving.AfterS, 1e-9, "one scan apart")
}

// few are faults that are tried, and that alone may lead to states of failure.
func few(faults ...string) probe.Options { return probe.Options{Faults: faults, Through: faults} }

// in chooses states.
func in(o probe.Options, states ...string) probe.Options {
	o.States = states
	return o
}

// some are faults of each group, on a sequence with states for failure.
func some() probe.Options {
	return few("lining-worn", "encoder-frozen", "link-down", "drive-trips", "window-too-tight", "power-lost-briefly")
}

// probedOnce is the probe of the reference with some faults, done once for the tests that read it.
var probedOnce = sync.OnceValue(func() *probe.Results {
	c, err := coarseReference()
	if err != nil {
		panic(err)
	}
	m, err := probe.Run(context.Background(), c, some(), nil)
	if err != nil {
		panic(err)
	}
	return m
})

// Every cell is what its command says: the same run from its beginning.
func TestCellIsTheRunOfItsCommand(t *testing.T) {
	t.Parallel()
	longTest(t)
	c := reference(t)
	m := probedOnce()
	require.Greater(t, len(m.Outcomes), 400)
	rapid.Check(t, func(t *rapid.T) {
		o := rapid.SampledFrom(m.Outcomes).Draw(t, "cell")
		s := c.Scenario
		s.Expect, s.Lesson = sim.Expect{}, nil
		for _, text := range append(slices.Clone(o.Route), o.Spec) {
			f, err := catalogue.Parse(text)
			require.NoError(t, err)
			addTo(t, f, &s, c)
		}
		made, _, err := c.With(s)
		require.NoError(t, err)
		r, err := sim.Run(made, nil)
		require.NoError(t, err)
		require.Equal(t, o.End, r.End)
		require.Equal(t, o.EndedIn, r.EndedIn)
		require.Equal(t, o.Cause, r.Cause)
		require.Equal(t, o.Class, r.Class)
		require.Equal(t, o.LoadDropMM, r.LoadDropMM)
		require.Equal(t, o.DurationS, r.DurationS)
	})
}

// The map does not depend on the workers.
func TestResultsDoNotDependOnTheWorkers(t *testing.T) {
	t.Parallel()
	c := load(t, parking)
	one := few("lining-worn", "link-down", "drive-trips", "window-too-wide")
	four := one
	one.Workers, four.Workers = 1, 4
	assert.Equal(t, run(t, c, one), run(t, c, four))
}

var errKilled = errors.New("killed")

// What was finished when a probe was killed is taken over, wherever that was, and the whole
// is as if nothing had happened.
func TestInterruptedProbeResumes(t *testing.T) {
	t.Parallel()
	c := reference(t)
	some := func() probe.Options {
		return in(few("encoder-frozen", "link-down"), "close_brake", "press_down", "arrest_load")
	}
	whole := run(t, c, some())
	require.NotEmpty(t, whole.Outcomes[len(whole.Outcomes)-1].Route, "the last state is reached by a route")
	kills := []int{len(whole.Outcomes) / 3, 0, 1, len(whole.Outcomes) - 1}
	if testing.Short() {
		kills = kills[:1]
	}
	for _, kill := range kills {
		var kept []probe.Outcome
		_, err := probe.Run(context.Background(), c, some(), func(o probe.Outcome) error {
			if len(kept) == kill {
				return errKilled
			}
			kept = append(kept, o)
			return nil
		})
		require.ErrorIs(t, err, errKilled)
		require.Len(t, kept, kill)
		o, fresh := some(), 0
		o.Earlier = kept
		m, err := probe.Run(context.Background(), c, o, func(probe.Outcome) error { fresh++; return nil })
		require.NoError(t, err)
		require.Equal(t, whole, m)
		require.Equal(t, len(whole.Outcomes)-kill, fresh, "only new cells are reported")
	}
}

func TestProbeOfAnotherScenarioDoesNotResume(t *testing.T) {
	t.Parallel()
	o := few("encoder-frozen")
	other := run(t, load(t, parking), o)
	o.Earlier = other.Outcomes
	_, err := probe.Run(context.Background(), reference(t), o, nil)
	require.ErrorContains(t, err, "another scenario")
	o.Earlier = append(slices.Clone(other.Outcomes), other.Outcomes...)
	_, err = probe.Run(context.Background(), load(t, parking), o, nil)
	require.ErrorContains(t, err, "more than this one")
}

func TestEndedContextKeepsFinishedCells(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	n := 0
	m, err := probe.Run(ctx, load(t, parking), few("lining-worn", "link-down"), func(probe.Outcome) error {
		if n++; n == 5 {
			cancel()
		}
		return nil
	})
	require.ErrorIs(t, err, context.Canceled)
	assert.False(t, m.Complete)
	assert.GreaterOrEqual(t, len(m.Outcomes), 5)
}

func TestWrongOptions(t *testing.T) {
	t.Parallel()
	_, err := probe.Run(context.Background(), load(t, parking), probe.Options{States: []string{"parkd"}}, nil)
	require.ErrorContains(t, err, `there is no state "parkd"`)
	_, err = probe.Run(context.Background(), load(t, parking), few("counterbalance-lost"), nil)
	require.ErrorContains(t, err, "no fault of the catalogue fits")
}

// States of failure are reached through a fault that leaves the brake fit, so that what
// comes of a cell is its own fault's doing.
func TestRoutesLeaveTheBrakeSufficient(t *testing.T) {
	t.Parallel()
	longTest(t)
	m := run(t, reference(t), few("lining-worn", "link-down", "window-too-tight"))
	routes := map[string][]string{}
	for _, o := range m.Outcomes {
		routes[o.State] = o.Route
	}
	assert.Equal(t, []string{"link-down@ready"}, routes["arrest_load"], "the link, and not the lining, leads there")
	assert.Contains(t, m.Unreached, "run_in_up", "nothing is run in on this scenario")
	assert.NotContains(t, m.Unreached, "locked_out")
}

// A fault of the engineering data is there from the start or not at all.
func TestWholeRunsAreTriedOnce(t *testing.T) {
	t.Parallel()
	m := run(t, load(t, parking), few("window-too-wide"))
	require.Len(t, m.Outcomes, 3)
	for _, o := range m.Outcomes {
		assert.Equal(t, probe.AtStart, o.Moment)
		assert.Empty(t, o.State)
	}
}

// Which states are chosen does not change how they are reached.
func TestAChosenStateIsReached(t *testing.T) {
	t.Parallel()
	longTest(t)
	c := reference(t)
	all := probedOnce()
	one := run(t, c, in(some(), "recover_transfer"))
	require.NotEmpty(t, one.Outcomes)
	assert.Equal(t, one.Outcomes, slices.DeleteFunc(slices.Clone(all.Outcomes), func(o probe.Outcome) bool { return o.State != "recover_transfer" }))
}

// A controller that cannot be copied costs time and changes nothing.
func TestWithoutCopiesTheCellsAreTheSame(t *testing.T) {
	t.Parallel()
	c := load(t, parking)
	o := few("lining-worn", "brake-stays-open", "drive-trips", "power-lost")
	if testing.Short() {
		o = few("drive-trips", "power-lost")
	}
	want, got := run(t, c, o), run(t, uncopied.Case(c), o)
	require.Equal(t, want.Outcomes, got.Outcomes)
	require.Zero(t, want.Again)
	require.Greater(t, got.Again, 1.0, "how much longer it takes")
}

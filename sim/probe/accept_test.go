package probe_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// breaking is an outcome that breaks one obligation.
func breaking(fault, state, severity, obligation string, kind probe.Kind) probe.Outcome {
	o := came(fault, state, kind, false)
	o.Severity, o.Broken = severity, []string{obligation}
	return o
}

// An acceptance covers what it names and nothing worse: a reviewer who accepts a brake that opens
// on a wrong torque has not accepted a load that drops.
func TestWhatAnAcceptanceCovers(t *testing.T) {
	t.Parallel()
	m := &probe.Results{Complete: true, Outcomes: []probe.Outcome{
		breaking("load-lighter", "travel", "usual", sim.Carried, probe.Broken),
		breaking("load-lighter", "travel", "severe", sim.NoDrop, probe.Dropped),
		breaking("load-lighter", "travel", "mild", sim.Carried, probe.Missed),
		breaking("load-lighter", "settle", "usual", sim.Carried, probe.Broken),
		breaking("load-heavier", "travel", "usual", sim.Carried, probe.Broken),
		breaking("load-lighter", "", "usual", sim.Carried, probe.Broken),
	}}
	a := probe.Acceptances{Accept: "a", Entries: []probe.Acceptance{
		{Fault: probe.Names{"load-lighter"}, State: probe.Names{"travel", "run"}, Breaks: probe.Names{sim.Carried}, Reason: "small"},
	}}
	assert.Empty(t, a.Apply(m, probe.Options{}))
	accepted := []bool{true, false, false, false, false, true}
	for i, want := range accepted {
		assert.Equal(t, want, m.Outcomes[i].Accepted != "", "%+v", m.Outcomes[i])
		assert.Equal(t, !want, m.Outcomes[i].Dangerous(), "%+v", m.Outcomes[i])
	}
	n := probe.Count(m.Outcomes)
	assert.Equal(t, map[probe.Kind]int{probe.Broken: 2}, n.Accepted)
	assert.Equal(t, map[probe.Kind]int{probe.Broken: 2, probe.Dropped: 1, probe.Missed: 1}, n.Open)
	for _, f := range m.Findings()[:3] {
		assert.Empty(t, f.Accepted, "what is to review comes first")
	}
}

// An entry, or a name of it, that nothing needs is found; not where the probe left out what could
// still need it, nor before it has ended.
func TestEntriesThatNoLongerApply(t *testing.T) {
	t.Parallel()
	m := func() *probe.Results {
		return &probe.Results{Complete: true, Outcomes: []probe.Outcome{breaking("load-lighter", "travel", "usual", sim.Carried, probe.Broken)}}
	}
	entry := func(faults, states, severities probe.Names) probe.Acceptances {
		return probe.Acceptances{Accept: "a", Entries: []probe.Acceptance{{faults, states, severities, probe.Names{sim.Carried}, "small"}}}
	}
	paths := func(found problem.List) []string {
		var list []string
		for _, p := range found {
			list = append(list, p.Path)
		}
		return list
	}
	wide := entry(probe.Names{"load-lighter", "load-heavier"}, probe.Names{"travel", "settle"}, probe.Names{"usual", "severe"})
	assert.Equal(t, []string{"entries[0].fault[1]", "entries[0].state[1]", "entries[0].severity[1]"}, paths(wide.Apply(m(), probe.Options{})))
	assert.Empty(t, wide.Apply(m(), probe.Options{Faults: []string{"load-lighter"}, States: []string{"travel"}}))
	assert.Equal(t, []string{"entries[0].fault[1]"}, paths(wide.Apply(m(), probe.Options{Faults: []string{"load-lighter", "load-heavier"}, States: []string{"travel", "settle"}}))[:1])
	assert.Empty(t, wide.Apply(m(), probe.Options{Through: []string{"link-down"}}), "other states may not have been reached")
	gone := entry(probe.Names{"load-heavier"}, probe.Names{"settle"}, nil)
	assert.Equal(t, []string{"entries[0].fault"}, paths(gone.Apply(m(), probe.Options{})), "said once")
	broken := m()
	broken.Complete = false
	assert.Empty(t, gone.Apply(broken, probe.Options{}))
}

// An accepted outcome does not become worse, whatever it was; one that is accepted no more does.
func TestAcceptedOutcomesInAComparison(t *testing.T) {
	t.Parallel()
	fine := came("x", "a", probe.Fine, false)
	bad := breaking("x", "a", "", sim.Carried, probe.Broken)
	accepted := bad
	accepted.Accepted = "small"
	one := func(was, is probe.Outcome) probe.Difference {
		list := probe.Compare([]probe.Outcome{was}, []probe.Outcome{is})
		require.Len(t, list, 1)
		return list[0]
	}
	assert.True(t, one(fine, bad).Worse())
	assert.False(t, one(fine, accepted).Worse())
	assert.True(t, one(accepted, bad).Worse())
	assert.True(t, one(bad, fine).Better())
	assert.True(t, one(accepted, fine).Better())
	other := fine
	other.EndedIn = "elsewhere"
	d := one(fine, other)
	assert.False(t, d.Worse())
	assert.False(t, d.Better(), "merely different")
}

// A cell is found again under the new name of its state.
func TestRenamedStates(t *testing.T) {
	t.Parallel()
	was, is := came("x", "old", probe.Fine, false), came("x", "new", probe.Fine, false)
	was.EndedIn, is.EndedIn = "old", "new"
	list := []probe.Outcome{was}
	assert.Zero(t, probe.Common(list, []probe.Outcome{is}))
	probe.Rename(list, map[string]string{"old": "new"})
	assert.Empty(t, probe.Compare(list, []probe.Outcome{is}))
}

// A load that changes under the closed brake shows in no signal until the brake opens, and no
// sequence is to blame for that. In travel it shows at once, and the sequence reacts to it.
// A press that overshoots shows in the press before the one that breaks the ceiling.
func TestWhatNoSignalShows(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up")
	m := run(t, c, in(few("load-lighter", "load-heavier", "torque-constant-low", "transmission-severed", "press-overshoots"), "travel", "verdict_down"))
	for _, w := range []struct {
		fault, severity, state string
		kind                   probe.Kind
		late                   bool
	}{
		{"load-lighter", "severe", "verdict_down", probe.Broken, true},
		{"load-heavier", "severe", "verdict_down", probe.Broken, true},
		{"torque-constant-low", "severe", "verdict_down", probe.Broken, true},
		{"transmission-severed", "", "verdict_down", probe.Missed, true},
		{"load-lighter", "severe", "travel", probe.Fine, false},
		{"press-overshoots", "usual", "travel", probe.Broken, false},
	} {
		o := outcome(t, m, w.fault, w.severity, w.state, probe.Entry)
		assert.Equal(t, w.late, o.Late, "%+v: %+v", w, o)
		if w.fault != "transmission-severed" {
			assert.Equal(t, w.kind, o.Kind, "%+v: %+v", w, o)
		}
	}
}

// Wrong engineering data show in no signal, and are no excuse.
func TestWrongDataAreNoExcuse(t *testing.T) {
	t.Parallel()
	m := run(t, load(t, "healthy-down-and-up"), few("ceiling-too-low"))
	o := outcome(t, m, "ceiling-too-low", "usual", "", probe.AtStart)
	assert.Equal(t, []string{sim.BelowCeiling}, o.Broken)
	assert.True(t, o.Dangerous())
}

// What the sequence does wrong without the fault as well is no excuse for it: this one opens the
// brake with the drive off, whatever the load.
func TestASequenceIsNotExcusedByItsOwnMistake(t *testing.T) {
	t.Parallel()
	m := run(t, load(t, "testdata/careless.yaml"), in(few("load-lighter"), "let_go"))
	o := outcome(t, m, "load-lighter", "usual", "let_go", probe.Entry)
	assert.Contains(t, o.Broken, sim.Carried)
	assert.True(t, o.Dangerous(), "%+v", o)
}

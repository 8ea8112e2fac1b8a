package mutation_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/mutation"
)

// look waits for a trigger and looks whether the axis stands still.
const look = `sequence: look
start: ready
states:
  ready:
    set: {drive: hold}
    go:
      - {to: look, when: trigger}
  look:
    set: {operation: inhibited}
    go:
      - {to: seen, when: standstill and drive_on, for: 100ms}
      - {to: blind, after: 2s, cause: not-still}
  seen: {set: {operation: allowed}}
  blind: {note: it does not}
  stopped: {note: given up}
any:
  - {to: stopped, when: estop, cause: estop}
ends: {seen: pass, blind: fail, stopped: stop}
`

// caseOf makes a case of look on a demo rig; without a script there is a trigger after half a
// second.
func caseOf(t *testing.T, name string, change func(s *sim.Scenario)) *sim.Case {
	t.Helper()
	rig, _, err := scenarios.LoadRig("pane-hoist")
	require.NoError(t, err)
	s := sim.Scenario{
		Scenario: name, Title: name, Set: map[string]string{"rig.clock.run_limit": "3s"},
		Expect: sim.Expect{
			End:         "pass",
			Obligations: sim.Broken{{Broken: sim.FreshProof, Why: "there is no test here"}},
		},
	}
	change(&s)
	c, _, err := sim.NewCase(s, *rig, document(t, look))
	require.NoError(t, err)
	return c
}

func suite(t *testing.T, cases ...*sim.Case) *mutation.Suite {
	t.Helper()
	s, err := mutation.NewSuite(t.Context(), cases, 2, func() {})
	require.NoError(t, err)
	return s
}

// fates tries every mutant of look.
func fates(t *testing.T, s *mutation.Suite, known []mutation.Argument, workers int) map[string]mutation.Outcome {
	t.Helper()
	all := map[string]mutation.Outcome{}
	require.NoError(t, s.Try(t.Context(), mutants(t, look), known, workers, func(o mutation.Outcome) { all[o.Mutant.ID] = o }))
	return all
}

func asIs(*sim.Scenario) {}

// stopped is an emergency stop while the sequence looks.
func stopped(s *sim.Scenario) {
	s.Script = []sim.Action{
		{Set: map[string]bool{"trigger": true}},
		{At: 50 * time.Millisecond, Set: map[string]bool{"estop": true}},
	}
	s.Expect = sim.Expect{End: "stop"}
}

// What a scenario that looks at the end alone notices, and what it does not.
func TestDetectedAndSurvivingMutants(t *testing.T) {
	got := fates(t, suite(t, caseOf(t, "plain", asIs)), nil, 2)
	for id, want := range map[string]struct {
		fate        mutation.Status
		by, missing string
	}{
		"ready/look: remove":        {fate: mutation.Detected, by: "plain"}, // goes on to the longest run there is
		"look/seen: negate":         {fate: mutation.Detected, by: "plain"},
		"look/seen: lead to blind":  {fate: mutation.Detected, by: "plain"},
		"look: exchange with seen":  {fate: mutation.Detected, by: "plain"},
		"look: leave out operation": {fate: mutation.Survived, missing: "1 scenario passes here and does not notice it: in plain "},
		"look/blind: remove":        {fate: mutation.Survived, missing: "no scenario leaves look for blind after 2s; 1 scenario passes here and does not notice it: in plain nothing changes"},
		"ready/look: negate":        {fate: mutation.Survived, missing: "1 scenario passes here and does not notice it: in plain times change; expect.took would say which are right"},
		"any/stopped: remove":       {fate: mutation.Survived, missing: "no scenario leaves any state for stopped when estop; "},
	} {
		o, ok := got[id]
		require.True(t, ok, id)
		require.Equal(t, want.fate, o.Status, "%s: %s%s", id, o.By, o.Missing)
		require.Equal(t, want.by, o.By, id)
		require.Contains(t, o.Missing, want.missing, id)
		require.Equal(t, want.fate == mutation.Survived, o.Missing != "", id)
		require.Equal(t, want.fate == mutation.Refused, o.Reason != "", id)
	}
}

// The scenario that was missing notices: one that says the time before the trigger, and one
// with an emergency stop.
func TestMissingScenariosNotice(t *testing.T) {
	least := 400 * time.Millisecond
	got := fates(t, suite(t,
		caseOf(t, "stopped", stopped),
		caseOf(t, "plain", asIs),
		caseOf(t, "timed", func(s *sim.Scenario) { s.Expect.Took = map[string]sim.DurationBounds{"ready": {AtLeast: &least}} }),
	), nil, 2)
	require.Equal(t, "timed", got["ready/look: negate"].By)
	require.Equal(t, "stopped", got["any/stopped: remove"].By)
}

// In a state that no scenario enters nothing is detected.
func TestStateThatNoScenarioEnters(t *testing.T) {
	early := func(s *sim.Scenario) {
		s.Script = []sim.Action{{Set: map[string]bool{"estop": true}}}
		s.Expect = sim.Expect{End: "stop"}
	}
	got := fates(t, suite(t, caseOf(t, "early", early)), nil, 2)
	o := got["look/seen: remove"]
	require.Equal(t, "no scenario enters look", o.Missing)
	require.Zero(t, o.Candidates)
	require.Empty(t, o.Nearest)
}

// A scenario that is not as expected to begin with can notice nothing.
func TestScenarioThatIsNotAsExpectedIsLeftOut(t *testing.T) {
	s := suite(t, caseOf(t, "plain", asIs), caseOf(t, "wrong", func(s *sim.Scenario) { s.Expect.End = "fail" }))
	require.Equal(t, []string{"wrong"}, s.LeftOut())
	require.Equal(t, 1, s.Len())
}

// An argument counts only while no scenario detects the mutant.
func TestStaleArguments(t *testing.T) {
	got := fates(t, suite(t, caseOf(t, "plain", asIs)), []mutation.Argument{
		{Mutant: "ready: leave out drive", Because: "a run begins with it"},
		{Mutant: "look/seen: remove", Because: "it is not needed"},
		{Mutant: "look: exchange with seen", Because: "they are alike"},
	}, 2)
	require.Equal(t, mutation.Equivalent, got["ready: leave out drive"].Status)
	require.Equal(t, "a run begins with it", got["ready: leave out drive"].Reason)
	require.Equal(t, mutation.Detected, got["look/seen: remove"].Status)
	for id, stale := range map[string]bool{
		"ready: leave out drive": false, "look/seen: remove": true, "look: exchange with seen": true, "look/blind: remove": false,
	} {
		require.Equal(t, stale, got[id].Stale, id)
	}
}

// What comes out does not depend on the workers.
func TestOutcomesDoNotDependOnTheWorkers(t *testing.T) {
	s := suite(t, caseOf(t, "plain", asIs), caseOf(t, "stopped", stopped))
	run := func(workers int) (list []mutation.Outcome) {
		require.NoError(t, s.Try(t.Context(), mutants(t, look), nil, workers, func(o mutation.Outcome) { list = append(list, o) }))
		return list
	}
	one := run(1)
	require.Len(t, one, len(mutants(t, look)))
	require.Equal(t, one, run(7))
}

// An interruption keeps what is finished, from the first on and without a gap.
func TestInterruptionKeepsFinishedOutcomes(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	list := mutants(t, look)
	s := suite(t, caseOf(t, "plain", asIs))
	var done []string
	err := s.Try(ctx, list, nil, 2, func(o mutation.Outcome) {
		if done = append(done, o.Mutant.ID); len(done) == 3 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	require.GreaterOrEqual(t, len(done), 3)
	require.Less(t, len(done), len(list))
	for i, id := range done {
		require.Equal(t, list[i].ID, id)
	}
}

// The share leaves out what vet finds and what no scenario can detect.
func TestTally(t *testing.T) {
	m := &mutation.Mutant{Operator: mutation.Negate}
	other := &mutation.Mutant{Operator: mutation.Remove}
	operators, all := mutation.Tally([]mutation.Outcome{
		{Mutant: m, Status: mutation.Detected}, {Mutant: m, Status: mutation.Detected}, {Mutant: m, Status: mutation.Refused},
		{Mutant: other, Status: mutation.Detected}, {Mutant: other, Status: mutation.Survived}, {Mutant: other, Status: mutation.Equivalent},
	})
	require.Len(t, operators, len(mutation.Operators()))
	require.Equal(t, mutation.Count{Made: 6, Refused: 1, Detected: 3, Equivalent: 1, Survived: 1}, all)
	require.Equal(t, 4, all.Relevant())
	require.Equal(t, 0.75, all.DetectedShare())
	require.Contains(t, operators, mutation.Count{Operator: mutation.Remove, Made: 3, Detected: 1, Equivalent: 1, Survived: 1})
	require.Equal(t, 1.0, (&mutation.Count{Made: 1, Refused: 1}).DetectedShare())
}

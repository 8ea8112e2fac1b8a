package mutation_test

import (
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/mutation"
)

// lamp is small enough for its mutants to be counted by hand.
const lamp = `sequence: lamp
start: idle
params: {limit_nm: 2, wait_s: 1, tries: 2}
states:
  idle:
    set: {drive: hold}
    go:
      - {to: busy, when: trigger}
  busy:
    set: {drive: press, press_torque_nm: limit_nm}
    go:
      - {to: done, when: torque_nm >= limit_nm and standstill, for: 50ms}
      - {to: idle, after: wait_s, times: tries, cause: too-slow}
    opt_out: [halt]
  done: {note: the torque is there}
  halt: {note: stopped}
any:
  - {to: halt, when: estop}
ends: {done: pass, halt: stop}
`

func document(t *testing.T, text string) sequence.Document {
	t.Helper()
	var d sequence.Document
	require.NoError(t, yaml.UnmarshalWithOptions([]byte(text), &d, yaml.Strict()))
	return d
}

func mutants(t *testing.T, text string) []mutation.Mutant {
	t.Helper()
	list, err := mutation.Mutants(document(t, text))
	require.NoError(t, err)
	return list
}

// by lists the IDs of the mutants of an operator.
func by(list []mutation.Mutant, op mutation.Operator) []string {
	var ids []string
	for _, m := range list {
		if m.Operator == op {
			ids = append(ids, m.ID)
		}
	}
	return ids
}

func named(t *testing.T, list []mutation.Mutant, id string) *mutation.Mutant {
	t.Helper()
	for i := range list {
		if list[i].ID == id {
			return &list[i]
		}
	}
	require.Fail(t, "no mutant "+id)
	return nil
}

// Every operator makes what can be counted by hand in a small sequence, and no more.
func TestMutantsOfASmallSequence(t *testing.T) {
	list := mutants(t, lamp)
	total := 0
	for op, want := range map[mutation.Operator][]string{
		mutation.DropCondition: {
			`idle/busy: drop the condition`, `busy/done: drop "torque_nm >= limit_nm"`, `busy/done: drop "standstill"`,
			`any/halt: drop the condition`,
		},
		mutation.Negate: {
			`idle/busy: negate`, `busy/done: negate`, `busy/done: negate "torque_nm >= limit_nm"`, `busy/done: negate "standstill"`,
			`any/halt: negate`,
		},
		mutation.Limit: {
			`busy/done: halve "limit_nm" in "torque_nm >= limit_nm"`, `busy/done: double "limit_nm" in "torque_nm >= limit_nm"`,
		},
		mutation.Time: {
			`busy/done: drop for`, // after of busy/idle is all it has: without it the transition is removed
		},
		mutation.Cause:       {`busy/idle: drop cause`},
		mutation.WrongTarget: {`idle/busy: lead to done`, `busy/done: lead to idle`, `busy/idle: lead to done`, `any/halt: lead to idle`},
		mutation.Remove:      {`idle/busy: remove`, `busy/done: remove`, `busy/idle: remove`},
		mutation.Keeping:     nil, // it keeps nothing
		mutation.Setting:     {`idle: leave out drive`, `busy: leave out drive`, `busy: leave out press_torque_nm`},
		mutation.SwapStates:  {`idle: exchange with busy`, `busy: exchange with done`},
		mutation.RemoveAny:   {`any/halt: remove`},
	} {
		require.Equal(t, want, by(list, op), op)
		total += len(want)
	}
	require.Len(t, list, total)
	require.Len(t, mutation.Operators(), 11, "every operator stands above")
}

// Each mutant has its one change where it should be, and nothing else.
func TestMutantsChangeOneThing(t *testing.T) {
	list := mutants(t, lamp)
	busy := func(d *sequence.Document) *sequence.State { return &d.States[1] }
	done := func(d *sequence.Document) *sequence.Transition { return &busy(d).Go[0] }
	idle := func(d *sequence.Document) *sequence.Transition { return &busy(d).Go[1] }
	for id, change := range map[string]func(d *sequence.Document){
		`idle/busy: drop the condition`:                           func(d *sequence.Document) { d.States[0].Go[0].When = "" },
		`idle/busy: negate`:                                       func(d *sequence.Document) { d.States[0].Go[0].When = "not trigger" },
		`busy/done: drop "standstill"`:                            func(d *sequence.Document) { done(d).When = "torque_nm >= limit_nm" },
		`busy/done: negate`:                                       func(d *sequence.Document) { done(d).When = "not (torque_nm >= limit_nm and standstill)" },
		`busy/done: negate "torque_nm >= limit_nm"`:               func(d *sequence.Document) { done(d).When = "torque_nm < limit_nm and standstill" },
		`busy/done: double "limit_nm" in "torque_nm >= limit_nm"`: func(d *sequence.Document) { done(d).When = "torque_nm >= 2 * limit_nm and standstill" },
		`busy/done: drop for`:                                     func(d *sequence.Document) { done(d).For = "" },
		`busy/idle: drop cause`:                                   func(d *sequence.Document) { idle(d).Cause = "" },
		`busy/done: lead to idle`:                                 func(d *sequence.Document) { done(d).To = "idle" },
		`busy/idle: remove`:                                       func(d *sequence.Document) { busy(d).Go = busy(d).Go[:1] },
		`busy: leave out drive`:                                   func(d *sequence.Document) { busy(d).Set = busy(d).Set[1:] },
		`idle: exchange with busy`: func(d *sequence.Document) {
			a, b := &d.States[0], busy(d)
			a.Set, b.Set, a.Go, b.Go = b.Set, a.Set, b.Go, a.Go
		},
		`any/halt: remove`: func(d *sequence.Document) {
			d.Any = []sequence.Transition{}
			busy(d).OptOut = []string{} // nothing is left to ignore
		},
	} {
		want := document(t, lamp)
		change(&want)
		require.Equal(t, want, named(t, list, id).Document, id)
	}
}

// Parts of a condition that are changed, one at a time.
func TestEditsOfConditions(t *testing.T) {
	for _, c := range []struct {
		when string
		op   mutation.Operator
		now  []string
	}{
		{"not estop", mutation.Negate, []string{"estop"}},
		{"judge_cause == \"moved\"", mutation.Negate, []string{`judge_cause != "moved"`}},
		{"judge_cause == \"moved\"", mutation.Limit, nil},
		{"proof and not estop and cancel", mutation.DropCondition, []string{"not estop and cancel", "proof and cancel", "proof and not estop"}},
		{"proof and (estop or cancel)", mutation.DropCondition, []string{"estop or cancel", "proof", "proof and cancel", "proof and estop"}},
		{"proof and (estop or cancel)", mutation.Negate, []string{
			"not (proof and (estop or cancel))", "not proof and (estop or cancel)", "proof and not (estop or cancel)",
			"proof and (not estop or cancel)", "proof and (estop or not cancel)",
		}},
		{"not (proof and estop)", mutation.DropCondition, []string{"", "not estop", "not proof"}},
		{"torque_nm < 2 * a_nm", mutation.Limit, []string{"torque_nm < 0.5 * (2 * a_nm)", "torque_nm < 2 * (2 * a_nm)"}},
		{"a_nm > torque_nm", mutation.Limit, []string{"0.5 * a_nm > torque_nm", "2 * a_nm > torque_nm"}},
		// a limit of zero has no half
		{"torque_nm > 0", mutation.Limit, []string{"torque_nm > 0 + 1", "torque_nm > 0 - 1"}},
		{"torque_nm > none_nm", mutation.Limit, []string{"torque_nm > none_nm + 1", "torque_nm > none_nm - 1"}},
		// of a sum the first part says where, what follows how far off
		{"position_mm >= at_mm + far_mm - near_mm", mutation.Limit, []string{
			"position_mm >= at_mm + 0.5 * far_mm - near_mm", "position_mm >= at_mm + 2 * far_mm - near_mm",
		}},
		{"proof_left_s >= a_s - in_state_s - b_s", mutation.Limit, []string{
			"proof_left_s >= a_s - in_state_s - 0.5 * b_s", "proof_left_s >= a_s - in_state_s - 2 * b_s",
		}},
	} {
		text := `sequence: s
start: a
params: {a_nm: 2, none_nm: 0, at_mm: 400, far_mm: 2, near_mm: 0.05, a_s: 100, b_s: 1}
states:
  a: {go: [{to: b, when: '` + c.when + `'}]}
  b: {}
ends: {b: pass}
`
		var now []string
		for _, m := range mutants(t, text) {
			if m.Operator == c.op {
				require.Equal(t, m.Now, string(m.Document.States[0].Go[0].When))
				now = append(now, m.Now)
			}
		}
		require.Equal(t, c.now, now, c.when)
	}
}

// A condition that is dropped leaves the time that it must hold.
func TestDroppedConditionKeepsItsTime(t *testing.T) {
	text := `sequence: s
start: a
states:
  a: {go: [{to: b, when: standstill, for: 1s}]}
  b: {}
ends: {b: pass}
`
	m := named(t, mutants(t, text), "a/b: drop the condition")
	require.Equal(t, sequence.Transition{To: "b", When: "true", For: "1s"}, m.Document.States[0].Go[0])
	_, err := sequence.Compile(m.Document, nil)
	require.NoError(t, err, "for wants a condition")
}

// Mutants that come out alike, or like the sequence, are made once or not at all.
func TestMutantsAreMadeOnce(t *testing.T) {
	list := mutants(t, `sequence: s
start: a
states:
  a:
    go:
      - {to: b, when: standstill and standstill}
      - {to: b, when: standstill  and   standstill}
  b: {}
ends: {b: pass}
`)
	require.Equal(t, []string{`a/b[0]: drop "standstill"`, `a/b[1]: drop "standstill"`}, by(list, mutation.DropCondition), "either operand, the same left")
	require.Equal(t, []string{"a/b[0]: remove"}, by(list, mutation.Remove), "the same is left")
}

// An ID names state, target and cause, and counts only where that is not enough; every
// one is there once.
func TestIDsOutliveOtherChanges(t *testing.T) {
	t.Parallel()
	d, _, err := scenarios.LoadSequence("reference")
	require.NoError(t, err)
	list, err := mutation.Mutants(*d)
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, m := range list {
		require.False(t, seen[m.ID], m.ID)
		seen[m.ID] = true
	}
	for _, id := range []string{
		`travel/settle: negate "standstill"`, `press_down/arrest_load (slipped)[0]: drop cause`, `arrest_load/recover_transfer[0]: remove`,
		`secure_axis/hold_on_torque[1]: remove`,
	} {
		require.True(t, seen[id], id)
	}
	_, line, err := scenarios.Lines(scenarios.SequenceKind, "reference")
	require.NoError(t, err)
	for _, m := range list {
		require.Greater(t, line(m.Path), line("$.states"), "%s is at %s", m.ID, m.Path)
	}
}

func TestMutantsOfASequenceThatDoesNotCompile(t *testing.T) {
	_, err := mutation.Mutants(document(t, "sequence: s\nstart: nowhere\nstates: {a: {}}\n"))
	require.ErrorContains(t, err, `there is no state "nowhere"`)
}

// A value that is not kept is what it was at the start of the run, or what another state has kept.
func TestValuesNotKept(t *testing.T) {
	list := mutants(t, `sequence: s
start: a
states:
  a: {keep: {held_nm: torque_nm, still: standstill}, go: [{to: b, when: trigger}]}
  b: {keep: {held_nm: 2 * torque_nm}, go: [{to: c, when: torque_nm > held_nm and still}]}
  c: {}
ends: {c: pass}
`)
	require.Equal(t, []string{"a: do not keep held_nm", "a: do not keep still", "b: do not keep held_nm"}, by(list, mutation.Keeping))
	for id, want := range map[string]sequence.Keeps{
		"a: do not keep held_nm": {{Name: "still", Value: "standstill"}},
		"a: do not keep still":   {{Name: "held_nm", Value: "torque_nm"}, {Name: "still", Value: "false"}},
	} {
		m := named(t, list, id)
		require.Equal(t, want, m.Document.States[0].Keep)
		_, err := sequence.Compile(m.Document, nil)
		require.NoError(t, err)
	}
	m := named(t, list, "b: do not keep held_nm")
	require.Empty(t, m.Document.States[1].Keep)
	require.Equal(t, "held_nm: 2 * torque_nm", m.Was)
}

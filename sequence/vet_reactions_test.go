package sequence

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// reacting reacts to all that a test must react to.
const reacting = `sequence: s
start: wait
states:
  wait: {set: {drive: hold, ask: none}, go: [{to: close, when: trigger and not cancel}]}
  close: {set: {brake: closed}, go: [{to: ask, when: brake_closed}, {to: failed, after: 1s}]}
  ask: {keep: {count_before: test_count}, set: {ask: down, required_current_a: 1}, go: [{to: open, when: proof and test_count != count_before}, {to: failed, when: not proof, after: 5s}]}
  open: {set: {brake: open}, go: [{to: passed, when: not brake_closed}, {to: failed, after: 1s}]}
  passed: {}
  failed: {go: [{to: wait, when: acknowledge}]}
any:
  - {to: failed, when: not (drive_on and drive_ready) or drive_fault}
  - {to: failed, when: cancel}
  - {to: failed, when: safe_stop}
ends: {passed: pass, failed: fail}
`

func TestMissingReactions(t *testing.T) {
	t.Parallel()
	require.Empty(t, document(t, reacting).MissingReactions(nil))
	for _, c := range []struct{ name, from, to, path, says string }{
		{"drive fault", "  - {to: failed, when: not (drive_on and drive_ready) or drive_fault}\n", "", "$.sequence", "no reaction to a drive fault"},
		{"drive only waited for", "not (drive_on and drive_ready) or drive_fault", "drive_on and drive_ready and not drive_fault", "$.sequence", "no reaction to a drive fault"},
		{"abort only waited for", "  - {to: failed, when: cancel}\n", "", "$.sequence", "no reaction to an abort"},
		{"stop", "  - {to: failed, when: safe_stop}\n", "", "$.sequence", "no reaction to a stop of the safety side"},
		{"stop switched off", "when: safe_stop}", "when: safe_stop, times: 0}", "$.sequence", "no reaction to a stop of the safety side"},
		{"stale verdict", " and test_count != count_before", "", "$.sequence", "no reaction to a stale verdict"},
		{"lapsed proof", "when: not proof, ", "", "$.sequence", "no reaction to a proof that has lapsed"},
		{"acknowledgement", "  failed: {go: [{to: wait, when: acknowledge}]}\n", "  failed: {}\n", "$.sequence", "no reaction to an acknowledgement"},
		{"brake closes unseen", "when: brake_closed}", "after: 50ms}", "$.states.close.set.brake", "brake is closed from here on"},
		{"brake opens unseen", "when: not brake_closed}", "after: 50ms}", "$.states.open.set.brake", "brake is open from here on"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			require.Contains(t, reacting, c.from)
			d := document(t, strings.Replace(reacting, c.from, c.to, 1))
			found := d.MissingReactions(nil)
			require.Len(t, found, 1, "%v", found)
			assert.True(t, found[0].Warning)
			require.NotNil(t, problemAt(found, c.path, c.says), "%v", found)
			assert.Nil(t, problemAt(vetted(d, nil), c.path, c.says), "a run needs no reaction")
		})
	}
}

// What only a guard demands is apart, as a sequence can serve machines with and without one.
func TestMissingGuardReactions(t *testing.T) {
	t.Parallel()
	found := document(t, reacting).MissingGuardReactions(nil)
	require.Len(t, found, 3)
	for _, what := range []string{"an open guard", "setup mode", "a request for access"} {
		require.NotNil(t, problemAt(found, "$.sequence", "no reaction to "+what), "%v", found)
	}
	guarded := strings.Replace(reacting, "trigger and not cancel}", "trigger and not cancel and guard_closed and not setup_mode and not access}", 1)
	require.Len(t, document(t, guarded).MissingGuardReactions(nil), 2, "a start that waits is one to access only: it stops nothing that goes on")
	guarded = strings.Replace(reacting, "when: cancel}", "when: cancel or not guard_closed or setup_mode or access}", 1)
	require.Empty(t, document(t, guarded).MissingGuardReactions(nil))
}

// One of several inputs is enough, alone or compared.
func TestReactionsInOtherWords(t *testing.T) {
	t.Parallel()
	for _, when := range []string{"drive_fault", "not drive_on", "not (drive_ready and trigger)", "drive_on == false", "trigger ? drive_fault : false"} {
		d := document(t, strings.Replace(reacting, "not (drive_on and drive_ready) or drive_fault", when, 1))
		require.Empty(t, d.MissingReactions(nil), when)
	}
}

// What asks no judge is no test, and the reference misses nothing.
func TestReactionsOfATestOnly(t *testing.T) {
	t.Parallel()
	require.Empty(t, document(t, sound).MissingReactions(nil))
	require.Equal(t, problem.List(nil), document(t, string(Reference())).MissingReactions(nil))
}

// The causes of a program are those that a run can end with.
func TestCauses(t *testing.T) {
	t.Parallel()
	p := program(t, strings.Replace(reacting, "{to: failed, when: not proof, after: 5s}",
		"{to: failed, when: judge_failed, cause: judge_cause}, {to: failed, after: 5s, cause: no-verdict}, {to: failed, when: trigger, times: 0, cause: never}", 1))
	require.ElementsMatch(t, append(JudgeCauses()[1:], "no-verdict"), p.About().Causes, "all of the judge, and its own but the one that never comes")
	p = program(t, strings.Replace(reacting, "when: safe_stop}", "when: safe_stop, cause: stop_cause}", 1))
	require.ElementsMatch(t, StopCauses()[1:], p.About().Causes, "all that demands a stop")
	p = program(t, strings.Replace(sound, "to: lost, when: estop", "to: lost, when: estop and false", 1))
	require.Equal(t, []string{"not-there"}, p.About().Causes, "what can never fire gives none")
}

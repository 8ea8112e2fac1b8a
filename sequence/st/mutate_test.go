package st_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/st"
)

// Every mistake of a small program, as counted by hand.
func TestMutations(t *testing.T) {
	t.Parallel()
	p := compiled(t, `TYPE State : (Ready, Work); END_TYPE
PROGRAM p
VAR_INPUT go : BOOL; level : REAL := 0.0; END_VAR
VAR s : State; t : TON; lamp : BOOL; n : USINT; END_VAR
CASE s OF
  Ready:
    IF go AND level >= 2.5 THEN s := Work; END_IF;
  Work:
    t(IN := TRUE, PT := T#5s);
    lamp := NOT t.Q;
    n := n + 200;
    IF t.Q THEN s := Ready; RETURN; END_IF;
END_CASE;
END_PROGRAM`)
	var ids []string
	for _, m := range p.Mutations() {
		ids = append(ids, m.ID)
		require.Equal(t, m.Was, p.Text[m.Start:m.End])
	}
	require.Equal(t, []string{
		"p: constant changed: 0.0 -> 1.0",
		"p/Ready: condition negated: go AND level >= 2.5 -> NOT (go AND level >= 2.5)",
		"p/Ready: part of a condition dropped: go AND level >= 2.5 -> go",
		"p/Ready: part of a condition dropped: go AND level >= 2.5 -> level >= 2.5",
		"p/Ready: AND and OR exchanged: AND -> OR",
		"p/Ready: comparison changed: >= -> >",
		"p/Ready: comparison changed: >= -> <=",
		"p/Ready: constant changed: 2.5 -> 1.25",
		"p/Ready: constant changed: 2.5 -> 5.0",
		"p/Ready: transition dropped: s := Work; -> ;",
		"p/Ready: target of a transition changed: Work -> State#Ready",
		"p/Work: call dropped: t(IN := TRUE, PT := T#5s); -> ;",
		"p/Work: constant changed: TRUE -> FALSE",
		"p/Work: time changed: T#5s -> T#2s500ms",
		"p/Work: time changed: T#5s -> T#10s",
		"p/Work: assignment dropped: lamp := NOT t.Q; -> ;",
		"p/Work: condition negated: NOT t.Q -> t.Q",
		"p/Work: assignment dropped: n := n + 200; -> ;",
		"p/Work: operator of a calculation changed: + -> -",
		"p/Work: constant changed: 200 -> 100", // 400 does not fit a USINT, which the checks find
		"p/Work: condition negated: t.Q -> NOT (t.Q)",
		"p/Work: transition dropped: s := Ready; -> ;",
		"p/Work: target of a transition changed: Ready -> State#Work",
		"p/Work: EXIT, CONTINUE or RETURN dropped: RETURN; -> ;",
	}, ids)
}

// Every mistake compiles and runs, is another program, and has a name of its own.
func TestMutationsRun(t *testing.T) {
	t.Parallel()
	for _, text := range []string{steps, standardBodies} {
		p := compiled(t, text)
		seen, ids := map[string]bool{text: true}, map[string]bool{}
		list := p.Mutations()
		require.Greater(t, len(list), 50)
		for i := range list {
			now := list[i].Apply(text)
			require.False(t, seen[now] || ids[list[i].ID], list[i].ID)
			seen[now], ids[list[i].ID] = true, true
			mutant, _, err := st.Compile("mutant.st", now)
			require.NoError(t, err, list[i].ID)
			m, err := mutant.New(mutant.Blocks[len(mutant.Blocks)-1])
			require.NoError(t, err)
			for n := range 20 {
				if m.Scan(time.Duration(n)*time.Second) != nil {
					break
				}
			}
		}
	}
}
